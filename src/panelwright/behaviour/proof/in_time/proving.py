"""A promise decided in real time: with the times of the devices, and with sentences in seconds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ....circuit import Sentence
from ..asking import atoms_of
from ..assuming import Assumed, tags_assumed
from ..clauses import Step
from ..cone import Cone
from ..courses import Moment, moments
from ..monitors import Watch
from ..panel import Panel
from .clocks import device_timing
from .cone import Beyond, TimedCone
from .courses import moments_of
from .deadlines import assume_in_time, watch_in_time
from .joined_inputs import joined_inputs
from .walk import Found, OutOfTime, TimedWalk
from .zones import TICKS_PER_S


@dataclass
class InTime:
    """The answer: `way` breaks the promise, each of its states with its moment.

    Without a way it is kept, unless there is a `reason` why it is open; then `steps` were searched in full.
    """

    cone: TimedCone
    assumed: Assumed
    way: tuple[Moment, ...] = ()
    reason: str = ""
    steps: int = 0
    never_occurs: bool = False


@dataclass(frozen=True)
class Question:
    """A promise as a walk that looks for what breaks it."""

    cone: TimedCone
    assumed: Assumed
    watch: Watch
    walk: TimedWalk


def question(
    panel: Panel, promise: Sentence, tags: set[str], watch_of: Callable[[Cone], Watch], until: float
) -> Question:
    """`watch_of`: makes the watch of a sentence without seconds. `until`: by `time.monotonic`. Raises: Beyond."""
    all_tags = tags_assumed(panel, panel.circuit.assumptions, tags)
    joined = joined_inputs(panel, all_tags, _named(panel, promise))
    asked = _question(panel, promise, TimedCone(panel, all_tags, joined), watch_of, until)
    if asked.cone.asks_joined():
        return _question(panel, promise, TimedCone(panel, all_tags), watch_of, until)
    return asked


def _named(panel: Panel, promise: Sentence) -> set[str]:
    """The devices that sentences name, or mean."""
    sentences = (promise, *panel.circuit.assumptions)
    named = {state.subject for sentence in sentences for state in atoms_of(sentence)}
    if promise.form == "nothing starts":
        named |= {device.tag for device in panel.circuit.devices if device.mechanism.sort == "push"}
    return named


def _question(
    panel: Panel, promise: Sentence, cone: TimedCone, watch_of: Callable[[Cone], Watch], until: float
) -> Question:
    timing = device_timing(cone)
    assumed = assume_in_time(cone, panel.circuit.assumptions, timing)
    watch = watch_in_time(cone, promise, watch_of)
    timing.clocks += watch.clocks
    plain = watch.watch
    more = [plain.occurs, plain.during, plain.lacking]
    step = Step(cone, plain.bad, [*timing.literals(), *(late.literal for late in watch.late), *more])
    return Question(cone, assumed, plain, TimedWalk(step, timing, watch.late, more, until))


def decide_in_time(
    panel: Panel, promise: Sentence, tags: set[str], watch_of: Callable[[Cone], Watch], until: float
) -> InTime | str:
    """Walk through everything that can happen in time; a string says why that cannot be done."""
    try:
        asked = question(panel, promise, tags, watch_of, until)
    except Beyond as beyond:
        return str(beyond)
    cone, assumed, watch, walk = asked.cone, asked.assumed, asked.watch, asked.walk
    try:
        found = walk.search()
    except Beyond as beyond:
        return str(beyond)
    except OutOfTime as bound:
        reason = f"too many states in time to walk through them all; nothing breaks it within {bound.steps} steps"
        return InTime(cone, assumed, reason=reason, steps=bound.steps)
    if found is not None:
        return InTime(cone, assumed, _way(walk, cone, found))
    if walk.dead_ends:
        names = {name for number in walk.dead_ends for name in walk.limiting(number)}
        reason = f"the assumptions let time go no further in some places ({', '.join(sorted(names))})"
        return InTime(cone, assumed, reason=reason)
    if watch.lacking and walk.restless(watch.during, watch.lacking, timers=promise.form != "no buzzing"):
        return InTime(cone, assumed, reason="things may go on moving for ever")
    return InTime(cone, assumed, never_occurs=watch.occurs != 1 and not walk.ever(watch.occurs))


def _way(walk: TimedWalk, cone: TimedCone, found: Found) -> tuple[Moment, ...]:
    """The states of a course as they are entered; memories take note after that, which nobody sees."""
    ticks = moments_of(walk, found, _usual(cone))
    assert ticks is not None, "the zones allow a course that no times fit"
    course = [cone.apart(walk.steps.as_names(group[0].bits)) for group in walk.course(found)]
    way = [replace(one, at_s=at / TICKS_PER_S) for one, at in zip(moments(cone, course), ticks, strict=False)]
    if ticks[-1] > ticks[-2]:  # it is broken some time after the last movement
        way.append(replace(way[-1], done=(), moved=(), at_s=ticks[-1] / TICKS_PER_S))
    return tuple(way)


def _usual(cone: TimedCone) -> dict[str, int]:
    """What the clocks of timers show when they run out as set."""
    usual: dict[str, int] = {}
    for running in cone.running.values():
        times = cone.panel.times_of(running.device.tag, "nominal")
        tag = running.device.tag
        lag_s = times.release_s if running.device.mechanism.sort.startswith("off-delay") else times.operate_s
        usual[f"{tag} time"] = round((times.delay_s - lag_s) * TICKS_PER_S)
    return usual
