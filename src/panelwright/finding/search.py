"""A search for a fault: what is known, what may be wrong, what to do next. Behind dialogue, page and paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property

from ..circuit import Circuit
from ..wiring import Wiring, wire
from .book import Book, book_about
from .changes import Change, read_change
from .evidence import Differs, Evidence, Leads, Reading, Seen, Unclear, read_reading
from .meters import Meter, UnknownMeter, meter_called
from .proposing import Branch, Proposal, branches_of, groups_of, propose
from .ranking import Group, Ranked, Ranking, rank
from .situations import Situation, UnclearSituation
from .steps import Bench, Test, answer
from .symptoms import Understood, read_symptom

SETTLED = 0.9  # a group this likely is named as the answer


@dataclass(frozen=True)
class Search:
    """A search at one point. Immutable: every piece of evidence makes a new one.

    `new`: the panel was just wired or altered; else it worked before. `live`: readings with the power on are allowed.
    `changes`: what changed before it failed.
    """

    wiring: Wiring
    evidence: tuple[Evidence, ...] = ()
    new: bool = False
    meter: Meter = meter_called("digital")  # noqa: RUF009 - an immutable row of a table
    live: bool = True
    changes: tuple[Change, ...] = ()

    @classmethod
    def of(cls, circuit: Circuit | Wiring, *, new: bool = False, meter: str = "digital", live: bool = True) -> Search:
        """Nothing known yet. Raises UnknownMeter."""
        return cls(wire(circuit) if isinstance(circuit, Circuit) else circuit, (), new, meter_called(meter), live)

    # -- what is known ---------------------------------------------------------------------------------------------

    def see(self, words: str) -> Search:
        """With a symptom. Raises Unclear."""
        return self.with_pieces(self.understood(words).evidence)

    def changed(self, words: str) -> Search:
        """With something that changed before it failed ("K1 was replaced", "it was wet"). Raises Unclear."""
        change = read_change(self.wiring.circuit, words)
        return self if change.is_nothing else replace(self, changes=(*self.changes, change))

    def understood(self, words: str) -> Understood:
        """What a symptom means here. Raises Unclear."""
        try:
            return read_symptom(self.words_book, words)
        except UnclearSituation as reason:
            raise Unclear(str(reason)) from reason

    def read(self, words: str) -> Search:
        """With a reading ("K1.13 to G1.-: 0 V @ S2 held"). Raises Unclear."""
        try:
            at = next((piece.situation for piece in reversed(self.evidence) if not piece.situation.is_dead), None)
            return self.with_pieces((read_reading(self.words_book, words, at, self.meter),))
        except (UnclearSituation, UnknownMeter) as reason:
            raise Unclear(str(reason)) from reason

    def answered(self, test: Test, outcome: str, value: float | None = None) -> Search:
        """With the outcome of a test: a word for a look, a value in the unit of the test for a reading."""
        return self.with_pieces((answer(test, outcome, value, self.meter, f"{test.a} {test.b}: {outcome}".strip()),))

    def with_meter(self, name: str) -> Search:
        """With another meter. Raises UnknownMeter."""
        return replace(self, meter=meter_called(name))

    def but(self, *, new: bool | None = None, live: bool | None = None) -> Search:
        """The same, for a panel that is new or not, and with live readings or without."""
        return replace(self, new=self.new if new is None else new, live=self.live if live is None else live)

    def with_pieces(self, pieces: Iterable[Evidence]) -> Search:
        """With more evidence."""
        return replace(self, evidence=(*self.evidence, *pieces))

    def without(self, index: int) -> Search:
        """Without one piece of evidence."""
        return replace(self, evidence=tuple(piece for at, piece in enumerate(self.evidence) if at != index))

    # -- what follows ----------------------------------------------------------------------------------------------

    @property
    def words_book(self) -> Book:
        """The whole panel, sound, for the meaning of words."""
        return book_about(self.wiring, ())

    @cached_property
    def book(self) -> Book:
        """What every cause would do, about what this search is about."""
        return book_about(self.wiring, (_tags(piece) for piece in self.evidence))

    @cached_property
    def ranking(self) -> Ranking:
        """Every cause weighed."""
        return rank(self.book, self.evidence, self.new, self.changes)

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        """The best causes, those that cannot be told apart together."""
        return groups_of(self.book, self.ranking, self.evidence, self.meter, self.live)

    @cached_property
    def proposals(self) -> tuple[Proposal, ...]:
        """What to do next, the best first."""
        return propose(self.book, self.ranking, self.evidence, self.meter, self.live)

    @property
    def is_dead(self) -> bool:
        """Whether the power is off, as far as the last piece says."""
        return bool(self.evidence) and self.evidence[-1].situation.is_dead

    @property
    def is_settled(self) -> bool:
        """One group is left, or one is likely enough and explains everything."""
        return self.ranking.is_explained and (len(self.groups) == 1 or self.groups[0].probability >= SETTLED)

    def proof(self) -> tuple[str, ...]:
        """Which piece excludes which of the likely other causes."""
        from .verdict import proof_of

        return proof_of(self)

    def branches(self, test: Test) -> tuple[Branch, ...]:
        """What a test would show, and why."""
        return branches_of(Bench(self.book, self.meter), test, self.ranking.best)


def _tags(piece: Evidence) -> tuple[str, ...]:
    if isinstance(piece, Seen):
        return (piece.state.subject,)
    if isinstance(piece, Leads):
        return (piece.tag,)
    if isinstance(piece, Differs):
        return tuple(state.subject for state in piece.states)
    return tuple(place.partition(".")[0] for place in (piece.a, piece.b))


__all__ = ["Group", "Ranked", "Reading", "Search", "Seen", "Situation"]
