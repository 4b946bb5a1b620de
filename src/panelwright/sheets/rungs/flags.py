"""Flags: where a conductor leaves its line and goes on in another one; cutting rungs that are too long."""

from __future__ import annotations

from collections.abc import Callable

from ...circuit import Circuit, Item, Parallel, Series, Through, Use, uses_in
from .. import display
from ..display import Line, Text
from ..symbols import M
from .along import FLAG_IN, GAP, STUB
from .cells import CAP_MM, Cell
from .strands import Leaf, Node

_HALF = CAP_MM / 2 + 0.9


def flag_items(text: str, upright: bool, coming: bool) -> tuple[display.Item, ...]:
    """A pentagon with its text; (0, 0) is where its wire begins or ends. `coming`: the wire begins here."""
    label = Text(0.0, 0.0, text, "number")
    w = label.width + 2.4
    if upright:
        y0, y1, tip = (-2 * _HALF - 1.2, -1.2, 0.0) if coming else (1.2, 2 * _HALF + 1.2, 0.0)
        near = y1 if coming else y0
        far = y0 if coming else y1
        shape = ((0.0, tip), (w / 2, near), (w / 2, far), (-w / 2, far), (-w / 2, near))
        return (Line(shape, "flag", True), Text(0.0, (near + far) / 2 + CAP_MM / 2, text, "number", "middle"))
    x0, x1 = (-w - 1.4, -1.4) if coming else (1.4, w + 1.4)
    near, far = (x1, x0) if coming else (x0, x1)
    shape = ((0.0, 0.0), (near, -_HALF), (far, -_HALF), (far, _HALF), (near, _HALF))
    return (Line(shape, "flag", True), Text((near + far) / 2, CAP_MM / 2, text, "number", "middle"))


class Cutter:
    """Says where rungs have to be cut, so that none is longer than `width_mm` (as far as its parts allow)."""

    def __init__(self, circuit: Circuit, cell: Callable[[Leaf], Cell], width_mm: float) -> None:
        self.width_mm = width_mm
        self.cell_of = cell
        self.cells: dict[int, Cell] = {}  # by the id of the use; the circuit keeps them all
        self.reach: dict[Node, float] = {}  # how far from the rail a node stands, as estimated
        self.tail_mm = max((self.tail(rung.body) for rung in circuit.rungs), default=0.0)

    def cell(self, use: Use | Through) -> Cell:
        if id(use) not in self.cells:
            self.cells[id(use)] = self.cell_of(Leaf(use, "", ""))
        return self.cells[id(use)]

    def tail(self, body: Series) -> float:
        """Length from the first load of a rung on."""
        for index, item in enumerate(body.items):
            if self.holds_load(item):
                return sum(self.length(inner) for inner in body.items[index:]) + STUB
        return 0.0

    def holds_load(self, item: Item) -> bool:
        return any(self.cell(use).load for use in uses_in(item))

    def length(self, item: Item) -> float:
        """Estimated length of an item with the gap before it."""
        if isinstance(item, Use | Through):
            return self.cell(item).length + GAP + M
        if isinstance(item, Series):
            return sum(self.length(inner) for inner in item.items)
        if isinstance(item, Parallel):
            return max(self.length(branch) for branch in item.branches) + 2 * GAP
        return 0.0

    def pieces(self, items: Series, start: Node, end: Node) -> list[Series]:
        """The items of a stretch, cut before each item that no longer fits; notes where its end will stand."""
        u = self.reach.get(start, 0.0)
        pieces: list[list[Item]] = [[]]
        behind = False
        for item in items.items:
            length, load = self.length(item), self.holds_load(item)
            room = self.width_mm - (0.0 if load or behind else self.tail_mm)
            if pieces[-1] and not behind and u + (self.tail_mm if load else length) > room:
                pieces.append([])
                u = FLAG_IN
            behind = behind or load
            pieces[-1].append(item)
            u += length
        self.reach[end] = max(self.reach.get(end, 0.0), u)
        return [Series(tuple(piece)) for piece in pieces]
