"""What sharing deals in: contacts wanted, pairs of them on one change-over, and the answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Want:
    """One contact wanted. `group`: device and timing; `ends`: nets at its start and end as written.

    `common`: for a pinned contact the net at its common ("" when it is no change-over), None while open.
    `shares`: False for a contact that is no half of a change-over.
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


def may_pair(make: Want, rest: Want) -> bool:
    """Whether the two could be halves of one change-over, were they on one wire. Two pinned ones are what they are."""
    forms = make.form == "no" and rest.form == "nc"
    both_pinned = make.common is not None and rest.common is not None
    return forms and make.shares and rest.shares and make.group == rest.group and not both_pinned


def takes_a_pole(pair: Pair, wants: Sequence[Want]) -> bool:
    """Whether the pair needs a change-over of its own: neither half is pinned to one already."""
    return wants[pair.make].common is None and wants[pair.rest].common is None
