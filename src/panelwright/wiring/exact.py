"""The most shared change-overs, found exactly, when contacts in series may change places.

A mixed integer programme, tried only where the plain matching does not already meet its own bound.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from .wants import Pair, Sharing, Want, may_pair, takes_a_pole

PAIR_WORTH = 1000.0  # against 1 for each contact that leaves its place: never move one without gain
MOST_NODES = 5000  # of the search tree; panels of 60 contacts need a handful


@dataclass(slots=True)
class _Programme:
    """Rows of `lower <= A x <= upper` over binary unknowns; `worth` is maximised."""

    worth: list[float] = field(default_factory=list)
    rows: list[dict[int, float]] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)

    def unknown(self, worth: float) -> int:
        self.worth.append(worth)
        return len(self.worth) - 1

    def at_most(self, row: dict[int, float], limit: float) -> None:
        self.rows.append(row)
        self.upper.append(limit)

    def solve(self) -> tuple[list[int] | None, float]:
        """The unknowns that are 1 in the best answer, and a bound on the worth of any answer."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        entries = [(r, c, v) for r, row in enumerate(self.rows) for c, v in row.items()]
        rows, columns, values = (np.array(column) for column in zip(*entries, strict=True))
        matrix = coo_array((values, (rows, columns)), shape=(len(self.rows), len(self.worth)))
        answer = milp(
            -np.array(self.worth),
            constraints=LinearConstraint(matrix.tocsr(), -np.inf, np.array(self.upper)),
            integrality=np.ones(len(self.worth)),
            bounds=Bounds(0, 1),
            options={"node_limit": MOST_NODES},
        )
        bound = answer.get("mip_dual_bound")
        ones = None if answer.x is None else [i for i, x in enumerate(answer.x) if x > 0.5]
        return ones, sum(max(w, 0.0) for w in self.worth) if bound is None else -float(bound)


class _Places:
    """Who is first and who is last in each run: all that matters, for the wires between carry nothing else."""

    def __init__(self, programme: _Programme, wants: Sequence[Want], runs: Sequence[tuple[int, ...]]) -> None:
        self.runs = runs
        self.first: dict[int, int] = {}
        self.last: dict[int, int] = {}
        self.run_ends: dict[int, tuple[str, str]] = {}
        for run in runs:
            sharing = [i for i in run if wants[i].shares]
            for i in sharing:
                self.run_ends[i] = (wants[run[0]].ends[0], wants[run[-1]].ends[1])
                self.first[i] = programme.unknown(0.0 if i == run[0] else -1.0)
                self.last[i] = programme.unknown(0.0 if i == run[-1] else -1.0)
                programme.at_most({self.first[i]: 1.0, self.last[i]: 1.0}, 1.0)
            for chosen in (self.first, self.last):
                programme.at_most({chosen[i]: 1.0 for i in sharing}, 1.0)

    def touching(self, want: int, net: str) -> dict[int, float] | None:
        """Unknowns of which one has to be 1 for the contact to touch the net; None when it does in any case."""
        if want not in self.first:
            return None
        start, end = self.run_ends[want]
        unknowns = [self.first[want]] * (start == net) + [self.last[want]] * (end == net)
        return dict.fromkeys(unknowns, -1.0)

    def order(self, ones: set[int]) -> tuple[tuple[int, ...], ...]:
        """The runs with those chosen to be first and last put there, the others as they were."""
        found = []
        for run in self.runs:
            first = [i for i in run if self.first.get(i) in ones]
            last = [i for i in run if self.last.get(i) in ones]
            found.append((*first, *(i for i in run if i not in first and i not in last), *last))
        return tuple(found)


def share_exactly(
    wants: Sequence[Want],
    runs: Sequence[tuple[int, ...]],
    members: Sequence[int],
    poles: Mapping[tuple[str, str], int],
) -> Sharing | None:
    """The most pairs among `members`; None when no answer was found within the allowed search."""
    programme = _Programme()
    places = _Places(programme, wants, runs)
    ends = {i: places.run_ends.get(i, wants[i].ends) for i in members}
    pairs: dict[int, Pair] = {}
    partners: dict[int, dict[int, float]] = {i: {} for i in members}
    at_net: dict[tuple[int, str], dict[int, float]] = {}
    for make in members:
        for rest in members:
            if not may_pair(wants[make], wants[rest]):
                continue
            nets = wants[make].may_have_common_at(ends[make]) & wants[rest].may_have_common_at(ends[rest])
            for net in sorted(nets):
                unknown = programme.unknown(PAIR_WORTH)
                pairs[unknown] = Pair(make, rest, net)
                for one in (make, rest):
                    partners[one][unknown] = 1.0
                    at_net.setdefault((one, net), {})[unknown] = 1.0
    for row in partners.values():
        programme.at_most(row, 1.0)
    for (one, net), row in at_net.items():
        touching = places.touching(one, net)
        if touching is not None:
            programme.at_most({**row, **touching}, 0.0)
    for group in {wants[i].group for i in members}:
        taking = {u: 1.0 for u, p in pairs.items() if wants[p.make].group == group and takes_a_pole(p, wants)}
        programme.at_most(taking, float(poles.get(group, 0)))
    ones, bound = programme.solve()
    if ones is None:
        return None
    chosen = tuple(sorted((pairs[u] for u in ones if u in pairs), key=lambda p: (p.make, p.rest)))
    # Fewer than PAIR_WORTH contacts can move, so rounding up takes out what moving them costs.
    return Sharing(chosen, places.order({*ones}), math.ceil(bound / PAIR_WORTH - 1e-6))
