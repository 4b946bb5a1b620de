"""A course in real time: at which moment each of its steps happens, as close to the set times as they allow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .clocks import Clock
from .deadlines import Late
from .steps import Place
from .walk import Found, TimedWalk
from .zones import TICKS_PER_S, Difference, times_of_course

Reading = tuple[int, int]  # (number of a moment, ticks): a clock shows now minus that moment plus the ticks
ROUND_TICKS = TICKS_PER_S // 10
MOST_MOMENTS = 60  # of a longer course, one that buzzes for seconds, any times that fit will do


@dataclass
class _Course:
    """Moments and what the clocks say about them: moment 0 is the start, the last one the end."""

    groups: list[tuple[Place, ...]]
    differences: list[Difference]
    passes: list[tuple[str, int, Reading]]  # clock, moment, what it shows then
    extra: int  # moments before the start, of clocks that may show anything

    @property
    def count(self) -> int:
        """Moments in all, those before the start too."""
        return len(self.groups) + 1 + self.extra


def moments_of(walk: TimedWalk, found: Found, usual: dict[str, int]) -> list[int] | None:
    """Ticks from the start at which each group of states of `walk.course` is entered, and those of the end.

    `usual`: what a clock shows, in ticks, when nothing is out of the ordinary; kept to where that is possible.
    None when no times fit.
    """
    course = _read(walk, found)
    order = range(len(course.groups) + 1)
    differences = list(course.differences)
    best = times_of_course(course.count, differences, order)
    if best is None or len(course.groups) > MOST_MOMENTS:
        return best and best[: len(course.groups) + 1]
    wishes = [_equal(now, reading, usual[name]) for name, now, reading in course.passes if name in usual]
    for wish in wishes:
        better = times_of_course(course.count, [*differences, *wish], order)
        if better is not None:
            best, differences = better, [*differences, *wish]
    for moment in range(1, len(course.groups) + 1):
        rounded = -(-best[moment] // ROUND_TICKS) * ROUND_TICKS
        wish = [(moment, 0, rounded), (0, moment, -rounded)]
        better = times_of_course(course.count, [*differences, *wish], order)
        if better is not None:
            best, differences = better, [*differences, *wish]
    return best[: len(course.groups) + 1]


def _equal(now: int, reading: Reading, ticks: int) -> list[Difference]:
    moment, shown = reading
    return [(now, moment, ticks - shown), (moment, now, shown - ticks)]


def _read(walk: TimedWalk, found: Found) -> _Course:
    course = _Course(walk.course(found), [], [], 0)
    end = len(course.groups)
    shown: dict[str, Reading] = {}
    before: Place | None = None
    for number, group in enumerate(course.groups):
        for place in group:
            if before is not None:
                _pass(walk, course, shown, before, place, number)
            shown = _showing(walk, course, shown, before, place, number)
            for name, most in _limits(walk, place):  # on entering, and until the next moment
                course.differences.append(_most(number, shown[name], most))
            before = place
        assert before is not None
        if number + 1 < end:
            for name, most in _limits(walk, before):
                course.differences.append(_most(number + 1, shown[name], most))
    _end(walk, course, shown, course.groups[-1][-1], found.late)
    return course


def _most(now: int, reading: Reading, ticks: int) -> Difference:
    return (now, reading[0], ticks - reading[1])


def _least(now: int, reading: Reading, ticks: int) -> Difference:
    return (reading[0], now, reading[1] - ticks)


def _limits(walk: TimedWalk, place: Place) -> Iterator[tuple[str, int]]:
    running = {clock.name for clock in walk.layout(place)}
    for limit in walk.timing.limits:
        if limit.clock in running and walk.holds(place, limit.literal):
            yield limit.clock, limit.most


def _pass(
    walk: TimedWalk, course: _Course, shown: dict[str, Reading], before: Place, after: Place, number: int
) -> None:
    for one in walk.timing.passes:
        if one.clock and walk.holds(before, one.before) and walk.holds(after, one.after):
            course.differences.append(_least(number, shown[one.clock], one.least))
            if one.most is not None:
                course.differences.append(_most(number, shown[one.clock], one.most))
            course.passes.append((one.clock, number, shown[one.clock]))


def _showing(
    walk: TimedWalk, course: _Course, shown: dict[str, Reading], before: Place | None, place: Place, number: int
) -> dict[str, Reading]:
    """What each clock shows as a state is entered."""
    if before is None:
        starts: Sequence[tuple[Clock, int | None]] = [(clock, clock.at_start) for clock in walk.layout(place)]
        return {clock.name: _reading(course, number, ticks) for clock, ticks in starts}
    sources = walk.plan(before, place).sources
    found: dict[str, Reading] = {}
    for clock, (old, ticks) in zip(walk.layout(place), sources, strict=True):
        found[clock.name] = shown[clock.name] if old else _reading(course, number, ticks)
    return found


def _reading(course: _Course, number: int, ticks: int | None) -> Reading:
    if ticks is not None:
        return (number, ticks)
    course.extra += 1
    moment = len(course.groups) + course.extra
    course.differences.append((moment, number, 0))  # it began before
    return (moment, 0)


def _end(walk: TimedWalk, course: _Course, shown: dict[str, Reading], place: Place, late: Late | None) -> None:
    """What is late: too early in the last step, or too late some time after it."""
    last, end = len(course.groups) - 1, len(course.groups)
    if late is None or late.more_than is None:
        course.differences.append((end, last, 0))
    if late is not None and late.less_than is not None:
        course.differences.append(_most(last, shown[late.clock], late.less_than - 1))
    if late is not None and late.more_than is not None:
        course.differences.append(_least(end, shown[late.clock], late.more_than + 1))
    for name, most in _limits(walk, place):
        course.differences.append(_most(end, shown[name], most))
