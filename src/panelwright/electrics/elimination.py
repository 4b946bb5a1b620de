"""Nets eliminated once, algebraically: what joins what, for every contact position at once.

The graph has nets as nodes and contacts as edges, each edge with the literal of "conducts". A net v is taken out
by joining each two of its neighbours u and w through it: g(u, w) becomes g(u, w) or (g(u, v) and g(v, w)). That is
the star-mesh step of network theory in Boolean form, and exact for bridges and back paths. The order is that of
minimum degree, as in sparse elimination.
"""

from __future__ import annotations

import heapq
from collections.abc import Hashable, Iterable, Mapping
from typing import Generic, TypeVar

from .gates import FALSE, TRUE, GateBuilder

Place = TypeVar("Place", bound=Hashable)


class Elimination(Generic[Place]):
    """The graph with everything but the `kept` nodes eliminated.

    `edges`: (node, node, literal). `passes`: by node, kept ones too, the literal of "a path may lead on through
    it"; TRUE where it is not named.
    """

    def __init__(
        self,
        gates: GateBuilder,
        edges: Iterable[tuple[Place, Place, int]],
        kept: Iterable[Place],
        passes: Mapping[Place, int] | None = None,
    ) -> None:
        self.gates = gates
        self.kept = tuple(dict.fromkeys(kept))
        self.passes = passes or {}
        self.near: dict[Place, dict[Place, int]] = {node: {} for node in self.kept}
        for a, b, literal in edges:
            self._join(a, b, literal)
        self.order: list[tuple[Place, dict[Place, int]]] = []
        self._eliminate()

    def _join(self, a: Place, b: Place, literal: int) -> None:
        if a == b or literal == FALSE:
            return
        near_a, near_b = self.near.setdefault(a, {}), self.near.setdefault(b, {})
        near_a[b] = near_b[a] = self.gates.or_(near_a.get(b, FALSE), literal)

    def _eliminate(self) -> None:
        kept = set(self.kept)
        number = {node: index for index, node in enumerate(self.near)}  # ties go by the order met: deterministic
        waiting = [(len(near), number[node], node) for node, near in self.near.items() if node not in kept]
        heapq.heapify(waiting)
        while waiting:
            degree, _, node = heapq.heappop(waiting)
            if node not in self.near or degree != len(self.near[node]):
                continue  # met again later with its present degree
            near = self.near.pop(node)
            self.order.append((node, near))
            for other in near:
                del self.near[other][node]
            around = list(near.items())
            passing = self.passes.get(node, TRUE)
            for index, (u, to_u) in enumerate(around):
                to_u = self.gates.and_(to_u, passing)
                for w, to_w in around[index + 1 :]:
                    self._join(u, w, self.gates.and_(to_u, to_w))
            for other in near:
                if other not in kept:
                    heapq.heappush(waiting, (len(self.near[other]), number[other], other))

    def closure(self) -> dict[tuple[Place, Place], int]:
        """Literal of "joined" for each two kept nodes."""
        gates = self.gates
        joined = {(a, b): self.near[a].get(b, FALSE) for a in self.kept for b in self.kept}
        for node in self.kept:
            joined[node, node] = TRUE
        for middle in self.kept:
            passing = self.passes.get(middle, TRUE)
            for a in self.kept:
                to_middle = gates.and_(joined[a, middle], passing)
                if a == middle or to_middle == FALSE:
                    continue
                for b in self.kept:
                    if b not in (a, middle):
                        joined[a, b] = gates.or_(joined[a, b], gates.and_(to_middle, joined[middle, b]))
        return joined

    def joined_to(self, sure: Mapping[Place, Mapping[Place, int]] | None = None) -> dict[Place, dict[Place, int]]:
        """For every node of the graph, the literal of "joined" to each kept node.

        A path has to be let on by the node it begins at, too, unless the two are `sure` to be joined.
        """
        gates = self.gates
        closure = self.closure()
        sure = sure or {}
        found: dict[Place, dict[Place, int]] = {}
        for node in self.kept:
            found[node] = {goal: self._from(node, goal, closure[node, goal], sure) for goal in self.kept}
        for node, near in reversed(self.order):
            row: dict[Place, int] = {}
            for goal in self.kept:
                others = (gates.and_(edge, found[other][goal]) for other, edge in near.items() if other != goal)
                row[goal] = self._from(node, goal, gates.or_(near.get(goal, FALSE), gates.any_of(others)), sure)
            found[node] = row
        return found

    def _from(self, node: Place, goal: Place, literal: int, sure: Mapping[Place, Mapping[Place, int]]) -> int:
        if node == goal:
            return TRUE
        known = sure.get(node, {}).get(goal, FALSE)
        return self.gates.or_(known, self.gates.and_(self.passes.get(node, TRUE), literal))
