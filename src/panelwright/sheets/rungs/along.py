"""Places along the rungs: where each node and each cell stands (`u`, mm from the left rail), where numbers go.

Lengths are computed by longest paths. Only verticals that would run through something, and numbers without
room, make the computing start again with a floor or a wider gap.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from ..symbols import M
from .cells import Cell
from .strands import Ladder, Leaf, Node, Strand

STUB = 1 * M  # between a vertical or rail and the first cell
GAP = 2 * M  # between two cells
CLEAR = 0.7 * M  # between a vertical and anything it does not belong to
FLAG_IN = 7.5 * M  # where a strand starts that comes from a flag
FLAG_OUT = 7.5 * M  # room for a flag at the end of a strand
TRIES = 60


@dataclass(slots=True)
class Along:
    """`cells`: for each strand, (u, cell) from left to right. `labels`: net id to (row, u0, u1) for its number."""

    cells: dict[Strand, list[tuple[float, Cell, Leaf]]] = field(default_factory=dict)
    labels: dict[str, tuple[int, float, float]] = field(default_factory=dict)
    column: float = 0.0
    end: float = 0.0


def lay_along(
    ladder: Ladder, cell: Callable[[Leaf], Cell], labels_mm: Mapping[str, float], *, column: float = 0.0
) -> Along:
    """Give every node its `u` and every cell its place.

    `labels_mm`: net id to the room that its number (and volts) need along the line; nets without are not numbered.
    `column`: the least place of the coil column. Ends of rungs that stay in each other's way get flags instead.
    """
    state = _Solver(ladder, cell, labels_mm, column)
    for _ in range(TRIES):
        state.place()
        if not (state.clear_verticals() | state.place_labels()):
            return state.found
        if state.rounds_without_hope():
            state.cut_worst()
    state.cut_all()
    for _ in range(TRIES):
        state.place()
        if not (state.clear_verticals() | state.place_labels()):
            break
    return state.found


class _Solver:
    def __init__(
        self, ladder: Ladder, cell: Callable[[Leaf], Cell], labels_mm: Mapping[str, float], column: float
    ) -> None:
        self.ladder, self.labels_mm, self.column = ladder, labels_mm, column
        self.cells = {strand: [(cell(leaf), leaf) for leaf in strand.leaves] for strand in ladder.strands}
        self.floors: dict[Node, float] = {}
        self.wider: dict[tuple[Strand, int], float] = {}
        self.moves: dict[Node, int] = {}
        self.found = Along()
        self.prepare()

    def prepare(self) -> None:
        self.order = _in_order(self.ladder)
        self.loaded = _behind_loads(self.order, self.cells)

    # ---------------------------------------------------------------- places
    def place(self) -> None:
        found = Along()
        column = self.column
        for attempt in (0, 1):
            for node in self.ladder.nodes:
                start = FLAG_IN if node.kind == "flag" else 0.0 if node.kind == "left" else STUB
                node.u = max(start, self.floors.get(node, 0.0))
            first_load = 0.0
            for strand in self.order:
                placed, end, load_u = self.strand(strand, column if attempt else 0.0)
                found.cells[strand] = placed
                first_load = max(first_load, load_u)
                strand.b.u = max(strand.b.u, end)
            if not first_load:
                break
            column = max(column, first_load)
        end = max((node.u for node in self.ladder.nodes), default=0.0)
        leaving = [strand.b.u for strand in self.ladder.strands if strand.b.kind == "flag"]
        end = max([end, *(u + FLAG_OUT for u in leaving)])
        for node in self.ladder.nodes:
            if node.kind == "right":
                node.u = max(end, self.floors.get(node, 0.0))
        found.column, found.end = column, end
        self.found = found

    def strand(self, strand: Strand, column: float) -> tuple[list[tuple[float, Cell, Leaf]], float, float]:
        """Cells packed to the left; the first load no further left than the column."""
        u, load_u, loaded = strand.a.u, 0.0, strand.a in self.loaded
        placed: list[tuple[float, Cell, Leaf]] = []
        for index, (cell, leaf) in enumerate(self.cells[strand]):
            u += (GAP if index else STUB) + self.wider.get((strand, index), 0.0)
            if cell.load and not loaded:
                loaded = True
                load_u = u + cell.middle
                u = max(u, column - cell.middle)
            placed.append((u, cell, leaf))
            u += cell.length
        tail = STUB if placed else GAP
        return placed, u + tail + self.wider.get((strand, len(placed)), 0.0), load_u

    # ---------------------------------------------------------------- verticals
    def clear_verticals(self) -> bool:
        """Floors for nodes whose vertical would touch a cell or another vertical; True when one was set."""
        rows: dict[int, list[tuple[float, float, Node, Node]]] = {}
        for strand, placed in self.found.cells.items():
            for u, cell, _ in placed:
                rows.setdefault(strand.row, []).append((u, u + cell.length, strand.a, strand.b))
            if strand.a.kind == "flag":
                rows.setdefault(strand.row, []).append((strand.a.u - FLAG_OUT, strand.a.u, strand.a, strand.b))
            if strand.b.kind == "flag":
                rows.setdefault(strand.row, []).append((strand.b.u, strand.b.u + FLAG_OUT, strand.a, strand.b))
        changed = False
        uprights = [n for n in self.ladder.nodes if n.kind in ("point", "inner") and len(n.rows) > 1]
        for node in uprights:
            floor = 0.0
            for row in range(min(node.rows) + 1, max(node.rows)):
                for u0, u1, a, b in rows.get(row, ()):
                    own = row in node.rows and (a is node or b is node)
                    if not own and u0 - CLEAR < node.u < u1 + CLEAR:
                        floor = max(floor, u1 + CLEAR)
            changed |= self.raise_floor(node, floor)
        return changed | self.part_verticals(uprights)

    def part_verticals(self, uprights: list[Node]) -> bool:
        """Move the longer of two verticals of different nets that pass too close beside each other."""
        by_row: dict[int, list[Node]] = {}
        for node in sorted(uprights, key=lambda n: n.u):
            for row in range(min(node.rows), max(node.rows) + 1):
                by_row.setdefault(row, []).append(node)
        changed = False
        for nodes in by_row.values():
            for one, other in pairwise(nodes):
                if other.u - one.u >= CLEAR or one.net == other.net:
                    continue
                longer = max(one, other, key=lambda n: max(n.rows) - min(n.rows))
                rest = other if longer is one else one
                changed |= self.raise_floor(longer, rest.u + CLEAR)
        return changed

    def raise_floor(self, node: Node, floor: float) -> bool:
        if floor <= max(node.u, self.floors.get(node, 0.0)):
            return False
        self.floors[node] = _up(floor)
        self.moves[node] = self.moves.get(node, 0) + 1
        return True

    def rounds_without_hope(self) -> bool:
        """Whether some node has been moved so often that it will not come to rest."""
        return max(self.moves.values(), default=0) > 14

    def cut_worst(self) -> None:
        """Replace the vertical of the node that moved most by flags."""
        worst = max(self.moves, key=lambda n: (self.moves[n], max(n.rows) - min(n.rows)))
        self.cut(worst)

    def cut_all(self) -> None:
        """Flags for every point that had to move: always drawable."""
        for node in list(self.moves):
            self.cut(node)

    def cut(self, node: Node) -> None:
        self.moves.pop(node, None)
        self.floors.pop(node, None)
        if node.kind != "point" or len(node.rows) < 2:
            return
        top = min(node.rows)
        for strand in self.ladder.strands:
            if strand.row == top:
                continue
            for end in ("a", "b"):
                if getattr(strand, end) is node:
                    flag = next(
                        (
                            n
                            for n in self.ladder.nodes
                            if n.kind == "flag" and n.name == node.name and strand.row in n.rows
                        ),
                        None,
                    ) or Node(node.net, "flag", node.name, rows={strand.row})
                    if flag not in self.ladder.nodes:
                        self.ladder.nodes.append(flag)
                    setattr(strand, end, flag)
        node.rows = {top}
        self.prepare()

    # ---------------------------------------------------------------- numbers
    def place_labels(self) -> bool:
        """Find room for each net's number; where there is none, widen its first gap. True when one was widened."""
        uprights: dict[int, list[float]] = {}
        for node in self.ladder.nodes:
            if node.kind in ("point", "inner") and len(node.rows) > 1:
                for row in range(min(node.rows), max(node.rows) + 1):
                    insort(uprights.setdefault(row, []), node.u)
        gaps: dict[str, list[tuple[Strand, int, float, float]]] = {}
        for strand in sorted(self.found.cells, key=lambda s: (s.row, s.a.u)):
            for index, (net, u0, u1) in enumerate(self.gaps(strand)):
                if net in self.labels_mm:
                    gaps.setdefault(net, []).append((strand, index, u0, u1))
        changed = False
        for net, need in self.labels_mm.items():
            for strand, _, u0, u1 in gaps.get(net, ()):
                place = _room(u0, u1, need, uprights.get(strand.row, []))
                if place is not None:
                    self.found.labels[net] = (strand.row, *place)
                    break
            else:
                if gaps.get(net):
                    strand, index, *_ = gaps[net][0]
                    key = (strand, index)
                    self.wider[key] = self.wider.get(key, 0.0) + M
                    changed = True
        return changed

    def gaps(self, strand: Strand) -> list[tuple[str, float, float]]:
        """The stretches of bare wire of a strand, with their nets, left to right."""
        placed = self.found.cells[strand]
        found: list[tuple[str, float, float]] = []
        u, net = strand.a.u, strand.a.net
        for start, cell, leaf in placed:
            found.append((leaf.net_a, u, start))
            u, net = start + cell.length, leaf.net_b
        found.append((net, u, strand.b.u))
        return found


def _room(u0: float, u1: float, need: float, uprights: list[float]) -> tuple[float, float] | None:
    """The first stretch of `need` mm between u0 and u1 that no vertical passes."""
    start = u0
    if u1 - u0 < need:
        return None
    for u in [*uprights[bisect_left(uprights, u0 - 1e-6) :], u1 + 1e-6]:
        if min(u, u1) - start >= need - 1e-6:
            return start, min(u, u1)
        start = max(start, u)
        if u > u1:
            break
    return None


def _up(length: float) -> float:
    return -(-length // (M / 2)) * (M / 2)


def _in_order(ladder: Ladder) -> list[Strand]:
    """Strands so that each comes after all that end where it begins."""
    waiting = dict.fromkeys(ladder.nodes, 0)
    leaving: dict[Node, list[Strand]] = {}
    for strand in ladder.strands:
        waiting[strand.b] += 1
        leaving.setdefault(strand.a, []).append(strand)
    ready = [node for node, count in waiting.items() if not count]
    order: list[Strand] = []
    while ready:
        for strand in leaving.get(ready.pop(), ()):
            order.append(strand)
            waiting[strand.b] -= 1
            if not waiting[strand.b]:
                ready.append(strand.b)
    return order


def _behind_loads(order: list[Strand], cells: Mapping[Strand, list[tuple[Cell, Leaf]]]) -> set[Node]:
    """Nodes that lie behind a load: what follows them is not lined up in the coil column again."""
    behind: set[Node] = set()
    for strand in order:
        if strand.a in behind or any(cell.load for cell, _ in cells[strand]):
            behind.add(strand.b)
    return behind
