"""Causes ranked by what is known, and those that nothing can tell apart kept together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..electrics import UnknownPlace
from .book import Book
from .causes import Cause
from .evidence import Evidence, Seen

LITTLE = 1e-3  # a probability below this is not worth a word


@dataclass(frozen=True, slots=True)
class Ranked:
    """One cause. `probability` among all that are ranked; `against`: pieces of evidence that it does not explain."""

    cause: Cause
    probability: float
    against: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Causes that no reading taken or proposed so far would tell apart, the most likely first."""

    members: tuple[Ranked, ...]

    @property
    def probability(self) -> float:
        """Of all of them together."""
        return sum(one.probability for one in self.members)

    @property
    def best(self) -> Cause:
        """The most likely one."""
        return self.members[0].cause


@dataclass(frozen=True, slots=True)
class Ranking:
    """`explaining`: causes that explain every piece, best first. `others`: the next best when there are none.

    `sound`: the sound panel would show all of this too: it is the design, or nothing is wrong.
    """

    explaining: tuple[Ranked, ...]
    others: tuple[Ranked, ...]
    sound: bool
    contradicting: tuple[Evidence, ...] = ()

    @property
    def best(self) -> tuple[Ranked, ...]:
        """What to go on with."""
        return self.explaining or self.others


def rank(book: Book, evidence: Sequence[Evidence], new: bool = False) -> Ranking:
    """Every cause weighed against the evidence. `new`: the panel was just wired or altered.

    In a panel that worked, wiring mistakes are only looked at when nothing else explains what is known.
    """
    likely = [cause for cause in book.causes if new or not cause.is_miswire]
    ranking = _ranking(book, evidence, new, likely)
    if not any(one.cause.faults for one in ranking.explaining) and not new:
        return _ranking(book, evidence, new, book.causes)
    return ranking


def _ranking(book: Book, evidence: Sequence[Evidence], new: bool, causes: Sequence[Cause]) -> Ranking:
    weighed: list[tuple[float, Cause, tuple[Evidence, ...]]] = []
    for cause in causes:
        weight = (cause.new if new else cause.used) * _fitness(cause, evidence)
        against = []
        for piece in evidence:
            if not _fits(book, cause, piece):
                weight *= 1 - piece.belief
                against.append(piece)
            else:
                weight *= piece.belief
            if len(against) > 1:
                break
        weighed.append((weight, cause, tuple(against)))
    total = sum(weight for weight, _, _ in weighed) or 1.0
    ranked = sorted((Ranked(c, w / total, a) for w, c, a in weighed), key=lambda one: -one.probability)
    explaining = tuple(one for one in ranked if not one.against and one.cause.faults)
    nothing = next((one for one in ranked if not one.cause.faults), None)
    sound = nothing is not None and not nothing.against
    if sound and nothing is not None:
        explaining = tuple(sorted((*explaining, nothing), key=lambda one: -one.probability))
    others = () if explaining else tuple(ranked[:12])
    return Ranking(_normal(explaining), _normal(others), sound, _odd(ranked, explaining))


def _fitness(cause: Cause, evidence: Sequence[Evidence]) -> float:
    """A cause that comes and goes is little likely when everything was seen the same each time."""
    comes_and_goes = any(fault.form in ("flutters", "loose", "bounces") for fault in cause.faults)
    sometimes = any(isinstance(piece, Seen) and piece.sometimes for piece in evidence)
    return 4.0 if comes_and_goes and sometimes else 1.0


def _fits(book: Book, cause: Cause, piece: Evidence) -> bool:
    key = cause.id, piece
    fits = book.told.get(key)
    if fits is None:
        fits = _works_out(book, cause, piece, whole=False)
        if fits is None:  # a place that the core leaves out
            fits = bool(_works_out(book, cause, piece, whole=True))
        book.told[key] = fits
    return bool(fits)


def _works_out(book: Book, cause: Cause, piece: Evidence, whole: bool) -> bool | None:
    played = book.played(cause, piece.situation, whole)
    try:
        return played is not None and piece.fits(book, cause, played)
    except UnknownPlace:
        return None


def _normal(ranked: tuple[Ranked, ...]) -> tuple[Ranked, ...]:
    total = sum(one.probability for one in ranked) or 1.0
    return tuple(Ranked(one.cause, one.probability / total, one.against) for one in ranked)


def _odd(ranked: list[Ranked], explaining: tuple[Ranked, ...]) -> tuple[Evidence, ...]:
    """When nothing explains everything: the pieces that the best causes leave over."""
    if explaining or not ranked:
        return ()
    fewest = min(len(one.against) for one in ranked[:20])
    return tuple(dict.fromkeys(p for one in ranked[:5] if len(one.against) == fewest for p in one.against))
