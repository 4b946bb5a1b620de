"""Half fed coils decided by their volts, for every position in which they come about.

What a load *may* get is a literal over every way that current could creep, so that a touch to earth leaves half the
panel in doubt. Where the positions in doubt are few, each is solved electrically, and the gates then say what the
volts say: the load works there, or it rests, and only what really has part of its volts stays in doubt.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ..behaviour.proof.courses import switched
from ..behaviour.proof.explicit import TooLarge
from ..behaviour.proof.panel import Panel
from ..circuit import Device
from ..electrics import DeviceState, GateProgram, Position, position_of, rest_state
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
        self.left = MOST_SOLVED

    def literals(self, load: str) -> tuple[int, int]:
        """`full` and `may` of a load. Raises TooLarge."""
        full, may = self.program.full[load], self.program.may[load]
        grid = Grid(self.panel, self.program.gates.inputs_of([full, may]))
        table = grid.words(self.program.gates, [full, may], {})
        doubtful = np.flatnonzero(flags(table[1] & ~table[0])[: grid.count])
        if len(doubtful) > self.left:
            raise TooLarge(f"{len(doubtful)} positions")
        self.left -= len(doubtful)
        works, rests = (np.full(grid.count, EITHER, np.int8) for _ in range(2))
        for number, held in zip(doubtful.tolist(), grid.settings(doubtful), strict=True):
            verdict = self._verdict(load, held)
            works[number], rests[number] = int(verdict == "full"), int(verdict == "none")
        g = self.gates
        surely = g.or_(full, g.and_(may, self._function(grid, works)))
        return surely, g.or_(surely, g.and_(may, self._function(grid, rests) ^ 1))

    def _verdict(self, load: str, held: dict[str, bool]) -> str:
        """What the volts say in one position; "" where a supply is shorted."""
        solution = self.panel.network.solve(position_in(self.panel, held))
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


def position_in(panel: Panel, held: dict[str, bool]) -> Position:
    """The contacts that are closed; devices that are not spoken of stand at rest, supplies and switches on."""
    return position_of(panel.circuit, {device.tag: _state(device, held) for device in panel.circuit.devices})


def _state(device: Device, held: dict[str, bool]) -> DeviceState:
    tag, mechanism = device.tag, device.mechanism
    if mechanism.sort == "switch":
        return switched(device, _stage({tag: mechanism.start == "on"} | held, tag))
    at = list(_places(device, held))
    spoken_of = any(name.startswith(f"{tag}=") for name in held)
    return DeviceState(
        _stage(held, tag),
        _stage(held, f"{tag}:timed"),
        (at[0] if at else "") if spoken_of else rest_state(device).at,
        on=held.get(f"supply:{tag}", True),
    )


def _places(device: Device, held: dict[str, bool]) -> Iterator[str]:
    return (position for position in device.mechanism.positions if held.get(f"{device.tag}={position}"))


def _stage(held: dict[str, bool], name: str) -> Stage:
    if held.get(name, False):
        return "operated"
    return "rest" if held.get(f"{name}:rest", True) else "moving"
