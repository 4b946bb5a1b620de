"""Which uses share the common of one change-over, so that the panel takes as few poles as possible.

A make and a break use of one device may share a common when one wire is at an end of both. Contacts in series may
change places first where nothing else is on the wires between them. Pure combinatorics: no device is known here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise

from .exact import share_exactly
from .wants import Pair, Sharing, Want, may_pair, takes_a_pole

Group = tuple[str, str]


def share(
    wants: Sequence[Want],
    runs: Sequence[tuple[int, ...]],
    poles: Mapping[Group, int],
    given: Sequence[Pair] = (),
) -> Sharing:
    """Find the most pairs. `poles`: change-overs that each group has left for pairs of two open uses.

    `given` pairs are kept. The answer is the most there can be, except that a search beyond its allowance stops
    with what it has and says so by a larger `most`.
    """
    taken = {i for pair in given for i in (pair.make, pair.rest)}
    left = dict(poles)
    for pair in given:
        left[wants[pair.make].group] = left.get(wants[pair.make].group, 0) - 1
    pairs, order, most = list(given), {run: run for run in runs}, len(given)
    for members, some_runs in _coupled(wants, runs, taken):
        found = _share_coupled(wants, some_runs, members, left)
        pairs += found.pairs
        most += found.most
        order |= dict(zip(some_runs, found.order, strict=True))
    return Sharing(tuple(pairs), tuple(order[run] for run in runs), most)


def _share_coupled(
    wants: Sequence[Want], runs: Sequence[tuple[int, ...]], members: Sequence[int], poles: Mapping[Group, int]
) -> Sharing:
    """As written first; the exact search only where changing places might gain a pair."""
    quick = _most_pairs(wants, members, lambda i: wants[i].ends, poles)
    if not runs:
        return Sharing(quick, (), len(quick))
    ends = {i: (wants[run[0]].ends[0], wants[run[-1]].ends[1]) for run in runs for i in run}
    most = len(_most_pairs(wants, members, lambda i: (*wants[i].ends, *ends.get(i, ())), poles))
    if len(quick) < most:
        exact = share_exactly(wants, runs, members, poles)
        if exact is not None and len(exact.pairs) >= len(quick):
            return exact
    return Sharing(quick, tuple(runs), most)


def _coupled(
    wants: Sequence[Want], runs: Sequence[tuple[int, ...]], taken: set[int]
) -> Iterable[tuple[list[int], list[tuple[int, ...]]]]:
    """Groups of wants that have a say in each other: those of one device, and devices that meet in a run."""
    parent: dict[Group, Group] = {}

    def find(group: Group) -> Group:
        while parent.setdefault(group, group) != group:
            group = parent[group]
        return group

    for run in runs:
        sharing = [wants[i].group for i in run if wants[i].shares]
        for one, other in pairwise(sharing):
            parent[find(other)] = find(one)
    members: dict[Group, list[int]] = {}
    for index, want in enumerate(wants):
        if want.shares and index not in taken:
            members.setdefault(find(want.group), []).append(index)
    some_runs: dict[Group, list[tuple[int, ...]]] = {}
    for run in runs:
        for group in {find(wants[i].group) for i in run if wants[i].shares}:
            some_runs.setdefault(group, []).append(run)
    for group, indices in members.items():
        yield indices, some_runs.get(group, [])


def _most_pairs(
    wants: Sequence[Want],
    members: Sequence[int],
    ends: Callable[[int], Sequence[str]],
    poles: Mapping[Group, int],
) -> tuple[Pair, ...]:
    """The most pairs when each contact touches all of its `ends`: a largest matching, by augmenting paths.

    Pinned contacts go first: they stay matched, and a pair with one of them takes no further pole, so that what
    exceeds the poles can simply be left out.
    """
    touches = {i: wants[i].may_have_common_at(ends(i)) for i in members}
    makes = [i for i in members if wants[i].form == "no"]
    rests = [i for i in members if wants[i].form == "nc"]
    may = {
        **{m: [r for r in rests if may_pair(wants[m], wants[r]) and touches[m] & touches[r]] for m in makes},
        **{r: [m for m in makes if may_pair(wants[m], wants[r]) and touches[m] & touches[r]] for r in rests},
    }
    partner: dict[int, int] = {}

    def place(one: int, tried: set[int]) -> bool:
        for other in may[one]:
            if other in tried:
                continue
            tried.add(other)
            if other not in partner or place(partner[other], tried):
                partner[other], partner[one] = one, other
                return True
        return False

    pinned = [i for i in (*makes, *rests) if wants[i].common is not None]
    for one in (*pinned, *makes):
        if one not in partner:
            place(one, set())
    pairs = [_pair(m, partner[m], wants, touches) for m in makes if m in partner]
    return _within(pairs, wants, poles)


def _pair(make: int, rest: int, wants: Sequence[Want], touches: Mapping[int, frozenset[str]]) -> Pair:
    """The common goes where the make contact starts, if it can be there."""
    nets = touches[make] & touches[rest]
    start = wants[make].ends[0]
    return Pair(make, rest, start if start in nets else min(nets))


def _within(pairs: Sequence[Pair], wants: Sequence[Want], poles: Mapping[Group, int]) -> tuple[Pair, ...]:
    """Leave out pairs beyond the poles that are there."""
    left = dict(poles)
    kept = []
    for pair in pairs:
        if takes_a_pole(pair, wants):
            group = wants[pair.make].group
            if left.get(group, 0) <= 0:
                continue
            left[group] -= 1
        kept.append(pair)
    return tuple(kept)
