"""A planted fault, found by following the proposals: how many readings that takes, against what is possible."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..circuit import Is
from ..electrics import UnknownPlace
from .book import Book
from .causes import Cause
from .evidence import Seen, expected_value
from .naming import works
from .offers import cold_tests, volts_tests
from .probing import ohms_text
from .search import Search
from .situations import Situation
from .steps import Bench, Test

MOST_TESTS, MOST_WALKED = 25, 60


@dataclass(frozen=True, slots=True)
class Done:
    """A test that was made: what was `shown`, in words, and its `value` in the unit of the test (None for open)."""

    test: Test
    shown: str
    value: float | None


@dataclass(frozen=True, slots=True)
class Isolation:
    """The way to a planted fault. `found`: it is in the group that is left. `looks`, `readings`: how many of each.

    `classes`: groups that could be told apart at the start; `walked`: readings of somebody who walks the rungs instead.
    """

    cause: Cause
    found: bool
    looks: int
    readings: int
    classes: int
    walked: int
    left: int
    tests: tuple[Done, ...] = ()

    @property
    def bound(self) -> float:
        """Fewest tests with two outcomes that could tell so many classes apart."""
        return math.log2(self.classes) if self.classes > 1 else 0.0


def first_symptom(book: Book, cause: Cause) -> tuple[Seen, ...]:
    """What would be reported of a fault: the first situation in which something is seen that should not be."""
    for situation in sorted(book.situations, key=lambda s: len(s.steps)):
        played = book.played(cause, situation)
        if played is None:
            return ()
        sound = book.sound(situation)
        for tag, device in book.circuit.by_tag.items():
            if not works(device) or device.sources:
                continue
            word, wanted = book.look(played, tag, situation), book.look(sound, tag, situation)
            if word != wanted and _is_plain(word):
                state, _, value = word.partition(" ")
                state = "buzzing" if word == "chattering" else state
                return (Seen(Is(tag, state, value), situation, f"{tag} is {word} ({situation.name})"),)
    return ()


def _is_plain(word: str) -> bool:
    return word not in ("moving", "between in and out", "partly on", "hardly sounding", "buzzing")


def isolate(search: Search, cause: Cause, walk: bool = False) -> Isolation:
    """Follow the best proposal each time, answered by the panel with the cause in it. `walk`: walk the rungs, too."""
    classes = len(search.groups)
    walked = walk_length(search, cause) if walk else 0
    looks = readings = 0
    tests: list[Done] = []
    while not _is_done(search) and len(tests) < MOST_TESTS:
        best = search.proposals[0].test
        played = search.book.played(cause, best.situation)
        if played is None:
            break
        word, value = answer_of(search, best, cause)
        search = search.answered(best, word, value)
        tests.append(Done(best, word, value))
        looks, readings = looks + (not best.unit), readings + bool(best.unit)
    left = [one.cause.id for one in search.groups[0].members] if search.groups else []
    found = any(one.cause.id == cause.id for group in search.groups for one in group.members)
    return Isolation(cause, found, looks, readings, classes, walked, len(left), tuple(tests))


def _is_done(search: Search) -> bool:
    return len(search.groups) <= 1 or not search.proposals


def answer_of(search: Search, test: Test, cause: Cause) -> tuple[str, float | None]:
    """What the panel with the cause in it answers."""
    if not test.unit:
        shown = Bench(search.book, search.meter).shown_by(test, cause)
        assert shown is not None
        return shown, None
    played = search.book.played(cause, test.situation)
    assert played is not None
    try:
        value = expected_value(played, test.a, test.b, test.unit, search.meter)
    except UnknownPlace:
        value = None
    if test.unit == "ohm":
        return "open" if value is None else ohms_text(value), value
    return ("open" if value is None else f"{value if abs(value) > 1e-6 else 0.0:.3g} {test.unit}"), value


def walk_length(search: Search, cause: Cause) -> int:
    """Readings of somebody who walks the rungs from the supply, one lead parked, then buzzes wire by wire."""
    situation = next(piece.situation for piece in search.evidence)
    count = 0
    for test in (*volts_tests(search.book, situation), *cold_tests(search.book)):
        if len(search.groups) <= 1 or count >= MOST_WALKED:
            return count
        if search.book.played(cause, test.situation) is None:
            return count
        search = search.answered(test, *answer_of(search, test, cause))
        count += 1
    return count


def shows_itself(book: Book, cause: Cause, situation: Situation) -> bool:
    """Whether anything can be seen of a cause in a situation."""
    played = book.played(cause, situation)
    if played is None:
        return False
    tags = [tag for tag, device in book.circuit.by_tag.items() if works(device)]
    sound = book.sound(situation)
    return any(book.look(played, tag, situation) != book.look(sound, tag, situation) for tag in tags)
