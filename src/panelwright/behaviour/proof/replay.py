"""A course gone through again with the electrical solution: every volt computed, no gate trusted."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ...circuit import Load
from ...electrics import Position, Verdict, position_of
from .cone import TIMERS, Cone
from .courses import Moment
from .panel import HalfFed


@dataclass(frozen=True, slots=True)
class Doubt:
    """A step that the electrical solution does not allow: a half fed coil that surely works, or surely rests."""

    fact: HalfFed


def doubts(cone: Cone, course: tuple[Moment, ...]) -> tuple[Doubt, ...]:
    """What the solution says against the movements of a course; none when every step can happen.

    Raises: AssertionError when a relay moves against a coil that the gates call fully fed or dead: the gates and the
    electrical solution would then disagree, which is a mistake of the program.
    """
    found: list[Doubt] = []
    for before, after in pairwise(course):
        position = position_of(cone.circuit, before.states)
        for tag, what in after.moved:
            found += _doubt(cone, position, tag, what, before)
    return tuple(found)


def _doubt(cone: Cone, position: Position, tag: str, what: str, before: Moment) -> list[Doubt]:
    device = cone.circuit.by_tag[tag]
    if device.mechanism.sort != "relay" and not (device.mechanism.sort in TIMERS and "timed" not in what):
        return []
    solution = cone.panel.network.solve(position)
    if solution.shorts:
        return []
    verdicts = {
        f"{tag}.{part.name}": solution.load(f"{tag}.{part.name}").verdict
        for part in device.parts
        if isinstance(part, Load) and part.drives == "coil"
    }
    goes_in = what == "in" or (what == "on its way" and before.states[tag].stage == "rest")
    against: set[Verdict] = {"none"} if goes_in else {"full"}
    if not verdicts or not set(verdicts.values()) <= against:
        return []
    names = cone.panel.program.gates.inputs_of([cone.panel.program.may[element] for element in verdicts])
    held = _inputs(cone, before)
    place = tuple((name, held.get(name, False)) for name in names)
    fact = HalfFed(tag, "coil", place, not goes_in)
    assert fact not in cone.panel.facts, f"{tag} moves against what its coil gets"
    return [Doubt(fact)]


def _inputs(cone: Cone, moment: Moment) -> dict[str, bool]:
    """The inputs of the gate program in one state."""
    held: dict[str, bool] = {}
    for tag, state in moment.states.items():
        held[tag], held[f"{tag}:rest"] = state.stage == "operated", state.stage == "rest"
        held[f"{tag}:timed"], held[f"{tag}:timed:rest"] = state.timed == "operated", state.timed == "rest"
        held[f"supply:{tag}"] = state.on
        if state.at:
            held[f"{tag}={state.at}"] = True
    return held
