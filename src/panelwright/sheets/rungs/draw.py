"""Draws a ladder whose strands have their places: wires, dots, rails, numbers, flags, references."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ...circuit import Circuit, Net, nets_of
from ..display import Anchor, Box, Circle, Drawing, Group, Item, Line, Text, box_around, shifted
from ..fonts import text_width_mm
from ..style import TEXTS
from ..symbols import M
from ..words import wrapped
from .across import lay_across
from .along import Along, lay_along
from .cells import CAP_MM, LINE_MM, Cell, Frame, cell_of
from .flags import Cutter, flag_items
from .references import Reference, References, references_in
from .strands import Ladder, Leaf, Node, Strand, ladder_of
from .stretches import Stretch, part_of

LEAST_MM = {False: 2.5 * M, True: 3 * M}
MARGIN_MM = 8.0
DOT_MM = 0.62
_RAIL_REACH = 2.0
_PURPOSE_MM = 62.0


def draw_ladder(
    circuit: Circuit,
    ladder: Ladder,
    frame: Frame,
    numbers: Mapping[str, str],
    width_mm: float | None = None,
    stretch: Stretch | None = None,
) -> Drawing:
    """The finished drawing of a ladder, or of one stretch of its lines."""
    drawer = Drawer(circuit, ladder, frame, numbers)
    if width_mm is not None:
        ladder = ladder_of(circuit, Cutter(circuit, drawer.cell, width_mm))
        drawer = Drawer(circuit, ladder, frame, numbers)
    return (drawer if stretch is None else drawer.part(stretch)).draw()


class Drawer:
    """Lays a ladder out and draws it."""

    def __init__(self, circuit: Circuit, ladder: Ladder, frame: Frame, numbers: Mapping[str, str]) -> None:
        self.circuit, self.ladder, self.frame, self.numbers = circuit, ladder, frame, numbers
        self.references: References = references_in(circuit, ladder)
        self.first = 0  # line of the whole that row 0 is
        self.known: dict[Leaf, Cell] = {}
        self.nets: dict[str, Net] = {net.id: net for net in nets_of(circuit)}
        self.by_net: dict[str, list[Item]] = {}
        self.free: list[Item] = []
        self.flags = {node: self.flag_text(node) for node in ladder.nodes if node.kind == "flag"}

    def part(self, stretch: Stretch) -> Drawer:
        """The drawer of some of the lines, which keep their numbers."""
        ladder, references, nodes = part_of(self.ladder, self.references, stretch)
        part = Drawer(self.circuit, ladder, self.frame, self.numbers)
        part.references, part.first, part.known = references, stretch[0], self.known
        part.flags = {nodes[node]: text for node, text in self.flags.items() if node in nodes}
        return part

    def cell(self, leaf: Leaf) -> Cell:
        if leaf not in self.known:
            self.known[leaf] = cell_of(leaf, self.circuit, self.frame, self.references.of(leaf.use.device))
        return self.known[leaf]

    # ---------------------------------------------------------------- the whole
    def draw(self) -> Drawing:
        self.along: Along = lay_along(self.ladder, self.cell, self.labels_mm())
        self.runs = {side: self.rail_runs(side) for side in ("left", "right")}
        rows = self.all_boxes()
        self.v = lay_across(rows, LEAST_MM, upright=self.frame.upright)
        self.extent = [
            (u0, v + v0, u1, v + v1) for v, boxes in zip(self.v, rows, strict=True) for u0, v0, u1, v1 in boxes
        ]
        self.reach = [
            (v + min((b[1] for b in boxes), default=0.0), v + max((b[3] for b in boxes), default=0.0))
            for v, boxes in zip(self.v, rows, strict=True)
        ]
        self.wires()
        self.uprights()
        self.labels()
        self.rails()
        self.beside()
        cells = [
            shifted(item, *self.xy(u, self.v[strand.row]))
            for strand, placed in self.along.cells.items()
            for u, cell, _ in placed
            for item in cell.items
        ]
        nets = [Group(tuple(items), net=net, role="net") for net, items in self.by_net.items()]
        return self.framed((*nets, *cells, *self.free))

    def framed(self, items: tuple[Item, ...]) -> Drawing:
        box = self.outline()
        dx, dy = MARGIN_MM - box[0], MARGIN_MM - box[1]
        title = self.circuit.heading.title or "Control circuit"
        way = "current paths from top to bottom" if self.frame.upright else "rungs from left to right"
        return Drawing(
            box[2] - box[0] + 2 * MARGIN_MM,
            box[3] - box[1] + 2 * MARGIN_MM,
            tuple(shifted(item, dx, dy) for item in items),
            title,
            f"{title}: {len(self.ladder.lines)} lines, {way}, "
            + ("in its present state." if self.frame.live else "drawn at rest, without supply."),
            {"lines": {e: self.first + row + 1 for e, row in self.element_rows().items()}},
        )

    def outline(self) -> Box:
        """Left, top, right and bottom of everything."""
        if not self.extent:
            return (0.0, 0.0, 10.0, 10.0)
        u0, v0 = min(b[0] for b in self.extent), min(b[1] for b in self.extent)
        u1, v1 = max(b[2] for b in self.extent), max(b[3] for b in self.extent)
        if self.frame.upright:
            half = max(text_width_mm(node.name, 600, CAP_MM) for node in self.ladder.nodes) + 1.0
            return (v0 - half, u0, v1, u1)
        return (u0, v0, u1, v1)

    def element_rows(self) -> dict[str, int]:
        return {
            getattr(leaf.use, "element", ""): strand.row for strand in self.ladder.strands for leaf in strand.leaves
        }

    def xy(self, u: float, v: float) -> tuple[float, float]:
        return (v, u) if self.frame.upright else (u, v)

    def line(self, u0: float, v0: float, u1: float, v1: float, look: str = "wire") -> Line:
        return Line((self.xy(u0, v0), self.xy(u1, v1)), look)

    def net(self, net: str) -> list[Item]:
        return self.by_net.setdefault(net, [])

    # ---------------------------------------------------------------- what each row needs
    def labels_mm(self) -> dict[str, float]:
        """Room along the line for each net's number and volts."""
        found: dict[str, float] = {}
        for net_id, net in self.nets.items():
            if net.rails and not self.frame.live:
                continue
            if net.rails and any(n.kind in ("left", "right") and n.net == net_id for n in self.ladder.nodes):
                continue
            if self.frame.upright:
                found[net_id] = CAP_MM + 0.9 * M
            else:
                number = text_width_mm(self.number(net_id), TEXTS["number"].weight, CAP_MM)
                found[net_id] = max(number + 0.9 * M, 4 * M if self.frame.live else 0.0)
        return found

    def number(self, net: str) -> str:
        return self.numbers.get(net, net)

    def all_boxes(self) -> list[list[Box]]:
        """For each row, boxes (u0, v0, u1, v1) of what it draws, relative to its line."""
        rows: list[list[Box]] = [[*self.row_word_boxes(row)] for row in range(len(self.ladder.lines))]
        for strand, placed in self.along.cells.items():
            boxes = rows[strand.row]
            boxes.append((strand.a.u, 0.0, strand.b.u, 0.3))
            for u, cell, _ in placed:
                boxes.extend((u + u0, v0, u + u1, v1) for u0, v0, u1, v1 in cell.boxes)
            for node in (strand.a, strand.b):
                if node.kind == "flag":
                    boxes.extend(self.boxes(self.flag(node, strand), node.u))
        for net, (row, u0, u1) in self.along.labels.items():
            rows[row].extend(self.boxes(tuple(self.label(net, u0, u1, "250 V")), 0.0))
        self.rail_boxes(rows)
        return rows

    def row_word_boxes(self, row: int) -> list[Box]:
        return self.boxes(tuple(self.row_words(row)), 0.0)

    def flag(self, node: Node, strand: Strand) -> tuple[Item, ...]:
        text = self.flags.get(node) or self.flag_text(node)
        return flag_items(text, self.frame.upright, node is strand.a)

    def boxes(self, items: tuple[Item, ...], u: float) -> list[Box]:
        found: list[Box] = []
        for item in items:
            box = box_around((item,))
            if box is not None:
                x0, y0, x1, y1 = box
                found.append((y0 + u, x0, y1 + u, x1) if self.frame.upright else (x0 + u, y0, x1 + u, y1))
        return found

    # ---------------------------------------------------------------- conductors
    def wires(self) -> None:
        for strand, placed in self.along.cells.items():
            v, u, net = self.v[strand.row], strand.a.u, strand.a.net
            for start, cell, leaf in placed:
                self.net(net).append(self.line(u, v, start, v))
                u, net = start + cell.length, leaf.net_b
            self.net(strand.b.net).append(self.line(u, v, strand.b.u, v))
            for node in (strand.a, strand.b):
                if node.kind == "flag":
                    self.net(node.net).extend(shifted(item, *self.xy(node.u, v)) for item in self.flag(node, strand))

    def flag_text(self, node: Node) -> str:
        """Where a flag leads: the number and the line of the place with the same name."""
        rows = [
            row
            for other in self.ladder.nodes
            if other is not node and other.name == node.name and (other.kind == "flag") == (node.name.startswith("~"))
            for row in other.rows
        ]
        line = f" /{self.first + min(rows) + 1}" if rows else ""
        return f"{self.number(node.net)}{line}"

    def uprights(self) -> None:
        ends: dict[tuple[Node, int], int] = {}
        for strand in self.ladder.strands:
            for node in (strand.a, strand.b):
                ends[node, strand.row] = ends.get((node, strand.row), 0) + 1
        for node in self.ladder.nodes:
            if node.kind not in ("point", "inner") or not node.rows:
                continue
            top, bottom = min(node.rows), max(node.rows)
            if top < bottom:
                self.net(node.net).append(self.line(node.u, self.v[top], node.u, self.v[bottom]))
            for row in sorted(node.rows):
                if ends.get((node, row), 0) + (row > top) + (row < bottom) >= 3:
                    x, y = self.xy(node.u, self.v[row])
                    self.net(node.net).append(Circle(x, y, DOT_MM, "dot"))

    # ---------------------------------------------------------------- numbers
    def labels(self) -> None:
        for net, (row, u0, u1) in self.along.labels.items():
            number, *volts = (shifted(item, *self.xy(0.0, self.v[row])) for item in self.label(net, u0, u1, ""))
            self.net(net).append(number)
            if self.frame.live:
                self.net(net).append(Group(tuple(volts), role="volts"))

    def label(self, net: str, u0: float, u1: float, volts: str) -> list[Item]:
        """Number and place of the volts, relative to the line."""
        number = self.number(net)
        if self.frame.upright:
            y = u0 + self.labels_mm_of(net, u1 - u0) / 2 + CAP_MM / 2
            places: list[tuple[float, float, Anchor]] = [(1.0, y, "start"), (-1.0, y, "end")]
        else:
            x = u0 + self.labels_mm_of(net, u1 - u0) / 2
            places = [(x, -0.8, "middle"), (x, 0.8 + CAP_MM + 0.2, "middle")]
        found: list[Item] = [Text(*places[0][:2], number, "number", places[0][2])]
        if self.frame.live:
            found.append(Text(*places[1][:2], volts, "volts", places[1][2]))
        return found

    def labels_mm_of(self, net: str, room: float) -> float:
        """How far from the beginning of its gap a number stands: near the front of a long one."""
        return min(room, 5 * M if not self.frame.upright else 3 * M)

    # ---------------------------------------------------------------- rails
    def rail_runs(self, side: str) -> list[tuple[Node, int, int]]:
        """Runs of rows on one side that use the same rail: node, first row, last row."""
        rows = [(row, node) for node in self.ladder.nodes if node.kind == side for row in node.rows]
        rows.sort(key=lambda pair: pair[0])
        runs: list[tuple[Node, int, int]] = []
        for row, node in rows:
            if runs and runs[-1][0] is node:
                runs[-1] = (node, runs[-1][1], row)
            else:
                runs.append((node, row, row))
        return runs

    def rail_boxes(self, rows: list[list[Box]]) -> None:
        """Room for the name of a rail above the first row of each run."""
        for runs in self.runs.values():
            for node, first, last in runs:
                half = CAP_MM if self.frame.upright else text_width_mm(node.name, 600, CAP_MM) / 2
                rows[first].append((node.u - half, -self.rail_head() - LINE_MM, node.u + half, 0.0))
                rows[last].append((node.u - 0.3, 0.0, node.u + 0.3, _RAIL_REACH))

    def rail_head(self) -> float:
        return 3.5 * M if not self.frame.upright else 2 * M

    def rails(self) -> None:
        for runs in self.runs.values():
            for node, first, last in runs:
                v0, v1 = self.v[first] - self.rail_head(), self.v[last] + _RAIL_REACH
                self.net(node.net).append(self.line(node.u, v0, node.u, v1, "rail"))
                x, y = self.xy(node.u, v0 - 0.9)
                if self.frame.upright:
                    name = Text(x - 0.4, y + CAP_MM / 2, node.name, "tag", "end")
                else:
                    name = Text(x, y, node.name, "tag", "middle")
                self.free.append(Group((name,), net=node.net, role="rail-name"))

    # ---------------------------------------------------------------- words beside the rows
    def beside(self) -> None:
        for row, v in enumerate(self.v):
            self.free.extend(shifted(item, *self.xy(0.0, v)) for item in self.row_words(row))

    def row_words(self, row: int) -> list[Item]:
        """Line number, purpose and references of one row, relative to its line."""
        texts, contacts = self.ladder.lines[row].texts, self.references.contacts.get(row, [])
        if self.frame.upright:
            return self.words_under(row, texts, contacts)
        found: list[Item] = [Text(-3 * M, CAP_MM / 2, str(self.first + row + 1), "line-number", "end")]
        x = self.along.end + 2 * M
        lines = wrapped("; ".join(texts), _PURPOSE_MM, "purpose")
        y = -0.6 if contacts or len(lines) > 1 else CAP_MM / 2
        for line in lines:
            found.append(Text(x, y, line, "purpose"))
            y += LINE_MM
        at = x
        for contact in contacts:
            look = "reference-break" if contact.breaks else "reference"
            text = Text(at, y, contact.text, look)
            if at > x and at + text.width > x + _PURPOSE_MM:
                at, y = x, y + LINE_MM
                text = Text(at, y, contact.text, look)
            found.append(text)
            at += text.width + 1.4 * M
        return found

    def words_under(self, row: int, texts: list[str], contacts: Sequence[Reference]) -> list[Item]:
        found: list[Item] = [Text(0.0, -3 * M, str(self.first + row + 1), "line-number", "middle")]
        y = self.along.end + _RAIL_REACH + CAP_MM
        for contact in contacts:
            look = "reference-break" if contact.breaks else "reference"
            found.append(Text(0.0, y, contact.text, look, "middle"))
            y += LINE_MM
        most = max((len(c) for c in self.references.contacts.values()), default=0)
        y = self.along.end + _RAIL_REACH + CAP_MM + most * LINE_MM - 0.6
        for index, line in enumerate(wrapped("; ".join(texts), _PURPOSE_MM, "purpose")):
            found.append(Text(CAP_MM / 2 + index * LINE_MM, y, line, "purpose", "end", -90.0))
        return found
