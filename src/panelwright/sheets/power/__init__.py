"""Power drawings: the paths of the load current, all their wires side by side."""

from __future__ import annotations

from collections.abc import Mapping

from ...circuit import Circuit
from ..display import Box, Circle, Drawing, Group, Item, Line, Text, box_around, shifted
from ..rungs import running_numbers
from ..rungs.cells import CAP_MM, Frame
from ..rungs.references import references_in
from ..rungs.strands import ladder_of
from ..symbols import Standard
from ..words import width_mm
from .blocks import WIRE_MM, Block, Setting, block_of, boxes_of
from .columns import Column, Knot, columns_of

BUS_MM = 5.0  # between the lines of a knot
STUB_MM = 5.0
LEVEL_STUB_MM = 9.0  # holds the number of the last line
DOT_MM = 0.62
MARGIN_MM = 8.0
_ROUNDS = 40


def power_drawing(
    circuit: Circuit,
    *,
    standard: Standard | None = None,
    upright: bool = True,
    live: bool = False,
    numbers: Mapping[str, str] | None = None,
) -> Drawing | None:
    """The power paths of an allotted circuit; None when it has none. Arguments as in `rung_drawing`."""
    if not circuit.power_paths:
        return None
    used: Standard = standard or ("NA" if circuit.heading.symbols == "NA" else "IEC")
    return _Drawer(circuit, Frame(used, upright, live), numbers or running_numbers(circuit)).draw()


class _Drawer:
    def __init__(self, circuit: Circuit, frame: Frame, numbers: Mapping[str, str]) -> None:
        self.circuit, self.frame, self.numbers = circuit, frame, numbers
        references = references_in(circuit, ladder_of(circuit))
        to_coil = {tag: references.of(tag) for tag in circuit.by_tag}
        self.to = Setting(circuit, frame, to_coil)
        self.columns, self.knots = columns_of(circuit)
        self.blocks: dict[Column, list[Block]] = {
            column: [
                block_of(item, column.nets[k], column.nets[k + 1], self.to, column.path.text)
                for k, item in enumerate(column.items)
            ]
            for column in self.columns
        }
        self.items: list[Item] = []

    def draw(self) -> Drawing:
        self.along()
        self.across()
        for column in self.columns:
            self.column(column)
        for knot in self.knots:
            self.knot(knot)
        box = box_around(tuple(self.items)) or (0.0, 0.0, 10.0, 10.0)
        dx, dy = MARGIN_MM - box[0], MARGIN_MM - box[1]
        title = f"{self.circuit.heading.title}: power".lstrip(": ")
        return Drawing(
            box[2] - box[0] + 2 * MARGIN_MM,
            box[3] - box[1] + 2 * MARGIN_MM,
            tuple(shifted(item, dx, dy) for item in self.items),
            title,
            f"{title}: {len(self.columns)} paths, drawn at rest.",
        )

    # ---------------------------------------------------------------- places along
    def along(self) -> None:
        """`u` of every knot and block: as short as what hangs on it allows, then clear of other columns."""
        self.starts = {column: self.places(column) for column in self.columns}
        for _ in range(_ROUNDS):
            moved = self.lengthen() or self.clear_knots()
            self.starts = {column: self.places(column) for column in self.columns}
            if not moved:
                return

    def depth(self, knot: Knot) -> float:
        """From the first line of a knot to where columns begin."""
        return self.span(knot) + (STUB_MM if self.frame.upright else LEVEL_STUB_MM)

    def span(self, knot: Knot) -> float:
        return (len(knot.nets) - 1) * BUS_MM

    def places(self, column: Column) -> list[float]:
        """Where each block begins, and where the last one ends."""
        u = column.start.u + self.depth(column.start) if column.start else STUB_MM
        found: list[float] = []
        for index, block in enumerate(self.blocks[column]):
            u += self.gap(column.nets[index], index, column)
            if index in column.passes:
                knot = column.passes[index]
                u = max(u, knot.u + self.depth(knot))
            found.append(u)
            u += block.length
        return [*found, u]

    def gap(self, nets: tuple[str, ...], index: int, column: Column) -> float:
        """Room for wire numbers before a block; nets that hang on a knot are numbered there."""
        if index == 0:
            return 0.0
        if self.frame.upright:
            return CAP_MM + 2.0
        return max((width_mm(self.numbers.get(n, n), "number") for n in nets), default=0.0) + 2.5

    def lengthen(self) -> bool:
        changed = False
        for column in self.columns:
            starts = self.starts[column]
            wanted = [(column.end, starts[-1] + STUB_MM)] if column.end else []
            for index, knot in column.passes.items():
                before = starts[index - 1] + self.blocks[column][index - 1].length if index else 0.0
                wanted.append((knot, before + STUB_MM))
            for knot, u in wanted:
                if knot is not None and u > knot.u + 1e-6:
                    knot.u = u
                    changed = True
        return changed

    def clear_knots(self) -> bool:
        """Move a knot down where its lines would run through a column that does not belong to it."""
        changed = False
        for knot in self.knots:
            if knot.rails or len(knot.columns) < 2:
                continue
            low, high = min(knot.columns), max(knot.columns)
            for column in self.columns:
                if not low <= column.place <= high or knot in (column.start, column.end, *column.passes.values()):
                    continue
                for u, block in zip(self.starts[column], self.blocks[column], strict=False):
                    if u - 1.0 < knot.u + self.span(knot) and knot.u - 1.0 < u + block.length:
                        knot.u = u + block.length + STUB_MM
                        changed = True
        return changed

    # ---------------------------------------------------------------- places across
    def across(self) -> None:
        places = max(c.place for c in self.columns) + 1
        left, right = [0.0] * places, [0.0] * places
        for column in self.columns:
            boxes: list[Box] = []
            for block in self.blocks[column]:
                boxes += boxes_of(block.items, self.frame.upright)
            wires = max((len(nets) for nets in column.nets), default=1)
            boxes.append((0.0, -2.0, 0.0, (wires - 1) * WIRE_MM + self.beside(column, wires)))
            left[column.place] = max(left[column.place], -min(b[1] for b in boxes))
            right[column.place] = max(right[column.place], max(b[3] for b in boxes))
        self.v: list[float] = []
        v = 0.0
        for place in range(places):
            v += left[place] + (4.0 if place else 0.0)
            self.v.append(v)
            v += right[place]

    def beside(self, column: Column, wires: int) -> float:
        """Room beyond the last wire for numbers."""
        if not self.frame.upright:
            return 4.0
        nets = [net for nets in column.nets for net in nets]
        return 2.0 + max((width_mm(self.numbers.get(n, n), "number") for n in nets), default=0.0)

    # ---------------------------------------------------------------- one column
    def column(self, column: Column) -> None:
        v0 = self.v[column.place]
        starts = self.starts[column]
        u = self.take_off(column)
        for index, (start, block) in enumerate(zip(starts, self.blocks[column], strict=False)):
            for k, net in enumerate(column.nets[index]):
                v = v0 + k * WIRE_MM
                self.items.append(self.to.wire(net, (u[k], v), (start, v)))
                on_knot = index == 0 or index in column.passes
                if not on_knot:
                    self.number(net, start, v)
            self.items += [shifted(item, *self.to.xy(start, v0)) for item in block.items]
            u = [start + block.length] * len(column.nets[index])
        if column.end is not None:
            for k, net in enumerate(column.nets[-1]):
                v = v0 + k * WIRE_MM
                self.items.append(self.to.wire(net, (starts[-1], v), (self.bus(column.end, net), v)))

    def take_off(self, column: Column) -> list[float]:
        """Where each wire of a column leaves its knot."""
        if column.start is None:
            return [0.0] * len(column.nets[0])
        return [self.bus(column.start, net) for net in column.nets[0]]

    def bus(self, knot: Knot, net: str) -> float:
        return knot.u + knot.nets.index(net) * BUS_MM

    def number(self, net: str, start: float, v: float) -> None:
        """The wire number in the gap before a block."""
        x, y = self.to.xy(start, v)
        label = self.numbers.get(net, net)
        if self.frame.upright:
            self.items.append(Text(x + 1.0, y - 1.0, label, "number"))
        else:
            self.items.append(Text(x - 1.2, y - 0.8, label, "number", "end"))

    # ---------------------------------------------------------------- knots
    def knot(self, knot: Knot) -> None:
        for net in knot.nets:
            taps = self.taps(knot, net)
            if not taps:
                continue
            u = self.bus(knot, net)
            low, high = min(t[0] for t in taps), max(t[0] for t in taps)
            look = "rail" if knot.rails else "wire"
            start = self.v[0] - 8.0 if knot.rails else low
            if high > start:
                line = Line((self.to.xy(u, start), self.to.xy(u, high)), look)
                self.items.append(Group((line,), net=net, role="net"))
            for v, ends in taps:
                whole = ends + (v > start) + (v < high)
                if whole >= 3:
                    self.items.append(Group((Circle(*self.to.xy(u, v), DOT_MM, "dot"),), net=net, role="net"))
            self.knot_label(knot, net, u, start, low)

    def taps(self, knot: Knot, net: str) -> list[tuple[float, int]]:
        """Where columns meet a line of a knot: v and how many wire ends lie there along the column."""
        found: dict[float, int] = {}
        for column in self.columns:
            for nets, ends in self.meetings(column, knot):
                if net in nets:
                    v = self.v[column.place] + nets.index(net) * WIRE_MM
                    found[v] = found.get(v, 0) + ends
        return sorted(found.items())

    def meetings(self, column: Column, knot: Knot) -> list[tuple[tuple[str, ...], int]]:
        found: list[tuple[tuple[str, ...], int]] = []
        if column.start is knot:
            found.append((column.nets[0], 1))
        if column.end is knot:
            found.append((column.nets[-1], 1))
        found += [(column.nets[index], 2) for index, passed in column.passes.items() if passed is knot]
        return found

    def knot_label(self, knot: Knot, net: str, u: float, start: float, low: float) -> None:
        label = self.numbers.get(net, net)
        x, y = self.to.xy(u, start)
        if knot.rails:
            if self.frame.upright:
                self.items.append(Text(x - 1.2, y + CAP_MM / 2, label, "tag", "end"))
            else:
                self.items.append(Text(x, y - 1.2, label, "tag", "middle"))
            return
        x, y = self.to.xy(u, low)
        if self.frame.upright:
            self.items.append(Text(x - 1.2, y - 0.8, label, "number", "end"))
        else:
            self.items.append(Text(x + 1.0, y - 1.0, label, "number"))


__all__ = ["power_drawing"]
