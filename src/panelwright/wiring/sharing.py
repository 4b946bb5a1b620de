"""Which uses share the common of one change-over, so that the panel takes as few poles as possible.

A make and a break use of one device may share a common when one wire is at an end of both. Contacts in series may
change places first where nothing else is on the wires between them. Pure combinatorics: no device is known here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Want:
    """One contact wanted. `group`: device and timing; `ends`: nets at its start and end as written.

    `common`: for a pinned contact the net at its common ("" when it is no change-over), None while open.
    `fixed`: may not change places. `shares`: False for a contact that is no half of a change-over.
    """

    group: tuple[str, str]
    form: str
    ends: tuple[str, str]
    common: str | None = None
    shares: bool = True

    def may_have_common_at(self, ends: Sequence[str]) -> frozenset[str]:
        """Nets at which the common can be when its ends are `ends`."""
        if not self.shares:
            return frozenset()
        if self.common is not None:
            return frozenset({self.common}) - {""}
        return frozenset(ends)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two wants (indices) on one change-over with its common on `net`."""

    make: int
    rest: int
    net: str


@dataclass(frozen=True, slots=True)
class Sharing:
    """`order`: for each run of contacts in series, the wants in their new order. `most`: no more pairs are possible."""

    pairs: tuple[Pair, ...]
    order: tuple[tuple[int, ...], ...]
    most: int


def share(
    wants: Sequence[Want],
    runs: Sequence[tuple[int, ...]],
    poles: dict[tuple[str, str], int],
    given: Sequence[Pair] = (),
) -> Sharing:
    """Find the most pairs. `poles`: change-overs that each group has left for pairs of two open uses."""
    taken = {i for pair in given for i in (pair.make, pair.rest)}
    pairs = list(given)
    for group, members in _by_group(wants, taken).items():
        touches = {i: wants[i].may_have_common_at(wants[i].ends) for i in members}
        found = _matched(wants, members, touches)
        pairs += _within(found, wants, poles.get(group, 0))
    return Sharing(tuple(pairs), tuple(runs), len(pairs))


def _by_group(wants: Sequence[Want], taken: set[int]) -> dict[tuple[str, str], list[int]]:
    groups: dict[tuple[str, str], list[int]] = {}
    for index, want in enumerate(wants):
        if want.shares and index not in taken:
            groups.setdefault(want.group, []).append(index)
    return groups


def _matched(wants: Sequence[Want], members: list[int], touches: dict[int, frozenset[str]]) -> list[Pair]:
    """Largest matching of makes with rests by augmenting paths; pinned ones first, so that they stay matched."""
    makes = sorted((i for i in members if wants[i].form == "no"), key=lambda i: (wants[i].common is None, i))
    rests = sorted((i for i in members if wants[i].form == "nc"), key=lambda i: (wants[i].common is None, i))
    partner: dict[int, int] = {}

    def may(one: int, other: int) -> bool:
        both_pinned = wants[one].common is not None and wants[other].common is not None
        return not both_pinned and bool(touches[one] & touches[other])

    def place(one: int, others: list[int], tried: set[int]) -> bool:
        for other in others:
            if other in tried or not may(one, other):
                continue
            tried.add(other)
            if other not in partner or place(partner[other], others, tried):
                partner[other], partner[one] = one, other
                return True
        return False

    for one in makes:
        if one not in partner:
            place(one, rests, set())
    for other in rests:
        if other not in partner and wants[other].common is not None:
            place(other, makes, set())
    return [
        Pair(one, partner[one], next(n for n in wants[one].ends if n in touches[one] & touches[partner[one]]))
        for one in sorted(makes)
        if one in partner
    ]


def _within(pairs: list[Pair], wants: Sequence[Want], poles: int) -> list[Pair]:
    """Drop pairs of open uses beyond the poles that are there; a pair with a pinned use takes none more."""
    kept = []
    for pair in pairs:
        if wants[pair.make].common is None and wants[pair.rest].common is None:
            if poles <= 0:
                continue
            poles -= 1
        kept.append(pair)
    return kept
