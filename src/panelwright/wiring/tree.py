"""The wires of one net: fewest conductors, then fewest between places, then the shortest way found."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from .path import shortest_path
from .whereabouts import Spot, Whereabouts

Joint = tuple[str, str]


@dataclass(slots=True)
class Tree:
    """Conductors laid so far. `full`: terminals that had to take more than they may."""

    where: Whereabouts
    joints: list[Joint] = field(default_factory=list)
    load: dict[tuple[str, bool], int] = field(default_factory=dict)
    full: list[str] = field(default_factory=list)

    def spare(self, terminal: str, outer: bool = False) -> int:
        """Conductors that still fit under a terminal; `outer`: the side of a strip that leads out of the enclosure."""
        spot = self.where[terminal]
        return spot.conductors - self.load.get((terminal, outer and spot.strip), 0)

    def join(self, one: str, other: str) -> None:
        """Lay a conductor."""
        outer = self.where.outer(one, other)
        for terminal in (one, other):
            if self.spare(terminal, outer) <= 0 and terminal not in self.full:
                self.full.append(terminal)
            key = (terminal, outer and self.where[terminal].strip)
            self.load[key] = self.load.get(key, 0) + 1
        self.joints.append((one, other))

    def chain(self, terminals: Sequence[str]) -> None:
        """Join terminals of one place one after the other, those that take a single conductor at the ends."""
        order = list(shortest_path(terminals, self.where))
        single = [t for t in order if self.where[t].conductors < 2]
        body = [t for t in order if t not in single] or single[:1]
        hung = [t for t in single if t not in body]
        if len(body) == 1 and not hung:
            return
        for one, other in pairwise(body):
            self.join(one, other)
        for terminal in hung:
            self.join(self.nearest(terminal, body), terminal)

    def cost(self, joint: Joint) -> tuple[bool, bool, float]:
        """What to avoid first: one conductor too many under a terminal, then another place, then a long way."""
        one, other = (self.where[terminal] for terminal in joint)
        apart = one.place != other.place
        outer = self.where.outer(*joint)
        overfull = any(self.spare(terminal, outer) <= 0 for terminal in joint)
        return overfull, apart, _far(one, other)

    def nearest(self, terminal: str, others: Iterable[str]) -> str:
        """The nearest that can take one more, else the nearest at all."""
        return min(others, key=lambda other: self.cost((terminal, other)))


def _far(one: Spot, other: Spot) -> float:
    """Positions in different places cannot be compared."""
    return one.way_m(other) if one.place == other.place else 0.0


def wired_net(terminals: Sequence[str], fixed: Sequence[Joint], where: Whereabouts, kept: Sequence[Joint] = ()) -> Tree:
    """Join the terminals of a net with one conductor fewer than there are terminals.

    Terminals of one place are chained; each further place is reached once, through a strip terminal where the net has
    one. `fixed`: (strip terminal, terminal in another place) that have to be joined directly. `kept`: conductors that
    are laid already and stay where they can.
    """
    tree = Tree(where)
    if len(terminals) == 2:
        one, other = terminals
        tree.join(*((other, one) if where[other].place == where.hub != where[one].place else (one, other)))
        return tree
    led = {outer: strip for strip, outer in fixed}
    if kept:
        _extend(tree, terminals, [j for j in kept if _may_stay(j, led, where)], led)
        return tree
    groups = _by_place(terminals, led, where)
    for group in groups:
        tree.chain(group)
    reached = list(groups[0])
    for group in groups[1:]:
        one, other = _way_in(tree, reached, group, led)
        tree.join(one, other)
        reached += group
    return tree


def _may_stay(joint: Joint, led: dict[str, str], where: Whereabouts) -> bool:
    """A conductor between places goes when its rung leads over a strip by now."""
    one, other = joint
    apart = where[one].place != where[other].place
    return not apart or all(led.get(end, far) == far for end, far in ((one, other), (other, one)))


def _extend(tree: Tree, terminals: Sequence[str], kept: Sequence[Joint], led: dict[str, str]) -> None:
    """Lay what is kept, then what is led, then join each piece to the nearest that is reached already."""
    pieces = {terminal: [terminal] for terminal in terminals}
    laid = [*kept, *((strip, outer) for outer, strip in led.items())]

    def lay(one: str, other: str) -> None:
        if pieces[one] is not pieces[other]:
            tree.join(one, other)
            pieces[one] += pieces[other]
            for terminal in pieces[other]:
                pieces[terminal] = pieces[one]

    for one, other in laid:
        lay(one, other)
    while len(reached := pieces[terminals[0]]) < len(terminals):
        lay(
            *min(
                ((one, other) for one in reached for other in terminals if pieces[other] is not reached), key=tree.cost
            )
        )


def _by_place(terminals: Sequence[str], led: dict[str, str], where: Whereabouts) -> list[list[str]]:
    """Terminals that are chained together, the hub's first; each led terminal begins a group of its own."""
    groups: dict[tuple[str, str], list[str]] = {}
    heads = {where[outer].place: outer for outer in reversed(led)}
    for terminal in terminals:
        place = where[terminal].place
        head = terminal if terminal in led else heads.get(place, "")
        groups.setdefault((place, head), []).append(terminal)
    return sorted(groups.values(), key=lambda g: (where[g[0]].place != where.hub, not any(where[t].strip for t in g)))


def _way_in(tree: Tree, reached: Sequence[str], group: Sequence[str], led: dict[str, str]) -> Joint:
    """The conductor by which a group of terminals is reached."""
    for outer in group:
        if outer in led and led[outer] in reached:
            return led[outer], outer
    for outer in reached:
        if outer in led and led[outer] in group:
            return outer, led[outer]
    where = tree.where
    out = where.outer(reached[0], group[0])

    def ways(terminal: str) -> tuple[bool, bool, bool]:
        """To be avoided: a full terminal, one that is no strip on the way out, one that is not at the hub."""
        spot = where[terminal]
        return tree.spare(terminal, out) <= 0, out and not spot.strip, spot.place != where.hub

    return min(reached, key=ways), min(group, key=ways)
