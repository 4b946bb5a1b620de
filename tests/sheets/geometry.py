"""Looks at finished drawings as an eye would: what touches what, and whether conductors hang together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from panelwright.sheets.display import Arc, Box, Circle, Drawing, Group, Item, Line, Point, Rect, Text, box_of, walk
from panelwright.sheets.style import is_shown

CONDUCTORS = frozenset({"wire", "rail"})
CLOSE_MM = 0.15  # nearer than this, two things touch for the eye


@dataclass(frozen=True, slots=True)
class Piece:
    """A stroke between two points, with what it belongs to."""

    a: Point
    b: Point
    look: str
    net: str
    element: str


def shown(drawing: Drawing) -> Iterator[tuple[Item, tuple[Group, ...]]]:
    """Items that are visible in the state that the groups say."""
    for item, around in walk(drawing.items):
        if all(is_shown(g.role, around[k - 1].states if k else ()) for k, g in enumerate(around)):
            yield item, around


def pieces(drawing: Drawing) -> list[Piece]:
    """Every stroke, cut into straight pieces."""
    found: list[Piece] = []
    for item, around in shown(drawing):
        net = next((g.net for g in reversed(around) if g.net), "")
        element = next((g.element for g in reversed(around) if g.element), "")
        look = getattr(item, "look", "")
        found.extend(Piece(a, b, look, net, element) for a, b in _straight(item))
    return found


def _straight(item: Item) -> list[tuple[Point, Point]]:
    if isinstance(item, Line):
        points = [*item.points, item.points[0]] if item.closed else [*item.points]
    elif isinstance(item, Rect):
        x, y, w, h = item.x, item.y, item.width, item.height
        points = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    elif isinstance(item, Circle):
        return _straight(Arc(item.x, item.y, item.radius, 0, 360))
    elif isinstance(item, Arc):
        points = [item.at(item.start_deg + (item.end_deg - item.start_deg) * k / 12) for k in range(13)]
    else:
        return []
    return list(pairwise(points))


def texts(drawing: Drawing) -> list[tuple[Text, tuple[Group, ...]]]:
    """Every visible text that is not empty."""
    return [(i, g) for i, g in shown(drawing) if isinstance(i, Text) and i.text]


def overlaps(drawing: Drawing) -> list[str]:
    """Everything that touches and should not, in words."""
    strokes = pieces(drawing)
    words = texts(drawing)
    return [
        *_text_on_text(words),
        *_text_on_stroke(words, strokes),
        *_symbols_on_symbols(strokes),
        *_wires_through_symbols(strokes),
        *_wires_along_wires(strokes),
        *_outside(drawing),
    ]


class _Grid:
    """Buckets of boxes, so that only neighbours are compared."""

    def __init__(self, size: float = 10.0) -> None:
        self.size, self.cells = size, defaultdict(list)

    def keys(self, box: Box) -> Iterator[tuple[int, int]]:
        x0, y0, x1, y1 = (int(v // self.size) for v in box)
        for x in range(x0, x1 + 1):
            for y in range(y0, y1 + 1):
                yield x, y

    def put(self, box: Box, thing: object) -> None:
        for key in self.keys(box):
            self.cells[key].append((box, thing))

    def near(self, box: Box) -> Iterator[tuple[Box, object]]:
        seen: set[int] = set()
        for key in self.keys(box):
            for other, thing in self.cells.get(key, ()):
                if id(thing) not in seen:
                    seen.add(id(thing))
                    yield other, thing


def _meet(a: Box, b: Box, by: float = CLOSE_MM) -> bool:
    return a[0] < b[2] + by and b[0] < a[2] + by and a[1] < b[3] + by and b[1] < a[3] + by


def _text_on_text(words: list[tuple[Text, tuple[Group, ...]]]) -> Iterator[str]:
    grid = _Grid()
    for text, _ in words:
        for box, other in grid.near(text.box):
            if _meet(text.box, box):
                yield f"text {text.text!r} on text {other.text!r} at {text.x:.1f},{text.y:.1f}"  # type: ignore[attr-defined]
        grid.put(text.box, text)


def _text_on_stroke(words: list[tuple[Text, tuple[Group, ...]]], strokes: list[Piece]) -> Iterator[str]:
    grid = _Grid()
    for stroke in strokes:
        grid.put(_box(stroke), stroke)
    for text, _ in words:
        inside = text.look in ("mark", "number")  # in a symbol or a flag: may stand inside its outline, not on it
        x0, y0, x1, y1 = text.box
        margin = 0.0 if inside else CLOSE_MM
        for _, stroke in grid.near(text.box):
            assert isinstance(stroke, Piece)
            if stroke.look in ("rule", "sheet", "body", "ghost", "event", "high"):
                continue
            if text.look == "sleeve-number" and stroke.look == "wire":
                continue  # the sleeve covers its wire
            if _crosses(stroke.a, stroke.b, (x0 - margin, y0 - margin, x1 + margin, y1 + margin)):
                yield f"text {text.text!r} on {stroke.look} of {stroke.element or stroke.net} at {x0:.1f},{y0:.1f}"
                break


def _symbols_on_symbols(strokes: list[Piece]) -> Iterator[str]:
    boxes: dict[str, Box] = {}
    for stroke in strokes:
        if stroke.element and stroke.look not in ("wire", "lead"):
            old, new = boxes.get(stroke.element), _box(stroke)
            boxes[stroke.element] = new if old is None else (
                min(old[0], new[0]), min(old[1], new[1]), max(old[2], new[2]), max(old[3], new[3])
            )  # fmt: skip
    grid = _Grid(20.0)
    for element, box in boxes.items():
        for other, name in grid.near(box):
            if _meet(box, other):
                yield f"symbol {element} on symbol {name}"
        grid.put(box, element)


def _wires_through_symbols(strokes: list[Piece]) -> Iterator[str]:
    grid = _Grid()
    for stroke in strokes:
        if stroke.element and stroke.look not in ("wire", "link"):
            grid.put(_box(stroke), stroke)
    for wire in strokes:
        if wire.element or wire.look not in CONDUCTORS:
            continue
        for _, stroke in grid.near(_box(wire)):
            assert isinstance(stroke, Piece)
            if _cut(wire.a, wire.b, stroke.a, stroke.b):
                yield f"wire of {wire.net} through {stroke.look} of {stroke.element} at {wire.a}"


def _wires_along_wires(strokes: list[Piece]) -> Iterator[str]:
    for axis in (0, 1):
        lines = defaultdict(list)
        for s in strokes:
            if s.look in (*CONDUCTORS, "lead") and abs(s.a[1 - axis] - s.b[1 - axis]) < 1e-6:
                lines[round(s.a[1 - axis], 1)].append((min(s.a[axis], s.b[axis]), max(s.a[axis], s.b[axis]), s.net))
        for place, runs in lines.items():
            runs.sort()
            for one, other in pairwise(runs):
                if one[2] != other[2] and other[0] < one[1] - 0.05:
                    yield f"nets {one[2]} and {other[2]} on one line at {'yx'[axis]} = {place}"


def _outside(drawing: Drawing) -> Iterator[str]:
    for item, _ in shown(drawing):
        box = box_of(item)
        if box and (box[0] < 0 or box[1] < 0 or box[2] > drawing.width or box[3] > drawing.height):
            yield f"{type(item).__name__} outside the sheet"


def torn_nets(drawing: Drawing) -> list[str]:
    """Nets whose strokes are not one piece. Rails and flags with one name, and strip terminals, count as joined.

    So does the wire that carries the number to which a flag leads ("12 /4" leads to wire 12 in line 4).
    """
    by_net: dict[str, list[tuple[Point, Point]]] = defaultdict(list)
    numbers: dict[str, list[Text]] = defaultdict(list)
    named: dict[str, list[Point]] = defaultdict(list)
    ends: dict[tuple[str, str], Point] = {}
    for item, around in shown(drawing):
        net = next((g.net for g in reversed(around) if g.net), "")
        element = next((g.element for g in reversed(around) if g.element), "")
        if net and isinstance(item, Line) and item.look in ("wire", "rail", "lead", "flag"):
            by_net[net].extend(_straight(item))
            if item.look == "rail" or item.look == "flag":
                named[net].append(item.points[0])
            if item.look == "lead" and (net, element) in ends:
                by_net[net].append((ends[net, element], item.points[0]))
            ends[net, element] = item.points[-1]
        if net and isinstance(item, Text):
            numbers[net].append(item)
    for net, texts in numbers.items():
        led_to = {text.text.partition(" /")[0] for text in texts if " /" in text.text}
        named[net] += [_wire_at(text, by_net[net]) for text in texts if text.text in led_to]
    return [net for net, parts in by_net.items() if _count_pieces(parts, named[net]) > 1]


def _count_pieces(parts: list[tuple[Point, Point]], joined: list[Point]) -> int:
    groups = list(range(len(parts)))

    def find(k: int) -> int:
        while groups[k] != k:
            k = groups[k]
        return k

    for i, (a, b) in enumerate(parts):
        for j in range(i):
            if any(_on(p, *parts[j]) for p in (a, b)) or any(_on(p, a, b) for p in parts[j]):
                groups[find(i)] = find(j)
    first: int | None = None
    for point in joined:
        for i, part in enumerate(parts):
            if _on(point, *part):
                if first is None:
                    first = i
                groups[find(i)] = find(first)
    return len({find(k) for k in range(len(parts))})


def _wire_at(number: Text, parts: list[tuple[Point, Point]]) -> Point:
    """The place on a net's strokes beside which its number stands."""

    def nearest(a: Point, b: Point) -> Point:
        return (
            min(max(number.x, min(a[0], b[0])), max(a[0], b[0])),
            min(max(number.y, min(a[1], b[1])), max(a[1], b[1])),
        )

    return min((nearest(a, b) for a, b in parts), key=lambda p: (p[0] - number.x) ** 2 + (p[1] - number.y) ** 2)


def _on(p: Point, a: Point, b: Point, by: float = 0.02) -> bool:
    if not (min(a[0], b[0]) - by <= p[0] <= max(a[0], b[0]) + by):
        return False
    if not (min(a[1], b[1]) - by <= p[1] <= max(a[1], b[1]) + by):
        return False
    length = max(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5, 1e-9)
    return abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length <= by


def _box(stroke: Piece) -> Box:
    (x0, y0), (x1, y1) = stroke.a, stroke.b
    return (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))


def _crosses(a: Point, b: Point, box: Box) -> bool:
    """Whether a straight stroke passes through a box."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = b[axis] - a[axis]
        near, far = box[axis] - a[axis], box[axis + 2] - a[axis]
        if abs(step) < 1e-9:
            if near > 0 or far < 0:
                return False
            continue
        t0, t1 = sorted((near / step, far / step))
        low, high = max(low, t0), min(high, t1)
        if low > high:
            return False
    return True


def _cut(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two strokes cross in their insides; meeting at an end does not count."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    if any(_on(p, c, d, 0.05) for p in (a, b)) or any(_on(p, a, b, 0.05) for p in (c, d)):
        return _on(a, c, d, 0.001) and _on(b, c, d, 0.001) and a != b
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
