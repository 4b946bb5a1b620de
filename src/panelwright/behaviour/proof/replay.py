"""A course gone through again with the electrical solution: every volt computed, no gate trusted."""

from __future__ import annotations

from itertools import pairwise

from ...electrics import Position, Verdict, position_of
from .cone import TIMERS, Cone
from .courses import Moment, states_of
from .panel import HalfFed
from .unrolling import Course


def doubts(cone: Cone, course: tuple[Moment, ...]) -> frozenset[HalfFed]:
    """What the solution says against a course: half fed coils that surely work, or surely rest, where it is the other
    way in the course; none when every step can happen. A coil is asked about where it moves its device, and where its
    device stands still at the end or while inputs change.

    Raises: AssertionError when a relay moves against a coil that the gates call fully fed or dead: the gates and the
    electrical solution would then disagree, which is a mistake of the program.
    """
    found: set[HalfFed] = set()
    for before, after in pairwise(course):
        position = position_of(cone.circuit, before.states)
        for tag, what in after.moved:
            goes_in = what == "in" or (what == "on its way" and before.states[tag].stage == "rest")
            under_way = before.states[tag].stage == "moving"  # it may arrive whatever its coil gets by then
            fact = None if "timed" in what or under_way else _against(cone, position, tag, before, goes_in)
            assert fact is None or fact not in cone.panel.facts, f"{tag} moves against what its coil gets"
            found |= {fact} if fact else set()
        if after.done:
            found |= _at_rest(cone, position, before)
    found |= _at_rest(cone, position_of(cone.circuit, course[-1].states), course[-1])
    return frozenset(found - cone.panel.facts)


def volts_say(cone: Cone, course: Course) -> frozenset[HalfFed]:
    """What the solution says of every coil that is half fed in some states, where it says it surely."""
    found: set[HalfFed] = set()
    for bits in course:
        found |= said_at(cone, Moment((), (), states_of(cone, bits)))
    return frozenset(found)


def said_at(cone: Cone, moment: Moment) -> frozenset[HalfFed]:
    """The same of one moment of a course."""
    position = position_of(cone.circuit, moment.states)
    found: set[HalfFed] = set()
    for tag in _half_fed(cone, moment):
        facts = (_against(cone, position, tag, moment, goes_in) for goes_in in (True, False))
        found |= {fact for fact in facts if fact is not None}
    return frozenset(found)


def _half_fed(cone: Cone, moment: Moment) -> set[str]:
    """The devices of which a coil may get something and does not surely get its volts, by the gates."""
    program, inputs = cone.panel.program, _inputs(cone, moment)
    coils = [f"{d.tag}.{p.name}" for d in cone.circuit.devices if d.tag in cone.tags for p in d.loads if p.drives]
    tables = (program.full, program.may)
    full, may = (program.gates.values(inputs, [table[coil] for coil in coils]) for table in tables)
    return {coil.partition(".")[0] for coil, f, m in zip(coils, full, may, strict=True) if m and not f}


def _at_rest(cone: Cone, position: Position, moment: Moment) -> set[HalfFed]:
    """Half fed coils whose devices stand against what the solution says that they do."""
    half_fed = _half_fed(cone, moment)
    facts = (_against(cone, position, tag, moment, moment.states[tag].stage == "operated") for tag in half_fed)
    return {fact for fact in facts if fact is not None}


def _against(cone: Cone, position: Position, tag: str, moment: Moment, goes_in: bool) -> HalfFed | None:
    """What the solution says against a device being driven in, or let go, in this state."""
    device = cone.circuit.by_tag[tag]
    if device.mechanism.sort == "star-delta" or device.mechanism.sort not in ("relay", *TIMERS):
        return None  # its contacts are no sign of what its coil gets
    solution = cone.panel.network.solve(position)
    coils = [f"{tag}.{part.name}" for part in device.loads if part.drives == "coil"]
    verdicts = {solution.load(coil).verdict for coil in coils}
    against: set[Verdict] = {"none"} if goes_in else {"full"}
    if solution.shorts or not verdicts or not verdicts <= against:
        return None
    held = _inputs(cone, moment)
    settled: dict[str, bool] = {}
    for coil in coils:
        settled |= cone.panel.explained(coil, position, held)
    fact = HalfFed(tag, "coil", tuple(settled.items()), not goes_in)
    if cone.holders(tag) and (fact in cone.panel.facts or tag not in _half_fed(cone, moment)):
        return None  # held out by another, it moves with its magnet, which may be late
    return fact


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
