"""Currents at one frequency: merge what is tied together, then solve the small islands that are left.

Numbers only, nothing of the trade. Nodes are counted from 0.
A *bond* ties two nodes at a fixed difference of volts: a closed contact (0 V) or an ideal source.
A *branch* carries amps = siemens x (volts across it) + amps, counted from its first node to its second.
Method: nodal analysis after contraction of the bonds; see docs/why/what-flows.md.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

Bond = tuple[int, int, complex]  # V(first) - V(second) = volts
Branch = tuple[int, int, complex, complex]  # amps from first to second = siemens * (V(first) - V(second)) + amps

CLASH_V = 1e-6  # two ways round a loop of bonds that differ by more cannot both hold
DENSE_UP_TO = 120  # unknowns; above it a sparse factorisation is quicker


class Groups:
    """Union-find that keeps the difference of volts between a node and the root of its group."""

    __slots__ = ("above", "parent")

    def __init__(self, nodes: int) -> None:
        self.parent = list(range(nodes))
        self.above: list[complex] = [0.0] * nodes  # V(node) - V(parent)

    def find(self, node: int) -> int:
        """Root of the group; afterwards `above[node]` is measured from it."""
        parent = self.parent
        if parent[parent[node]] == parent[node]:
            return parent[node]
        path = []
        while parent[node] != node:
            path.append(node)
            node = parent[node]
        total: complex = 0.0
        for step in reversed(path):
            total += self.above[step]
            self.above[step] = total
            parent[step] = node
        return node

    def tie(self, a: int, b: int, volts: complex) -> bool:
        """Tie V(a) - V(b) = volts; False when the two are tied already, at a different value."""
        root_a, root_b = self.find(a), self.find(b)
        difference = volts - self.above[a] + self.above[b]  # a root has 0 above itself
        if root_a == root_b:
            return abs(difference) <= CLASH_V * max(1.0, abs(volts))
        self.parent[root_a] = root_b
        self.above[root_a] = difference
        return True


@dataclass(frozen=True, slots=True)
class Flow:
    """Volts at every node. Only nodes of one section have a defined difference; `section` is its number.

    `clashing`: indices of bonds that could not be met, because the nodes were tied before at other volts.
    """

    volts: tuple[complex, ...]
    section: tuple[int, ...]
    clashing: tuple[int, ...]


def solve_flow(nodes: int, bonds: Sequence[Bond], branches: Sequence[Branch], ground: int = 0) -> Flow:
    """Volts at every node. `ground` is 0 V in its section; in every other section one node is."""
    groups = Groups(nodes)
    clashing = tuple(index for index, bond in enumerate(bonds) if not groups.tie(*bond))
    roots = [groups.find(node) for node in range(nodes)]
    above = groups.above
    reduced: list[Branch] = []
    for a, b, siemens, amps in branches:
        root_a, root_b = roots[a], roots[b]
        if root_a != root_b and (siemens or amps):
            reduced.append((root_a, root_b, siemens, siemens * (above[a] - above[b]) + amps))
    potential, section = _solve_roots(reduced, roots[ground])
    volts = [potential.get(root, 0.0) + above[node] for node, root in enumerate(roots)]
    return Flow(tuple(_measured_from(ground, volts, roots, section)), tuple(section.get(r, r) for r in roots), clashing)


def _measured_from(ground: int, volts: list[complex], roots: list[int], section: dict[int, int]) -> list[complex]:
    """Shift the section of the ground node so that it is at 0 V."""
    here = section.get(roots[ground], roots[ground])
    level = volts[ground]
    if not level:
        return volts
    return [v - level if section.get(root, root) == here else v for v, root in zip(volts, roots, strict=True)]


def _solve_roots(branches: list[Branch], ground: int) -> tuple[dict[int, complex], dict[int, int]]:
    neighbours: dict[int, list[Branch]] = defaultdict(list)
    for branch in branches:
        neighbours[branch[0]].append(branch)
        neighbours[branch[1]].append(branch)
    potential: dict[int, complex] = {}
    section: dict[int, int] = {}
    by_degree = sorted(neighbours, key=lambda root: (root != ground, -len(neighbours[root]), root))
    for reference in by_degree:
        if reference in section:
            continue
        potential[reference] = 0.0
        section[reference] = reference
        for branch in neighbours[reference]:
            start = branch[1] if branch[0] == reference else branch[0]
            if start not in section:
                island = _island_from(start, reference, neighbours, section)
                _solve_island(island, neighbours, potential)
    return potential, section


def _island_from(start: int, reference: int, neighbours: dict[int, list[Branch]], section: dict[int, int]) -> list[int]:
    """Roots that hang together without passing the reference."""
    section[start] = reference
    island = [start]
    for root in island:
        for a, b, _, _ in neighbours[root]:
            other = b if a == root else a
            if other not in section:
                section[other] = reference
                island.append(other)
    return island


def _solve_island(island: list[int], neighbours: dict[int, list[Branch]], potential: dict[int, complex]) -> None:
    if len(island) == 1:
        total: complex = 0.0
        leaving: complex = 0.0
        for a, _, siemens, amps in neighbours[island[0]]:
            total += siemens
            leaving += amps if a == island[0] else -amps
        potential[island[0]] = -leaving / total if total else 0.0
        return
    for root, volts in zip(island, _factorised(island, neighbours), strict=True):
        potential[root] = volts


def _factorised(island: list[int], neighbours: dict[int, list[Branch]]) -> list[complex]:
    import numpy as np

    place = {root: index for index, root in enumerate(island)}
    rows: list[int] = []
    columns: list[int] = []
    values: list[complex] = []
    leaving = np.zeros(len(island), complex)
    for root, i in place.items():
        for a, b, siemens, amps in neighbours[root]:
            leaving[i] += amps if a == root else -amps
            rows.append(i)
            columns.append(i)
            values.append(siemens)
            other = place.get(b if a == root else a)
            if other is not None:
                rows.append(i)
                columns.append(other)
                values.append(-siemens)
    if len(island) > DENSE_UP_TO:
        from scipy.sparse import csc_array
        from scipy.sparse.linalg import spsolve

        matrix = csc_array((values, (rows, columns)), shape=(len(island), len(island)))
        return [complex(v) for v in spsolve(matrix, -leaving)]
    dense = np.zeros((len(island), len(island)), complex)
    np.add.at(dense, (rows, columns), values)
    try:
        return [complex(v) for v in np.linalg.solve(dense, -leaving)]
    except np.linalg.LinAlgError:  # a floating island kept up by current sources alone
        return [complex(v) for v in np.linalg.lstsq(dense, -leaving, rcond=None)[0]]
