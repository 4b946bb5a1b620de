"""Two causes at once, where no single one explains everything that is known."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from .causes import Cause
from .evidence import Evidence, wrong_leads

MOST_FIRST, MOST_PARTNERS = 40, 16  # the likeliest of each are put together
MOST_PLAYED, ENOUGH = 400, 16  # pairs that are played at most; explaining ones that are enough
SECOND = 0.01  # weight of a second fault beside one of weight 1; common practice, no source
HIDDEN = (
    "contact-welded", "stuck-in", "button-stuck-in", "conductor-earthed", "terminals-bridged", "cores-bridged",
    "overload-stuck", "diode-open", "sensor-stuck-made", "leakage", "coupled",
)  # fmt: skip

Fits = Callable[[Cause, Evidence], bool]


@dataclass(frozen=True, slots=True)
class _Single:
    cause: Cause
    weight: float
    explains: frozenset[int]  # pieces


def pairs_explaining(
    weighed: Sequence[tuple[float, Cause]], sound: Cause, evidence: Sequence[Evidence], fits: Fits
) -> list[tuple[float, Cause]]:
    """Pairs of causes that explain every piece, with their weights, the likeliest first.

    One of a pair explains something that the sound panel does not show; the other what the first leaves over, or it is
    one that hides: it shows nothing alone. At most MOST_PLAYED pairs are played, the likeliest first.
    """
    singles = [
        _Single(cause, weight, frozenset(at for at, piece in enumerate(evidence) if fits(cause, piece)))
        for weight, cause in weighed
        if cause.faults
    ]
    usual = frozenset(at for at, piece in enumerate(evidence) if fits(sound, piece))
    found: list[tuple[float, Cause]] = []
    for count, (one, other) in enumerate(_candidates(singles, usual, len(evidence))):
        if count >= MOST_PLAYED or len(found) >= ENOUGH:
            break
        pair = both(one.cause, other.cause)
        if all(fits(pair, piece) for piece in evidence):
            found.append((one.weight * other.weight * SECOND, pair))
    return sorted(found, key=lambda each: -each[0])


def _candidates(singles: list[_Single], usual: frozenset[int], pieces: int) -> Iterator[tuple[_Single, _Single]]:
    """Pairs worth playing, the likeliest first, each once."""
    singles = sorted(singles, key=lambda one: -one.weight)
    telling = [one for one in singles if one.explains - usual]
    firsts = sorted(telling, key=lambda one: (-len(one.explains), -one.weight))[:MOST_FIRST]
    hidden = [one for one in singles if one.cause.kind in HIDDEN and usual <= one.explains][:MOST_PARTNERS]
    pairs: dict[frozenset[str], tuple[_Single, _Single]] = {}
    for one in firsts:
        left = set(range(pieces)) - one.explains
        partners = [other for other in telling if other.explains & left][:MOST_PARTNERS]
        for other in (*partners, *hidden):
            if other.cause.id != one.cause.id:
                pairs.setdefault(frozenset((one.cause.id, other.cause.id)), (one, other))
    yield from sorted(pairs.values(), key=lambda pair: -pair[0].weight * pair[1].weight)


def both(one: Cause, other: Cause) -> Cause:
    """Two causes as one."""
    return Cause(
        f"{one.id} + {other.id}",
        "pair",
        f"{one.words}; and {other.words}",
        f"{one.mend}; then {other.mend}",
        (*one.faults, *other.faults),
        one.used * other.used * SECOND,
        one.new * other.new * SECOND,
        one.is_miswire or other.is_miswire,
        one.is_outside and other.is_outside,
        tuple(dict.fromkeys((*one.tags, *other.tags))),
        tuple(dict.fromkeys((*one.ends, *other.ends))),
        tuple(dict.fromkeys((*wrong_leads(one), *wrong_leads(other)))),
    )
