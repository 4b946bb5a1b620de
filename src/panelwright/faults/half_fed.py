"""Half fed coils decided by their volts, for every position in which they come about.

What a load *may* get is a literal over every way that current could creep, so that a touch to earth leaves half the
panel in doubt. Where the positions in doubt are few, each is solved electrically, and the gates then say what the
volts say: the load works there, or it rests, and only what really has part of its volts stays in doubt.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ..behaviour.proof.courses import switched
from ..behaviour.proof.explicit import TooLarge
from ..behaviour.proof.panel import Panel, tag_of_input
from ..circuit import Device
from ..electrics import DeviceState, GateProgram, Position, position_of
from ..electrics.gates import FALSE, TRUE, GateBuilder, Gates
from ..electrics.positions import Stage
from .grid import Grid, flags

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Codes = NDArray[np.int8]

MOST_SOLVED = 4000  # positions of one panel; some tenths of a second
NO, YES, EITHER = 0, 1, 2  # what a function has to be in a position


def decided_by_volts(panel: Panel) -> GateProgram:
    """The gates of a panel with the doubts about its loads decided, as far as the volts decide them."""
    program = panel.program
    doubted = [load for load, full in program.full.items() if program.may.get(load, full) != full]
    if not doubted:
        return program
    deciding = _Deciding(panel)
    full, may = dict(program.full), dict(program.may)
    for load in doubted:
        try:
            full[load], may[load] = deciding.literals(load)
        except TooLarge:
            continue
    return replace(program, gates=Gates.of(deciding.gates), full=full, may=may)


class _Deciding:
    """Doubts of one panel, one load after the other."""

    def __init__(self, panel: Panel) -> None:
        self.panel, self.program = panel, panel.program
        self.gates = GateBuilder.on_top_of(panel.program.gates)
        self.solved: set[Position] = set()

    def literals(self, load: str) -> tuple[int, int]:
        """`full` and `may` of a load. Raises TooLarge."""
        full, may = self.program.full[load], self.program.may[load]
        grid = Grid(self.panel, self.program.gates.inputs_of([full, may]))
        table = grid.words(self.program.gates, [full, may], {})
        doubtful = np.flatnonzero(flags(table[1] & ~table[0])[: grid.count])
        works, rests = (np.full(grid.count, EITHER, np.int8) for _ in range(2))
        for number, position in zip(doubtful.tolist(), self._positions(grid, doubtful), strict=True):
            verdict = self._verdict(load, position)
            works[number], rests[number] = int(verdict == "full"), int(verdict == "none")
        g = self.gates
        surely = g.or_(full, g.and_(may, self._function(grid, works)))
        return surely, g.or_(surely, g.and_(may, self._function(grid, rests) ^ 1))

    def _positions(self, grid: Grid, numbers: NDArray[np.int64]) -> list[Position]:
        """Positions of a grid, to be solved. Raises TooLarge."""
        if len(numbers) > MOST_SOLVED:
            raise TooLarge(f"{len(numbers)} positions")
        positions = Positions(self.panel, grid.names)
        found = [positions.at(held) for held in grid.settings(numbers)]
        together = self.solved | set(found)
        if len(together) > MOST_SOLVED:
            raise TooLarge(f"{len(together)} positions")
        self.solved = together
        return found

    def _verdict(self, load: str, position: Position) -> str:
        """What the volts say in one position; "" where a supply is shorted."""
        solution = self.panel.network.solve(position)
        return "" if solution.shorts else solution.verdict(load)

    def _function(self, grid: Grid, wanted: Codes) -> int:
        """A literal that is what is wanted in every position of a grid."""
        return _Function(self.gates, grid).literal(wanted, len(grid.arms))


@dataclass
class _Function:
    """Literals of functions over a grid."""

    gates: GateBuilder
    grid: Grid

    def literal(self, wanted: Codes, arms: int) -> int:
        """A function of the first so many arms of the grid; wanted has a value for each of their positions."""
        if not (wanted == YES).any():
            return FALSE
        if not (wanted == NO).any():
            return TRUE
        names, settings = self.grid.arms[arms - 1]
        parts = wanted.reshape(len(settings), -1)
        agreed = _agreed(parts)
        if agreed is not None:
            return self.literal(agreed, arms - 1)
        g = self.gates
        return g.any_of(
            g.and_(self._at(names, setting), self.literal(part, arms - 1))
            for setting, part in zip(settings, parts, strict=True)
        )

    def _at(self, names: tuple[str, ...], setting: tuple[bool, ...]) -> int:
        return self.gates.all_of(
            self.gates.input(name) ^ (not value) for name, value in zip(names, setting, strict=True)
        )


def _agreed(parts: Codes) -> Codes | None:
    """One function that does for all of them; None when they are at odds."""
    yes, no = (parts == YES).any(axis=0), (parts == NO).any(axis=0)
    if (yes & no).any():
        return None
    return np.where(yes, YES, np.where(no, NO, EITHER)).astype(np.int8)


class Positions:
    """Contact positions of a panel, put together from those of its devices.

    `names`: the inputs that are said; devices that are not spoken of stand at rest, supplies and switches on.
    """

    def __init__(self, panel: Panel, names: Iterable[str]) -> None:
        self.circuit = panel.circuit
        self.spoken_of: dict[str, list[str]] = {}
        for name in names:
            self.spoken_of.setdefault(tag_of_input(name), []).append(name)
        silent = [device for device in self.circuit.devices if device.tag not in self.spoken_of]
        self.others = [position_of(replace(self.circuit, devices=tuple(silent)), {})]
        self._parts: dict[tuple[str, tuple[bool, ...]], Position] = {}

    def at(self, held: Mapping[str, bool]) -> Position:
        """The contacts that are closed, the poles that are open and the supplies that are off."""
        parts = self.others + [self._part(tag, names, held) for tag, names in self.spoken_of.items()]
        closed, blown, off = zip(*((part.closed, part.blown, part.off) for part in parts), strict=True)
        return Position(frozenset().union(*closed), frozenset().union(*blown), frozenset().union(*off))

    def _part(self, tag: str, names: list[str], held: Mapping[str, bool]) -> Position:
        key = tag, tuple(held[name] for name in names)
        known = self._parts.get(key)
        if known is None:
            device = self.circuit.by_tag[tag]
            states = {tag: _state(device, {name: held[name] for name in names})}
            known = self._parts[key] = position_of(replace(self.circuit, devices=(device,)), states)
        return known


def _state(device: Device, held: dict[str, bool]) -> DeviceState:
    tag, mechanism = device.tag, device.mechanism
    if mechanism.sort == "switch":
        return switched(device, _stage({tag: mechanism.start == "on"} | held, tag))
    places = [place for place in mechanism.positions if held.get(f"{tag}={place}")]
    at = places[0] if places else "" if mechanism.positions else mechanism.start
    return DeviceState(_stage(held, tag), _stage(held, f"{tag}:timed"), at, on=held.get(f"supply:{tag}", True))


def _stage(held: dict[str, bool], name: str) -> Stage:
    if held.get(name, False):
        return "operated"
    return "rest" if held.get(f"{name}:rest", True) else "moving"
