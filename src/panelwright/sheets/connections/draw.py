"""Draws a wiring plan at the devices: with lines, or with labelled stubs when lines would be a tangle."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection
from typing import TYPE_CHECKING, Literal

from ...circuit import Circuit
from ..display import Drawing, Group, Item, Line, Point, Rect, Text, box_around, shifted
from ..words import width_mm
from .bodies import PITCH_MM, Landing
from .layout import LANE_MM, Placed, Row, rows_of
from .routing import PAIR_MM, End, Routes, Run, route

if TYPE_CHECKING:
    from ...wiring import Wire, Wiring

MARGIN_MM = 8.0
SLEEVE_MM = 3.9  # height of a sleeve
SLEEVE_AT_MM = 6.2  # its middle, from the outline
ZONE_MM = 12.5  # between outline and first track
CORNER_MM = 1.2
MOST_CROSSINGS = 4.0  # a wire; beyond, stubs are easier to read
MOST_TRACKS = 14
FAR_LINE_MM = 3.4
LONGEST_SLEEVE_MM = 11.0  # beside a base; longer numbers need stubs


def connection_drawing(
    circuit: Circuit,
    wiring: Wiring,
    *,
    behind: bool | Collection[str] = False,
    form: Literal["", "lines", "stubs"] = "",
    devices: Collection[str] = (),
    stage: str = "",
) -> Drawing:
    """The connection drawing of a wiring plan.

    `behind`: all places, or the named ones, are seen from behind, left and right exchanged. `form`: "lines" or
    "stubs"; by default lines while they can be followed (at most 4 crossings a wire and 14 tracks in a channel).
    `devices`, `stage`: only these devices, only the wires of this stage of the order of work.
    """
    wires = [
        wire
        for wire in wiring.wires
        if (not stage or wire.stage == stage)
        and (not devices or all(end.partition(".")[0] in devices for end in wire.ends))
    ]
    places = {d.place for d in circuit.devices}
    seen_behind = places if behind is True else set() if behind is False else set(behind)
    ends = Counter(end for wire in wires for end in wire.ends)
    wanted = set(devices) or {end.partition(".")[0] for end in ends}
    rows = rows_of(circuit, wanted, seen_behind, ends)
    drawer = _Drawer(circuit, wires, rows)
    if form != "stubs":
        routes = route(rows, drawer.ends(), None if form == "lines" else MOST_TRACKS)
        tangled = drawer.longest_stack() > LONGEST_SLEEVE_MM
        tangled |= routes.crossings > MOST_CROSSINGS * max(len(wires), 1) or max(routes.counts, default=0) > MOST_TRACKS
        if form == "lines" or not tangled:
            return drawer.with_lines(routes)
    return drawer.with_stubs()


class _Drawer:
    def __init__(self, circuit: Circuit, wires: list[Wire], rows: list[Row]) -> None:
        self.circuit, self.wires, self.rows = circuit, wires, rows
        self.at: dict[str, tuple[int, Placed]] = {
            placed.body.device.tag: (row, placed) for row, r in enumerate(rows) for placed in r.placed
        }
        self.landed: dict[tuple[str, str], list[tuple[Wire, int]]] = defaultdict(list)  # terminal and side
        for wire in wires:
            for which, end in enumerate(wire.ends):
                self.landed[end, self.side(wire, which)].append((wire, which))

    def side(self, wire: Wire, which: int) -> str:
        return wire.sides[which] if wire.sides[which] == "outer" else ""

    def landing(self, terminal: str, side: str) -> tuple[int, Placed, Landing]:
        tag, _, mark = terminal.partition(".")
        row, placed = self.at[tag]
        return row, placed, placed.body.landing(mark, side)

    # ---------------------------------------------------------------- lines
    def ends(self) -> list[tuple[str, End, End]]:
        """Both ends of each wire; conductors under one screw lie in the order of where they go."""
        orders: dict[tuple[str, int], tuple[int, int]] = {}
        for mine in self.landed.values():
            mine.sort(key=lambda pair: self.goal(*pair))
            for order, (wire, which) in enumerate(mine):
                orders[wire.id, which] = (order, len(mine))
        return [(wire.id, self.end(wire, 0, orders), self.end(wire, 1, orders)) for wire in self.wires]

    def goal(self, wire: Wire, which: int) -> float:
        _, placed, landing = self.landing(wire.ends[1 - which], self.side(wire, 1 - which))
        return placed.x + landing.x

    def end(self, wire: Wire, which: int, orders: dict[tuple[str, int], tuple[int, int]]) -> End:
        row, placed, _ = self.landing(wire.ends[which], self.side(wire, which))
        order, count = orders[wire.id, which]
        return End(row, placed, wire.ends[which].partition(".")[2], self.side(wire, which), order, count)

    def with_lines(self, routes: Routes) -> Drawing:
        y = 0.0
        zone = max(ZONE_MM, self.longest_stack() + 7.0) if self.turned() else ZONE_MM
        self.channel_y: list[float] = []
        for channel, count in enumerate(routes.counts):
            above, below = channel > 0, channel < len(self.rows)
            self.channel_y.append(y + (zone if above else 0.0))
            y += (zone if above else 0.0) + max(count - 1, 0) * LANE_MM + (zone if below else 0.0)
            if below:
                self.rows[channel].y = y
                y += self.rows[channel].height
        items: list[Item] = [self.wire_group(run, routes) for run in routes.runs]
        return self.framed([*self.bodies(), *items, *self.sleeves()], "lines")

    def wire_group(self, run: Run, routes: Routes) -> Item:
        wire = next(w for w in self.wires if w.id == run.key)
        points = self.points(run, routes)
        words = f"wire {wire.number} from {wire.ends[0]} to {wire.ends[1]}"
        line = Line(tuple(_cleaned(points)), "wire", corner=CORNER_MM)
        return Group((line,), net=wire.net, wire=wire.id, role="conductor", label=words)

    def points(self, run: Run, routes: Routes) -> list[Point]:
        first, last = self.leaving(run, 0), self.leaving(run, 1)
        if run.inside:
            return [*first, *reversed(last)]
        middle: list[Point] = []
        for channel, x0, x1 in run.stops:
            y = self.channel_y[channel] + routes.tracks[channel, run.key] * LANE_MM
            middle += [(x0, y), (x1, y)]
        return [*first, *middle, *reversed(last)]

    def leaving(self, run: Run, which: int) -> list[Point]:
        """From the screw to where the vertical begins."""
        end = run.ends[which]
        landing = end.placed.body.landing(end.mark, end.side)
        x, y = end.placed.x, self.rows[end.row].y
        if landing.way in ("up", "down"):
            return [(x + px + end.offset, y + py) for px, py in landing.leads]
        beside = end.offset if landing.way == "left" else -end.offset
        across = beside if len(landing.leads) > 2 else 0.0  # parallel round the bends, too
        points = [(x + px + across, y + py + end.offset) for px, py in landing.leads]
        lane = run.lanes[which]
        assert lane is not None
        return [*points, (lane, points[-1][1])]

    def labels(self, mine: list[tuple[Wire, int]]) -> list[str]:
        """The different labels of the conductors under one screw."""
        return list(dict.fromkeys(wire.labels[which] for wire, which in mine))

    def longest_stack(self) -> float:
        """Length of the sleeves of one screw, one behind the other."""
        return max(
            (sum(_long(label) + 0.6 for label in self.labels(mine)) for mine in self.landed.values()), default=0.0
        )

    def turned(self) -> bool:
        """Whether sleeves above and below have to read upwards, because level ones would meet or stack."""
        labels = [label for mine in self.landed.values() for label in self.labels(mine)]
        several = any(len(self.labels(mine)) > 1 for mine in self.landed.values())
        return several or max((_long(label) for label in labels), default=0.0) > PITCH_MM - 0.8

    # ---------------------------------------------------------------- stubs
    def with_stubs(self) -> Drawing:
        y = 0.0
        for row in self.rows:
            y += self.stub_zone(row, "up")
            row.y = y
            y += row.height + self.stub_zone(row, "down") + 6.0
        return self.framed([*self.bodies(), *self.stubs()], "stubs")

    def stub_zone(self, row: Row, way: str) -> float:
        longest = 0.0
        for placed in row.placed:
            for (mark, side), landing in placed.body.landings.items():
                mine = self.landed.get((f"{placed.body.device.tag}.{mark}", "" if side == "inner" else side), [])
                if landing.way == way and mine:
                    longest = max(longest, self.stub_length(mine))
        return longest

    def stub_length(self, mine: list[tuple[Wire, int]]) -> float:
        far = max((width_mm(name, "far-end") + 1.2 for name in _far_ends(mine)), default=0.0)
        return 3.0 + max(_long(label) for label in self.labels(mine)) + far

    def stubs(self) -> list[Item]:
        items: list[Item] = []
        for (terminal, side), mine in self.landed.items():
            row, placed, landing = self.landing(terminal, side)
            x, y = placed.x, self.rows[row].y
            points = [(x + px, y + py) for px, py in landing.leads]
            shape = _stub(points, landing.way, mine)
            net, ids = mine[0][0].net, " ".join(wire.id for wire, _ in mine)
            items.append(
                Group(tuple(shape), net=net, wire=ids, role="conductor", label=f"{terminal}: {self.far(mine)}")
            )
        return items

    def far(self, mine: list[tuple[Wire, int]]) -> str:
        return ", ".join(f"wire {wire.number} to {wire.ends[1 - which]}" for wire, which in mine)

    # ---------------------------------------------------------------- what both have
    def bodies(self) -> list[Item]:
        items: list[Item] = []
        for row in self.rows:
            for placed in row.placed:
                device = placed.body.device
                shapes = tuple(shifted(item, placed.x, row.y) for item in placed.body.items)
                items.append(
                    Group(shapes, device=device.tag, role="device", label=f"{device.tag} {device.text}".strip())
                )
        return items

    def sleeves(self) -> list[Item]:
        items: list[Item] = []
        for (terminal, side), mine in self.landed.items():
            row, placed, landing = self.landing(terminal, side)
            x, y = placed.x + landing.edge[0], self.rows[row].y + landing.edge[1]
            done = 0.0
            for label in self.labels(mine):
                group = [w for w, which in mine if w.labels[which] == label]
                wide = (len(mine) - 1) * PAIR_MM + 1.6
                shape = self.sleeve(landing.way, (x, y), label, wide, done)
                done += _long(label) + 0.6
                ids = " ".join(wire.id for wire in group)
                items.append(Group(tuple(shape), net=mine[0][0].net, wire=ids, role="sleeve"))
        return items

    def sleeve(self, way: str, edge: Point, label: str, wide: float, done: float) -> list[Item]:
        """A sleeve where a conductor leaves an outline, `done` mm of other sleeves before it."""
        x, y = edge
        out = -1 if way in ("up", "left") else 1
        if way in ("left", "right"):
            return _sleeve(x + out * (SLEEVE_AT_MM + done), y, label, wide)
        if not self.turned():
            return _sleeve(x, y + out * SLEEVE_AT_MM, label, wide)
        middle = y + out * (SLEEVE_AT_MM - SLEEVE_MM / 2 + done + _long(label) / 2)
        across = max(SLEEVE_MM, wide)
        box = Rect(x - across / 2, middle - _long(label) / 2, across, _long(label), "sleeve", 0.9)
        return [box, Text(x + 1.25, middle, label, "sleeve-number", "middle", -90.0)]

    def framed(self, items: list[Item], form: str) -> Drawing:
        left = min((b[0] for i in items if (b := box_around((i,))) is not None), default=0.0)
        for index, row in enumerate(self.rows):
            if index == 0 or self.rows[index - 1].place != row.place:
                text = self.place_words(row)
                items.append(Text(left - 7.0, row.y + row.height / 2, text, "title", "middle", -90.0))
        box = box_around(tuple(items)) or (0.0, 0.0, 10.0, 10.0)
        dx, dy = MARGIN_MM - box[0], MARGIN_MM - box[1]
        title = f"{self.circuit.heading.title}: connections".lstrip(": ")
        said = f"{len(self.wires)} wires, drawn as {form}, by number: " + "; ".join(
            f"{wire.number} {wire.ends[0]} to {wire.ends[1]}" for wire in self.wires
        )
        return Drawing(
            box[2] - box[0] + 2 * MARGIN_MM,
            box[3] - box[1] + 2 * MARGIN_MM,
            tuple(shifted(item, dx, dy) for item in items),
            title,
            said,
            {"form": form},
        )

    def place_words(self, row: Row) -> str:
        if not row.behind:
            return row.place.capitalize()
        return f"{row.place.capitalize()}, from behind"


def _long(label: str) -> float:
    """Length of a sleeve."""
    return width_mm(label, "sleeve-number") + 1.8


def _sleeve(x: float, y: float, label: str, least: float) -> list[Item]:
    """A number sleeve with its middle at (x, y)."""
    width = max(_long(label), least, SLEEVE_MM)
    box = Rect(x - width / 2, y - SLEEVE_MM / 2, width, SLEEVE_MM, "sleeve", 0.9)
    return [box, Text(x, y + 1.25, label, "sleeve-number", "middle")]


def _far_ends(mine: list[tuple[Wire, int]]) -> list[str]:
    """Where the conductors under one screw go; () when their labels say so already."""
    return [w.ends[1 - which] for w, which in mine if w.labels[which] != w.ends[1 - which]]


def _stub(points: list[Point], way: str, mine: list[tuple[Wire, int]]) -> list[Item]:
    """A short end of wire with its sleeves and the far ends: upright above and below, level beside."""
    labels = list(dict.fromkeys(wire.labels[which] for wire, which in mine))
    return (_stub_upright if way in ("up", "down") else _stub_level)(points, way, labels, _far_ends(mine))


def _stub_upright(points: list[Point], way: str, labels: list[str], far: list[str]) -> list[Item]:
    """Sleeves side by side, far ends beyond them, all read upwards."""
    x, y = points[-1]
    out = -1 if way == "up" else 1
    long = max(_long(label) for label in labels)
    start, end = y + 3.0 * out, y + (3.0 + long) * out
    items: list[Item] = []
    for index, label in enumerate(labels):
        across = x + (index - (len(labels) - 1) / 2) * (SLEEVE_MM + 0.3)
        items.append(Line((*points, (x, y + 1.5 * out), (across, y + 1.5 * out), (across, start)), "wire"))
        items.append(Rect(across - SLEEVE_MM / 2, min(start, end), SLEEVE_MM, long, "sleeve", 0.9))
        items.append(Text(across + 1.25, (start + end) / 2, label, "sleeve-number", "middle", -90.0))
    for index, name in enumerate(far):
        across = x + (index - (len(far) - 1) / 2) * FAR_LINE_MM + 1.25
        items.append(Text(across, end + 1.2 * out, name, "far-end", "start" if way == "up" else "end", -90.0))
    return items


def _stub_level(points: list[Point], way: str, labels: list[str], far: list[str]) -> list[Item]:
    """Sleeves one behind the other, then the far ends."""
    x, y = points[-1]
    out = -1 if way == "left" else 1
    items: list[Item] = [Line((*points, (x + 3.0 * out, y)), "wire")]
    at = x + 3.0 * out
    for label in labels:
        long = _long(label)
        items.append(Rect(min(at, at + long * out), y - SLEEVE_MM / 2, long, SLEEVE_MM, "sleeve", 0.9))
        items.append(Text(at + long / 2 * out, y + 1.25, label, "sleeve-number", "middle"))
        at += (long + 0.6) * out
    if far:
        items.append(Text(at + 0.6 * out, y + 1.25, " ".join(far), "far-end", "end" if way == "left" else "start"))
    return items


def _cleaned(points: list[Point]) -> list[Point]:
    """Without points that repeat or lie in the middle of a straight stretch."""
    found: list[Point] = []
    for point in points:
        if found and abs(found[-1][0] - point[0]) < 1e-6 and abs(found[-1][1] - point[1]) < 1e-6:
            continue
        if len(found) > 1 and any(
            abs(found[-2][axis] - found[-1][axis]) < 1e-6 and abs(found[-1][axis] - point[axis]) < 1e-6
            for axis in (0, 1)
        ):
            found[-1] = point
            continue
        found.append(point)
    return found
