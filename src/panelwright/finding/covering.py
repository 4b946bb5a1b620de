"""The fewest readings that show everything: a smallest choice of sets that covers all of their members."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Generic, TypeVar

import numpy as np

MOST_NODES = 2000  # of the search for fewer; a count, not a time, so that the sheet is the same on every machine

Choice = TypeVar("Choice", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Cover(Generic[Choice]):
    """`chosen` in the order offered. `at_least`: no choice with fewer covers as much."""

    chosen: tuple[Choice, ...]
    at_least: int


def fewest(offered: Mapping[Choice, frozenset[str]]) -> Cover[Choice]:
    """A smallest choice that covers whatever all of `offered` cover together.

    Worked out as an integer programme (HiGHS, through scipy). Where its search is cut short, the choice is the best
    that was met, and `at_least` says how far from the fewest it can be.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # takes a second to load, and few commands need it
    from scipy.sparse import csr_array

    by_members: dict[frozenset[str], Choice] = {}
    for choice, members in offered.items():
        if members:
            by_members.setdefault(members, choice)
    if not by_members:
        return Cover((), 0)
    sets = list(by_members)
    rows = {member: row for row, member in enumerate(sorted(frozenset().union(*sets)))}
    places = [(rows[member], column) for column, members in enumerate(sets) for member in members]
    covers = csr_array((np.ones(len(places)), tuple(zip(*places, strict=True))), shape=(len(rows), len(sets)))
    found = milp(
        np.ones(len(sets)),
        constraints=LinearConstraint(covers, lb=1.0),
        integrality=np.ones(len(sets)),
        bounds=Bounds(0, 1),
        options={"node_limit": MOST_NODES},
    )
    if found.x is None:  # cut short before any was met
        return _greedy(by_members)
    taken = {sets[column] for column in np.flatnonzero(found.x > 0.5)}
    bound = ceil(found.mip_dual_bound - 1e-6) if found.mip_dual_bound is not None else 1
    return Cover(tuple(choice for members, choice in by_members.items() if members in taken), bound)


def _greedy(by_members: Mapping[frozenset[str], Choice]) -> Cover[Choice]:
    """The one that shows most that is new, again and again."""
    left = set(frozenset().union(*by_members))
    most = max(len(members) for members in by_members)
    bound = ceil(len(left) / most)
    taken = []
    while left:
        best = max(by_members, key=lambda members: len(members & left))
        left -= best
        taken.append(by_members[best])
    return Cover(tuple(taken), bound)
