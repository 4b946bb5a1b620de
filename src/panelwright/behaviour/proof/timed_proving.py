"""A promise decided in real time: with the times of the devices, and with sentences in seconds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from ...circuit import Sentence
from ..times import times_of
from .assuming import Assumed, tags_assumed
from .clauses import Step
from .clocks import device_timing
from .cone import Cone
from .deadlines import assume_in_time, watch_in_time
from .monitors import Watch
from .panel import Panel
from .timed_cone import Beyond, TimedCone
from .timed_courses import moments_of
from .timed_steps import Place
from .timed_walk import Found, OutOfTime, TimedWalk
from .unrolling import Course
from .zones import TICKS_PER_S


@dataclass
class InTime:
    """The answer: `course` breaks the promise, its states entered `at_s` seconds after the start and ending `end_s`.

    Without a course it is kept, unless there is a `reason` why it is open; then `steps` were searched in full.
    """

    cone: TimedCone
    assumed: Assumed
    course: Course = field(default_factory=list)
    at_s: tuple[float, ...] = ()
    end_s: float = 0.0
    reason: str = ""
    steps: int = 0
    never_occurs: bool = False


def decide_in_time(
    panel: Panel,
    promise: Sentence,
    tags: set[str],
    watch_of: Callable[[Cone], Watch],
    until: float,
) -> InTime | str:
    """Walk through everything that can happen in time; a string says why that cannot be done.

    `watch_of`: makes the watch of a sentence without seconds. `until`: by `time.monotonic`.
    """
    assumptions = panel.circuit.assumptions
    try:
        cone = TimedCone(panel, tags_assumed(panel, assumptions, tags))
        timing = device_timing(cone)
        assumed = assume_in_time(cone, assumptions, timing)
        watch = watch_in_time(cone, promise, watch_of)
        timing.clocks += watch.clocks
        plain = watch.watch
        more = [plain.occurs, plain.during, plain.lacking]
        keep = [*timing.literals(), *(late.literal for late in watch.late), *more]
        step = Step(cone, plain.bad, keep)
        walk = TimedWalk(step, timing, watch.late, more, until)
        found = walk.search()
    except Beyond as beyond:
        return str(beyond)
    except OutOfTime as bound:
        return InTime(cone, assumed, reason="too many states in time", steps=bound.steps)
    if found is not None:
        return _broken(walk, cone, assumed, found)
    if plain.lacking and walk.restless(plain.during, plain.lacking):
        return InTime(cone, assumed, reason="things may go on moving for ever")
    return InTime(cone, assumed, never_occurs=plain.occurs != 1 and not walk.ever(plain.occurs))


def _broken(walk: TimedWalk, cone: TimedCone, assumed: Assumed, found: Found) -> InTime:
    ticks = moments_of(walk, found, _usual(cone))
    assert ticks is not None, "the zones allow a course that no times fit"
    course: Course = []
    at_s: list[float] = []
    for group, entered in zip(walk.course(found), ticks, strict=False):
        for place in _visible(group):
            course.append(walk.steps.as_names(place.bits))
            at_s.append(entered / TICKS_PER_S)
    return InTime(cone, assumed, course, tuple(at_s), ticks[-1] / TICKS_PER_S)


def _visible(group: tuple[Place, ...]) -> tuple[Place, ...]:
    """What is entered at one moment: memories take note after it, which nobody sees."""
    return group[:1]


def _usual(cone: TimedCone) -> dict[str, int]:
    """What the clocks of timers show when they run out as set."""
    usual: dict[str, int] = {}
    for running in cone.running.values():
        times = times_of(running.device)
        tag = running.device.tag
        lag_s = times.release_s if running.device.mechanism.sort.startswith("off-delay") else times.operate_s
        usual[f"{tag} time"] = round((times.delay_s - lag_s) * TICKS_PER_S)
    return usual
