"""Causes ranked by what is known, and those that nothing can tell apart kept together."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..electrics import UnknownPlace
from .book import Book
from .causes import Cause
from .changes import Change, weight_of
from .evidence import Evidence, Seen
from .pairing import pairs_explaining

MOST_OTHERS = 12  # next best ones that are told when nothing explains everything


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
    """`explaining`: single causes that explain every piece, best first. Where there are none, `pairs` of causes that
    do, and `others`, the next best single ones.

    `sound`: the sound panel would show all of this too: it is the design, or nothing is wrong.
    `contradicting`: pieces that the best single causes leave over.
    """

    explaining: tuple[Ranked, ...]
    others: tuple[Ranked, ...]
    sound: bool
    contradicting: tuple[Evidence, ...] = ()
    pairs: tuple[Ranked, ...] = ()

    @property
    def best(self) -> tuple[Ranked, ...]:
        """What to go on with."""
        return self.explaining or self.pairs or self.others

    @property
    def is_explained(self) -> bool:
        """Whether a cause or a pair of them explains everything."""
        return bool(self.explaining or self.pairs)


def rank(book: Book, evidence: Sequence[Evidence], new: bool = False, changes: tuple[Change, ...] = ()) -> Ranking:
    """Every cause weighed against the evidence. `new`: the panel was just wired or altered.

    In a panel that worked, wiring mistakes are only looked at when nothing else explains what is known, or at a device
    that was worked on. Pairs of causes are looked at when no single one explains all of it.
    """

    def thought_of(cause: Cause) -> bool:
        return new or not cause.is_miswire or any(change.may_miswire(cause) for change in changes)

    weight = {cause.id: weight_of(cause, new, changes) * _fitness(cause, evidence) for cause in book.causes}
    likely = [cause for cause in book.causes if thought_of(cause)]
    left: Sequence[Cause] = ()
    for causes in (likely, book.causes):
        if not any(cause.faults for cause in left):
            left = _explaining(book, evidence, causes)
    if left:
        sound = not all(cause.faults for cause in left)
        return Ranking(_normal(Ranked(cause, weight[cause.id]) for cause in left), (), sound)
    ranked, against = _nearest(book, evidence, weight)
    pairs: list[tuple[float, Cause]] = []
    if len(evidence) > 1:
        nothing = next(cause for cause in book.causes if not cause.faults)
        weighed = [(weight[cause.id], cause) for cause in likely]
        pairs = pairs_explaining(weighed, nothing, evidence, lambda cause, piece: _fits(book, cause, piece))
    return Ranking((), ranked, False, against, _normal(Ranked(pair, heavy) for heavy, pair in pairs))


def _explaining(book: Book, evidence: Sequence[Evidence], causes: Sequence[Cause]) -> Sequence[Cause]:
    """Those that explain every piece; each piece is only asked of what the earlier ones left."""
    for piece in evidence:
        causes = [cause for cause in causes if _fits(book, cause, piece)]
    return causes


def _nearest(
    book: Book, evidence: Sequence[Evidence], weight: dict[str, float]
) -> tuple[tuple[Ranked, ...], tuple[Evidence, ...]]:
    """The next best single causes, and the pieces that the best of them leave over."""
    weighed: list[Ranked] = []
    for cause in book.causes:
        against = tuple(piece for piece in evidence if not _fits(book, cause, piece))
        belief = math.prod(1 - piece.belief if piece in against else piece.belief for piece in evidence)
        weighed.append(Ranked(cause, weight[cause.id] * belief, against))
    ranked = _normal(sorted(weighed, key=lambda one: -one.probability))
    fewest = min(len(one.against) for one in ranked[:20])
    odd = [piece for one in ranked[:5] if len(one.against) == fewest for piece in one.against]
    return ranked[:MOST_OTHERS], tuple(dict.fromkeys(odd))


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


def _normal(ranked: Iterable[Ranked]) -> tuple[Ranked, ...]:
    """With probabilities that add up to 1, the likeliest first."""
    found = sorted(ranked, key=lambda one: -one.probability)
    total = sum(one.probability for one in found) or 1.0
    return tuple(Ranked(one.cause, one.probability / total, one.against) for one in found)
