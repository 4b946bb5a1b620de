"""Two orders of movement that end in different states.

A burst is what happens between two moments of rest. It is lived through again with one device slow and all others
fast, and the other way round, for each device that moved: whatever order of two devices the times allow is met. Set
times stand still meanwhile, so that a slower course is not blamed for a timer that runs out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice, zip_longest

from .buzzing import Burst
from .engine import SAME_INSTANT_S, Engine, Moment
from .stands import Stand
from .times import Pace, Paces
from .trace import Doing, Trace

FROZEN_S = 1e6
MOST_ORDERS = 60  # of one burst; only a chain of more than thirty devices that set one another off has more
SET_TIME_KEYS = frozenset({"expire", "change"})
Entry = tuple[float, str, str]  # due, tag, key
Work = Callable[[Engine], None]


@dataclass(frozen=True, slots=True)
class Race:
    """What the panel does may depend on which device is quicker.

    `tags`: devices that stand differently at the end. `usual`, `other`: both courses. `slow`, `fast`: who was slow and
    who fast in the other one.
    """

    tags: tuple[str, ...]
    usual: Trace
    other: Trace
    slow: tuple[str, ...]
    fast: tuple[str, ...]

    def __str__(self) -> str:
        late, early = ", ".join(self.slow), ", ".join(self.fast)
        return f"usually {self._end(self.usual)}; with {late} slow and {early} quick {self._end(self.other)}"

    def _end(self, course: Trace) -> str:
        stands = course.moments[-1].stands
        return ", ".join(f"{tag} {_word(stands[tag])}" for tag in self.tags)


def _word(stand: Stand) -> str:
    return {"operated": "in", "rest": "out"}.get(stand.plain.at, stand.plain.at)


@dataclass(frozen=True, slots=True)
class Worked:
    """What was done at a time (seconds): to the engine, and in words."""

    now: float
    work: Work
    doings: tuple[Doing, ...] = ()


def races_in(
    start: Engine, works: tuple[Worked, ...], movers: frozenset[str], usual: tuple[Moment | Doing, ...]
) -> tuple[Race, ...]:
    """Races of one burst.

    `start`: the panel at rest before it, its set times put off. `movers`: devices that moved. `usual`: the course that
    it took. One race a set of devices that end differently.
    """
    found: dict[tuple[str, ...], Race] = {}
    course = Trace(start.network.circuit, usual)
    groups: dict[int, set[str]] = {}
    for tag in movers:
        groups.setdefault(start.panel.group_of[tag], set()).add(tag)
    for slow, fast in _orders_together(groups.values()):
        other = _lived_through(start, works, slow, fast)
        tags = _different(course, other)
        if tags and tags not in found:
            found[tags] = Race(tags, course, other, slow, fast)
    return tuple(found.values())


def set_time_races(start: Engine) -> tuple[Race, ...]:
    """Races between the set time that runs out next and others that may, by their tolerances, run out before it."""
    entries = sorted(entry for entry in start.agenda.entries() if entry[2] in SET_TIME_KEYS)
    found: dict[tuple[str, ...], Race] = {}
    for first, second in zip(entries[:1] * len(entries), entries[1:], strict=False):
        if first[1] == second[1] or second[0] - first[0] > _spread_s(start, first[1]) + _spread_s(start, second[1]):
            continue
        usual = _run_out(start, first, second)
        other = _run_out(start, (first[0], *second[1:]), (second[0], *first[1:]))
        tags = _different(usual, other)
        if tags:
            found.setdefault(tags, Race(tags, usual, other, (first[1],), (second[1],)))
    return tuple(found.values())


def _spread_s(engine: Engine, tag: str) -> float:
    return engine.rules[tag].device.mechanism.delay_tolerance_s


def _run_out(start: Engine, first: Entry, second: Entry) -> Trace:
    """The course in which two set times run out at these moments, all others standing still."""
    engine = start.copy()
    engine.freeze_set_times(FROZEN_S)
    for entry in (first, second):
        engine.agenda.enter(*entry)
    course: list[Moment | Doing] = [engine.moment()]
    burst = Burst(dict(engine.stands))
    while (due := engine.agenda.next_due()) is not None and (due <= second[0] + SAME_INSTANT_S or engine.is_moving()):
        engine.step()
        course.append(engine.moment())
        if burst.seen(engine) is not None:
            break
    return Trace(engine.network.circuit, tuple(course))


def _orders_together(groups: Iterable[set[str]]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """The orders of all groups side by side: they have nothing to do with one another, so one course tries several."""
    for orders in islice(zip_longest(*(_orders(group) for group in groups), fillvalue=((), ())), MOST_ORDERS):
        yield tuple(tag for slow, _ in orders for tag in slow), tuple(tag for _, fast in orders for tag in fast)


def _orders(movers: set[str]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Who is slow and who is fast."""
    names = sorted(movers)
    seen = set()
    for one in names:
        others = tuple(tag for tag in names if tag != one)
        for order in (((one,), others), (others, (one,))):
            if others and order not in seen:
                seen.add(order)
                yield order


def _lived_through(start: Engine, works: tuple[Worked, ...], slow: tuple[str, ...], fast: tuple[str, ...]) -> Trace:
    by_tag: dict[str, Pace] = {**dict.fromkeys(slow, "slow"), **dict.fromkeys(fast, "fast")}
    engine = start.copy(Paces(start.paces.others, by_tag))
    course: list[Moment | Doing] = [engine.moment()]
    burst = Burst(dict(engine.stands))
    for worked in works:
        _settle(engine, burst, course, worked.now)
        engine.now = max(engine.now, worked.now)
        course += worked.doings
        worked.work(engine)
        engine.flow()
        course.append(engine.moment())
    _settle(engine, burst, course, None)
    return Trace(engine.network.circuit, tuple(course))


def _settle(engine: Engine, burst: Burst, course: list[Moment | Doing], until: float | None) -> None:
    while engine.is_moving():
        due = engine.agenda.next_due()
        if due is None or (until is not None and due > until):
            return
        engine.step()
        course.append(engine.moment())
        if burst.seen(engine) is not None:
            return


def _different(one: Trace, other: Trace) -> tuple[str, ...]:
    """Devices whose contacts stand differently at the end of two courses."""
    here, there = one.moments[-1].stands, other.moments[-1].stands
    return tuple(tag for tag in here if here[tag] is not there[tag] and _places(here[tag]) != _places(there[tag]))


def _places(stand: Stand) -> tuple[str, str]:
    return stand.plain.at, stand.timed.at
