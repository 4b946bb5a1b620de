"""Practice: a hidden fault, a learner who measures, and a score for number, safety and order of readings."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from ..wiring import Wiring
from .book import Book, Played, book_about
from .causes import Cause, causes_of
from .efforts import cost_of, effort_of
from .evidence import Evidence, Seen, read_reading
from .meters import Meter, meter_called
from .planted import Isolation, first_symptom, isolate
from .probing import Shown, shown
from .proposing import entropy
from .ranking import Group
from .search import Search
from .situations import Situation, situation_called
from .steps import Test, answer, told_test

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


@dataclass(frozen=True, slots=True)
class Taken:
    """One look or reading of a learner. `evidence`: what it says; `hazard` as in `efforts.toml`."""

    test: Test
    shown: str
    evidence: Evidence

    @property
    def words(self) -> str:
        """ "K1.13 to G1.-, S2 held"."""
        places = f"{self.test.a} to {self.test.b}" if self.test.b else f"look at {self.test.a}"
        return f"{places}, {self.test.situation.name}"


@dataclass
class Practice:
    """One task. `symptom`: what the learner is told. `cause` is hidden. `log`: what the learner did, in order."""

    wiring: Wiring
    cause: Cause
    symptom: Seen
    difficulty: Difficulty
    seed: int
    way: Isolation
    book: Book = field(repr=False)
    log: list[Taken] = field(default_factory=list)

    def look(self, tag: str, situation: str) -> str:
        """What is seen of a device. Raises UnclearSituation, KeyError."""
        at = situation_called(self.book.network, situation)
        test = Test("look", self.book.circuit.by_tag[tag].tag, "", at, effort_of("look").minutes)
        word = self.book.look(self._played(at), test.a, at)
        self.log.append(Taken(test, word, answer(test, word, None, self._meter, word)))
        return word

    def measure(self, a: str, b: str, situation: str, meter: str = "digital") -> Shown:
        """What the meter shows. Raises Unclear, UnclearSituation, UnknownMeter."""
        at = situation_called(self.book.network, situation)
        taken_with = meter_called(meter)
        named = read_reading(self.book, f"{a} to {b}: 0 V @ {at.name}")
        found = shown(self._played(at).state, named.a, named.b, taken_with)
        kind = "ohms" if found.unit == "ohm" else "volts"
        test = Test(kind, named.a, named.b, at, effort_of(kind).minutes)
        self.log.append(Taken(test, found.text, answer(test, found.text, found.value, taken_with, found.text)))
        return found

    @property
    def _meter(self) -> Meter:
        return meter_called("digital")

    def _played(self, situation: Situation) -> Played:
        played = self.book.played(self.cause, situation)
        assert played is not None
        return played

    @property
    def start(self) -> Search:
        """The search as it stands when the task begins."""
        return Search.of(self.wiring, new=self.cause.is_miswire).with_pieces((self.symptom,))

    def score(self, guess: str) -> Score:
        """A guess: the id of a cause, or a tag or terminal that it is about."""
        ids = {one.cause.id for group in self._last_groups() for one in group.members}
        right = guess == self.cause.id or guess in (*self.cause.tags, *self.cause.ends) or guess in ids
        live = sum(1 for one in self.log if one.test.hazard)
        live_best = sum(1 for done in self.way.tests if done.test.hazard)
        best = max(1, len(self.way.tests))
        order = self._order()
        points = 100 - 6 * max(0, len(self.log) - best) - 4 * max(0, live - live_best) - round(20 * (1 - order))
        return Score(right, max(20, points) if right else 0, len(self.log), live, best, order, self.cause)

    def _order(self) -> float:
        """How much each test told, against the best that could be done at that moment; 1 when always the best."""
        search, shares = self.start, []
        for one in self.log:
            proposals = search.proposals
            if not proposals:
                break
            bits = entropy(branch.probability for branch in search.branches(one.test))
            cost = cost_of(one.test.minutes, one.test.hazard, one.test.situation.is_dead != search.is_dead)
            shares.append(min(1.0, bits / cost / proposals[0].worth))
            search = search.with_pieces((one.evidence,))
        return sum(shares) / len(shares) if shares else 0.0

    def _last_groups(self) -> tuple[Group, ...]:
        search = self.start
        for done in self.way.tests:
            search = search.answered(done.test, done.shown, done.value)
        return search.groups[:1]


@dataclass(frozen=True, slots=True)
class Score:
    """`points` of 100, 0 for a wrong guess: less 6 for each test more than the best way takes, 4 for each live one too
    many, and up to 20 for the order. `order`: 1 when each test told as much as the best one would have.
    """

    right: bool
    points: int
    tests: int
    live: int
    best: int
    order: float
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


def tasks_for(wiring: Wiring, count: int, seed: int, difficulty: Difficulty | None) -> tuple[Practice, ...]:
    """Tasks for a class, no two with the same cause; the same seed gives the same ones.

    Fewer when no more faults show themselves. Raises NothingToHide when none does.
    """
    found: dict[str, Practice] = {}
    for attempt in range(count * 6):
        task = hide(wiring, seed * 1000 + attempt, difficulty)
        found.setdefault(task.cause.id, task)
        if len(found) == count:
            break
    return tuple(found.values())


def worksheet(tasks: Sequence[Practice], seed: int, answers: bool) -> str:
    """Tasks for a class as text, or their answers."""
    return "\n".join(_worksheet(tasks, seed, answers)) + "\n"


def _worksheet(tasks: Sequence[Practice], seed: int, answers: bool) -> Iterator[str]:
    title = tasks[0].wiring.circuit.heading.title
    yield f"{'ANSWERS' if answers else 'FAULT FINDING'}   {title}   seed {seed}"
    if not answers:
        yield f"Name {'_' * 30}   Date {'_' * 12}"
    for number, task in enumerate(tasks, 1):
        yield ""
        yield f"{number}. {told_symptom(task)}"
        yield from (f"   {line}" for line in (answer_lines(task) if answers else _blank_lines()))


def task_values(task: Practice, answers: bool) -> dict[str, Any]:
    """A task for other programs; its way and cause only among the answers."""
    found: dict[str, Any] = {"symptom": told_symptom(task), "difficulty": task.difficulty}
    if answers:
        way = [{"do": told_test(task.wiring, done.test), "shows": done.shown} for done in task.way.tests]
        found |= {"way": way, "cause": task.cause.id, "words": task.cause.words, "mend": task.cause.mend}
    return found


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
        yield f"{row}. from {'_' * 10} to {'_' * 10}  situation {'_' * 14}  reads {'_' * 8}  so {'_' * 16}"
    yield f"Cause {'_' * 40}  Mend {'_' * 20}"


def answer_lines(task: Practice) -> Iterator[str]:
    """The best way, numbered, then cause and mend."""
    for row, done in enumerate(task.way.tests, 1):
        yield f"{row}. {told_test(task.wiring, done.test)} -> {done.shown}"
    yield f"Cause: {task.cause.words}."
    if task.way.left > 1:
        more = task.way.left - 1
        yield f"({more} other cause{'s show' if more > 1 else ' shows'} the same in all readings.)"
    yield f"Mend: {task.cause.mend}."


def again(task: Practice) -> Practice:
    """The same task from the start."""
    return replace(task, log=[])
