"""From rungs as written to strands: which row each piece of conductor stands in, and where strands meet.

A strand is a chain of parts between two nodes, all in one row. A node is a place where strands meet: a rail, a
named point, an end of parallel branches. Nothing here knows lengths.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from ...circuit import Circuit, Here, Item, Net, Parallel, Rung, Series, Through, Use, net_of, nets_of


@dataclass(slots=True, eq=False)
class Node:
    """Where strands meet. `kind`: "left" and "right" (rails), "point", "inner", "flag"; `u` is set by `along`."""

    net: str
    kind: str
    name: str = ""
    u: float = 0.0
    rows: set[int] = field(default_factory=set)


@dataclass(slots=True, eq=False)
class Leaf:
    """One part in a strand; `net_a` and its first terminal on the side of the strand's beginning."""

    use: Use | Through
    net_a: str
    net_b: str


@dataclass(slots=True, eq=False)
class Strand:
    """Parts in series between two nodes; no parts: a plain wire."""

    a: Node
    b: Node
    row: int
    leaves: list[Leaf]


@dataclass(slots=True)
class Line:
    """What is said beside one row."""

    texts: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Ladder:
    """All strands of a drawing. `lines` by row; rows count from 0."""

    strands: list[Strand] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    nodes: list[Node] = field(default_factory=list)


class CutsRungs(Protocol):
    """Decides where long rungs are cut."""

    def pieces(self, items: Series, start: Node, end: Node) -> list[Series]:
        """The items of a stretch between two nodes, in pieces that fit."""


def ladder_of(circuit: Circuit, cutter: CutsRungs | None = None) -> Ladder:
    """The strands of all rungs of an allotted circuit; `cutter` may cut long ones, which then go on behind flags.

    Raises: ValueError when the circuit is not allotted.
    """
    return _Builder(circuit, cutter).build()


class _Builder:
    def __init__(self, circuit: Circuit, cutter: CutsRungs | None) -> None:
        self.circuit, self.cutter = circuit, cutter
        self.cuts = 0
        self.nets: dict[str, Net] = net_of(circuit)
        self.named = _net_names(nets_of(circuit))
        self.ladder = Ladder()
        self.points: dict[str, Node] = {}
        self.rails: dict[tuple[str, str], Node] = {}
        self.waiting: dict[int, Rung] = dict(enumerate(circuit.rungs))
        self.starting: dict[str, list[int]] = {}
        self.ending: dict[str, list[int]] = {}
        for index, rung in self.waiting.items():
            self.starting.setdefault(rung.start, []).append(index)
            self.ending.setdefault(rung.end, []).append(index)
        self.after: dict[Node, set[Node]] = {}

    def build(self) -> Ladder:
        for index in list(self.waiting):
            if index in self.waiting and not self.waiting[index].start.startswith("@"):
                self.descend(index)
        while self.waiting:  # fed from nowhere: still to be drawn
            self.descend(next(iter(self.waiting)))
        return self.ladder

    # ---------------------------------------------------------------- order of rows
    def descend(self, first: int) -> None:
        """Draw a rung, what goes on from its end in the same row, what else feeds there, then what hangs there."""
        stack = [[first]]
        while stack:
            pending = stack[-1]
            while pending and pending[0] not in self.waiting:
                pending.pop(0)
            if not pending:
                stack.pop()
                continue
            new_points = self.chain(pending.pop(0))
            self.close(new_points)
            stack.extend([*self.starting.get(point, ())] for point in new_points)  # the last is the deepest

    def chain(self, index: int) -> list[str]:
        """One row (with its branches) from a rung on; returns the points that were reached, left to right."""
        base = len(self.ladder.lines)
        new_points: list[str] = []
        while True:
            rung = self.waiting.pop(index)
            for point in self.points_of(rung):
                if point not in self.points:
                    new_points.append(point)
            base = self.place(rung, base)
            if rung.end not in new_points or rung.end not in self.starting:
                return new_points
            following = [i for i in self.starting[rung.end] if i in self.waiting]
            if not following or new_points[-1] != rung.end:
                return new_points
            index = following[0]

    def points_of(self, rung: Rung) -> list[str]:
        inside = [f"@{item.name}" for item in _heres(rung.body)]
        start = [rung.start] if rung.start.startswith("@") else []
        end = [rung.end] if rung.end.startswith("@") else []
        return [*start, *inside, *end]

    def close(self, new_points: list[str]) -> None:
        """Draw at once the rungs that end at a point already there: it keeps the verticals short."""
        for point in new_points:
            for index in self.ending.get(point, ()):
                rung = self.waiting.get(index)
                if rung and (not rung.start.startswith("@") or rung.start in self.points):
                    if any(p not in self.points for p in self.points_of(rung)):
                        continue
                    del self.waiting[index]
                    self.place(rung, len(self.ladder.lines))

    # ---------------------------------------------------------------- one rung into strands
    def place(self, rung: Rung, row: int) -> int:
        """Place a rung from `row` on; stretches between points that would run backwards get rows of their own.

        Returns the row in which it ends, for what goes on from there.
        """
        start = self.end_node(rung.start, "left")
        end = self.end_node(rung.end, "right")
        stretches = _stretches(rung.body)
        for index, (items, point) in enumerate(stretches):
            there = end if index == len(stretches) - 1 else self.point(point)
            if start is not there and self.leads_to(there, start):
                row = len(self.ladder.lines)
                self.series(_backwards(items), there, start, row)
                following = len(self.ladder.lines)
            else:
                following = self.pieces(items, start, there, row)
            start, row = there, following
        if rung.text and rung.text not in self.ladder.lines[row].texts:
            self.ladder.lines[row].texts.append(rung.text)
        return row

    def pieces(self, items: Series, start: Node, end: Node, row: int) -> int:
        """Place a stretch, cut where it is too long; returns the row in which it ends."""
        pieces = self.cutter.pieces(items, start, end) if self.cutter else [items]
        for piece in pieces[:-1]:
            net, self.cuts = self.net_after(piece), self.cuts + 1
            out, into = (self.node(net, "flag", f"~{self.cuts}") for _ in (0, 1))
            self.line(row)
            self.joined(piece, start, out, row)
            start, row = into, len(self.ladder.lines)
        self.line(row)
        self.joined(pieces[-1], start, end, row)
        return row

    def joined(self, piece: Series, start: Node, end: Node, row: int) -> None:
        """Place a piece; branches never hang on a flag itself."""
        if start.kind == "flag" and isinstance(piece.items[0], Parallel):
            inner = self.node(start.net, "inner")
            self.strand(start, inner, row, [])
            start = inner
        if end.kind == "flag" and isinstance(piece.items[-1], Parallel):
            inner = self.node(end.net, "inner")
            self.series(piece, start, inner, row)
            self.strand(inner, end, row, [])
        else:
            self.series(piece, start, end, row)

    def end_node(self, name: str, side: str) -> Node:
        if name.startswith("@"):
            return self.point(name[1:])
        if (side, name) not in self.rails:
            self.rails[side, name] = self.node(self.named.get(name, name), side, name)
        return self.rails[side, name]

    def point(self, name: str) -> Node:
        if f"@{name}" not in self.points:
            self.points[f"@{name}"] = self.node(self.named.get(f"@{name}", name), "point", name)
        return self.points[f"@{name}"]

    def node(self, net: str, kind: str, name: str = "") -> Node:
        made = Node(net, kind, name)
        self.ladder.nodes.append(made)
        return made

    def line(self, row: int) -> None:
        while len(self.ladder.lines) <= row:
            self.ladder.lines.append(Line())

    def series(self, series: Series, start: Node, end: Node, row: int) -> int:
        """Place a series; returns the row after the last one it uses."""
        here, leaves, last = start, list[Leaf](), row + 1
        items = list(series.items)
        for index, item in enumerate(items):
            rest = items[index + 1 :]
            if isinstance(item, Use):
                leaves.append(Leaf(item, *self.nets_beside(item)))
            elif isinstance(item, Through):
                net = self.nets[f"{item.device}.{item.terminal}"].id
                leaves.append(Leaf(item, net, net))
            elif isinstance(item, Here):
                there = self.point(item.name)
                self.strand(here, there, row, leaves)
                here, leaves = there, []
            elif isinstance(item, Series):
                items[index + 1 : index + 1] = item.items
            else:
                here, leaves, bottom = self.parallel(item, here, leaves, rest, end, row)
                last = max(last, bottom)
        if leaves or here is not end:
            self.strand(here, end, row, leaves)
        return last

    def parallel(
        self, item: Parallel, here: Node, leaves: list[Leaf], rest: list[Item], end: Node, row: int
    ) -> tuple[Node, list[Leaf], int]:
        """Branches below each other between two verticals; those that are there already are used."""
        if leaves:
            there = self.node(leaves[-1].net_b, "inner")
            self.strand(here, there, row, leaves)
            here = there
        goal = end if not rest else self.node(self.net_after(item), "inner")
        bottom = row
        for branch in item.branches:
            bottom = self.series(branch, here, goal, bottom)
        return goal, [], bottom

    def strand(self, a: Node, b: Node, row: int, leaves: list[Leaf]) -> None:
        if a is b:
            b = self.node(a.net, "flag", a.name)
        if self.leads_to(b, a):
            a, b = b, a
            leaves = [_turned(leaf) for leaf in reversed(leaves)]
        self.after.setdefault(a, set()).add(b)
        self.line(row)
        a.rows.add(row)
        b.rows.add(row)
        self.ladder.strands.append(Strand(a, b, row, leaves))

    def leads_to(self, one: Node, other: Node) -> bool:
        seen, todo = {one}, [one]
        while todo:
            for following in self.after.get(todo.pop(), ()):
                if following is other:
                    return True
                if following not in seen:
                    seen.add(following)
                    todo.append(following)
        return False

    # ---------------------------------------------------------------- nets
    def nets_beside(self, use: Use) -> tuple[str, str]:
        if use.terminals is None:
            raise ValueError(f"{use.device}.{use.part} is not allotted yet")
        a, b = (self.nets[f"{use.device}.{mark}"].id for mark in use.terminals)
        return a, b

    def net_after(self, item: Item) -> str:
        while True:
            if isinstance(item, Use):
                return self.nets_beside(item)[1]
            if isinstance(item, Through):
                return self.nets[f"{item.device}.{item.terminal}"].id
            if isinstance(item, Here):
                return self.named.get(f"@{item.name}", item.name)
            item = item.items[-1] if isinstance(item, Series) else item.branches[0].items[-1]


def _net_names(nets: tuple[Net, ...]) -> Mapping[str, str]:
    named = {rail: net.id for net in nets for rail in net.rails}
    return named | {f"@{point}": net.id for net in nets for point in net.points}


def _turned(leaf: Leaf) -> Leaf:
    use = leaf.use
    if isinstance(use, Use) and use.terminals is not None:
        use = replace(use, terminals=(use.terminals[1], use.terminals[0]))
    return Leaf(use, leaf.net_b, leaf.net_a)


def _stretches(body: Series) -> list[tuple[Series, str]]:
    """The body cut at its points, each piece with the name of the point at its end ("" at the end of the rung)."""
    found: list[tuple[Series, str]] = []
    items: list[Item] = []
    for item in body.items:
        if isinstance(item, Here):
            found.append((Series(tuple(items)), item.name))
            items = []
        else:
            items.append(item)
    return [*found, (Series(tuple(items)), "")]


def _backwards(item: Series) -> Series:
    """A series seen from its end."""

    def turn(inner: Item) -> Item:
        if isinstance(inner, Use) and inner.terminals is not None:
            return replace(inner, terminals=(inner.terminals[1], inner.terminals[0]))
        if isinstance(inner, Parallel):
            return Parallel(tuple(_backwards(branch) for branch in inner.branches))
        return _backwards(inner) if isinstance(inner, Series) else inner

    return Series(tuple(turn(inner) for inner in reversed(item.items)))


def _heres(item: Item) -> Iterator[Here]:
    if isinstance(item, Here):
        yield item
    elif isinstance(item, Series):
        for inner in item.items:
            yield from _heres(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from _heres(branch)
