"""Practice: a hidden fault, a learner who measures, and a score for number, safety and order of readings."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from ..wiring import Wiring
from .book import Book, Played, book_about
from .causes import Cause, causes_of
from .evidence import Evidence, Seen, read_reading
from .meters import meter_called
from .planted import Isolation, first_symptom, isolate
from .probing import Shown, shown
from .ranking import Group
from .search import Search
from .situations import Situation, situation_called
from .steps import LIVE, LOOK

Difficulty = Literal["easy", "middle", "hard"]
EASY_UP_TO, MIDDLE_UP_TO = 4, 12  # groups that explain the symptom
NOT_FOR_CLASS = (
    "assumption",
    "contact-bounces",
    "timer-short",
    "timer-long",
    "loose",
    "flutters",
    "supply-small",
    "own-nothing",
)
MOST_DRAWS = 60


class NothingToHide(ValueError):
    """No fault of the wanted difficulty shows itself in this panel."""


@dataclass
class Practice:
    """One task. `symptom`: what the learner is told. `cause` is hidden. `log`: looks and readings, with their cost."""

    wiring: Wiring
    cause: Cause
    symptom: Seen
    difficulty: Difficulty
    seed: int
    way: Isolation
    book: Book = field(repr=False)
    log: list[tuple[str, str, float]] = field(default_factory=list)
    known: list[Evidence] = field(default_factory=list)

    def look(self, tag: str, situation: str) -> str:
        """What is seen of a device. Raises UnclearSituation, KeyError."""
        at = situation_called(self.book.network, situation)
        word = self.book.look(self._played(at), self.book.circuit.by_tag[tag].tag, at)
        self.log.append((f"look at {tag}, {at.name}", word, LOOK))
        return word

    def measure(self, a: str, b: str, situation: str, meter: str = "digital") -> Shown:
        """What the meter shows. Raises Unclear, UnclearSituation, UnknownMeter."""
        at = situation_called(self.book.network, situation)
        named = read_reading(self.book, f"{a} to {b}: 0 V @ {at.name}")
        found = shown(self._played(at).state, named.a, named.b, meter_called(meter))
        self.log.append((f"{a} to {b}, {at.name}", found.text, LIVE if not at.is_dead else 0.0))
        return found

    def _played(self, situation: Situation) -> Played:
        played = self.book.played(self.cause, situation)
        assert played is not None
        return played

    def score(self, guess: str) -> Score:
        """A guess: the id of a cause, or a tag or terminal that it is about."""
        ids = {one.cause.id for group in self._last_groups() for one in group.members}
        right = guess == self.cause.id or guess in (*self.cause.tags, *self.cause.ends) or guess in ids
        live = sum(1 for _, _, cost in self.log if cost >= LIVE)
        best = max(1, self.way.looks + self.way.readings)
        points = 0
        if right:
            points = max(20, 100 - 8 * max(0, len(self.log) - best) - 4 * max(0, live - self.way.readings))
        looked_first = bool(self.log) and self.log[0][2] <= LOOK
        return Score(right, points, len(self.log), live, best, looked_first, self.cause)

    def _last_groups(self) -> tuple[Group, ...]:
        search = Search.of(self.wiring, new=self.cause.is_miswire).with_pieces((self.symptom,))
        for test, word in self.way.tests:
            value = None if word == "open" or test.kind == "look" else float(word.split()[0])
            search = search.answered(test, word, value)
        return search.groups[:1]


@dataclass(frozen=True, slots=True)
class Score:
    """`points` of 100: found, less 8 for each test more than the best way takes, less 4 for each live one too many."""

    right: bool
    points: int
    tests: int
    live: int
    best: int
    looked_first: bool
    cause: Cause


def difficulty_of(way: Isolation) -> Difficulty:
    """By how many groups explain the symptom."""
    return "easy" if way.classes <= EASY_UP_TO else "middle" if way.classes <= MIDDLE_UP_TO else "hard"


def hide(wiring: Wiring, seed: int = 0, difficulty: Difficulty | None = None, cause: str = "") -> Practice:
    """A task: a cause by its id, or drawn. The same seed gives the same task. Raises NothingToHide."""
    draw = random.Random(f"{seed} {difficulty}")
    book = book_about(wiring, ())
    causes = [one for one in causes_of(wiring) if one.kind not in NOT_FOR_CLASS]
    if cause:
        causes = [one for one in causes_of(wiring) if one.id == cause]
    draw.shuffle(causes)
    for one in causes[:MOST_DRAWS]:
        symptom = first_symptom(book, one)
        if not symptom:
            continue
        search = Search.of(wiring, new=one.is_miswire).with_pieces(symptom)
        if not search.ranking.explaining:
            continue
        way = isolate(search, one)
        if difficulty in (None, difficulty_of(way)) and way.found:
            return Practice(wiring, one, symptom[0], difficulty_of(way), seed, way, book)
    wanted = f" that is {difficulty}" if difficulty else ""
    raise NothingToHide(f"no fault{wanted} shows itself here; take another seed or difficulty")


def worksheet(wiring: Wiring, count: int, seed: int, difficulty: Difficulty | None, answers: bool) -> str:
    """Tasks for a class, or their answers. Reproducible by seed."""
    return "\n".join(_worksheet(wiring, count, seed, difficulty, answers)) + "\n"


def _worksheet(wiring: Wiring, count: int, seed: int, difficulty: Difficulty | None, answers: bool) -> Iterator[str]:
    title = wiring.circuit.heading.title
    yield f"{'ANSWERS' if answers else 'FAULT FINDING'}   {title}   seed {seed}"
    if not answers:
        yield f"Name {'_' * 30}   Date {'_' * 12}"
    taken: set[str] = set()
    number = 0
    for attempt in range(count * 6):
        task = hide(wiring, seed * 1000 + attempt, difficulty)
        if task.cause.id in taken:
            continue
        taken.add(task.cause.id)
        number += 1
        yield ""
        yield f"{number}. {told_symptom(task)}"
        yield from _answer_lines(task) if answers else _blank_lines()
        if number == count:
            return


def told_symptom(task: Practice) -> str:
    """What the learner is told."""
    past = "The panel was just wired." if task.cause.is_miswire else "It worked yesterday."
    state = task.symptom.state
    word = "chatters" if state.state == "buzzing" else f"is {state.state} {state.value}".strip()
    device = task.book.circuit.by_tag[state.subject]
    name = f"{state.subject} ({device.text})" if device.text else state.subject
    return f"{past} {task.symptom.situation.name[0].upper()}{task.symptom.situation.name[1:]}: {name} {word}."


def _blank_lines() -> Iterator[str]:
    for row in range(1, 6):
        yield f"   {row}. from {'_' * 10} to {'_' * 10}  situation {'_' * 14}  reads {'_' * 8}  so {'_' * 16}"
    yield f"   Cause {'_' * 40}  Mend {'_' * 20}"


def _answer_lines(task: Practice) -> Iterator[str]:
    from .steps import told_test

    for row, (test, word) in enumerate(task.way.tests, 1):
        yield f"   {row}. {told_test(task.wiring, test)} -> {word}"
    yield f"   Cause: {task.cause.words}."
    if task.way.left > 1:
        yield f"   ({task.way.left - 1} other causes show the same in all readings.)"
    yield f"   Mend: {task.cause.mend}."


def again(task: Practice) -> Practice:
    """The same task from the start."""
    return replace(task, log=[], known=[])
