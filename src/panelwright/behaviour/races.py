"""Two orders of movement that end in different states.

A burst is what happens between two moments of rest. It is lived through again with one device slow and all others
fast, and the other way round, for each device that moved: whatever order of two devices the times allow is met. Set
times stand still meanwhile, so that a slower course is not blamed for a timer that runs out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from .buzzing import Burst
from .engine import SAME_INSTANT_S, Engine, Moment
from .stands import Stand
from .times import Pace, Paces

FROZEN_S = 1e6
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
    usual: tuple[Moment, ...]
    other: tuple[Moment, ...]
    slow: tuple[str, ...]
    fast: tuple[str, ...]

    def __str__(self) -> str:
        def ends(course: tuple[Moment, ...]) -> str:
            return ", ".join(f"{tag} {_word(course[-1].stands[tag])}" for tag in self.tags)

        late, early = ", ".join(self.slow), ", ".join(self.fast)
        return f"usually {ends(self.usual)}; with {late} slow and {early} quick {ends(self.other)}"


def _word(stand: Stand) -> str:
    return {"operated": "in", "rest": "out"}.get(stand.plain.at, stand.plain.at)


def races_in(
    start: Engine, works: tuple[tuple[float, Work], ...], movers: frozenset[str], usual: tuple[Moment, ...]
) -> tuple[Race, ...]:
    """Races of one burst.

    `start`: the panel at rest before it, its set times put off. `works`: what was done at which time.
    `movers`: devices that moved. One race a set of devices that end differently.
    """
    found: dict[tuple[str, ...], Race] = {}
    for slow, fast in _orders(movers):
        course = _lived_through(start, works, slow, fast)
        tags = _different(usual[-1], course[-1])
        if tags and tags not in found:
            found[tags] = Race(tags, usual, course, slow, fast)
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
        tags = _different(usual[-1], other[-1])
        if tags:
            found.setdefault(tags, Race(tags, usual, other, (first[1],), (second[1],)))
    return tuple(found.values())


def _spread_s(engine: Engine, tag: str) -> float:
    return engine.rules[tag].device.mechanism.delay_tolerance_s


def _run_out(start: Engine, first: Entry, second: Entry) -> tuple[Moment, ...]:
    """The course in which two set times run out at these moments, all others standing still."""
    engine = start.copy()
    engine.freeze_set_times(FROZEN_S)
    for entry in (first, second):
        engine.agenda.enter(*entry)
    course = [engine.moment()]
    burst = Burst(dict(engine.stands))
    while (due := engine.agenda.next_due()) is not None and (due <= second[0] + SAME_INSTANT_S or engine.is_moving()):
        engine.step()
        course.append(engine.moment())
        if burst.seen(engine) is not None:
            break
    return tuple(course)


def _orders(movers: frozenset[str]) -> Iterator[tuple[tuple[str, ...], tuple[str, ...]]]:
    """Who is slow and who is fast."""
    names = sorted(movers)
    seen = set()
    for one in names:
        others = tuple(tag for tag in names if tag != one)
        for order in (((one,), others), (others, (one,))):
            if others and order not in seen:
                seen.add(order)
                yield order


def _lived_through(
    start: Engine, works: tuple[tuple[float, Work], ...], slow: tuple[str, ...], fast: tuple[str, ...]
) -> tuple[Moment, ...]:
    by_tag: dict[str, Pace] = {**dict.fromkeys(slow, "slow"), **dict.fromkeys(fast, "fast")}
    engine = start.copy(Paces(start.paces.others, by_tag))
    course = [engine.moment()]
    burst = Burst(dict(engine.stands))
    for when, work in works:
        _settle(engine, burst, course, when)
        engine.now = max(engine.now, when)
        work(engine)
        engine.flow()
        course.append(engine.moment())
    _settle(engine, burst, course, None)
    return tuple(course)


def _settle(engine: Engine, burst: Burst, course: list[Moment], until: float | None) -> None:
    while engine.is_moving():
        due = engine.agenda.next_due()
        if due is None or (until is not None and due > until):
            return
        engine.step()
        course.append(engine.moment())
        if burst.seen(engine) is not None:
            return


def _different(one: Moment, other: Moment) -> tuple[str, ...]:
    tags = (tag for tag, stand in one.stands.items() if stand is not other.stands[tag])
    return tuple(tag for tag in tags if _places(one.stands[tag]) != _places(other.stands[tag]))


def _places(stand: Stand) -> tuple[str, str]:
    return stand.plain.at, stand.timed.at
