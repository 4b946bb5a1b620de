"""One part of a rung with its tag, words and terminal numbers: how long it is, what it draws, what it needs.

A cell lies along its line: local (0, 0) is where it begins on the line; `u` runs along the line, `v` across.
Level rungs: u = x, v = y. Upright paths: u = y, v = x.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from ...circuit import Circuit, Contact, Diode, Load, Through
from ..display import Arc, Box, Circle, Group, Item, Line, Point, Rect, Text, box_of, shifted
from ..fonts import text_width_mm
from ..symbols import M, Standard, Symbol, part_symbol, to_mm
from ..words import width_mm, wrapped
from .faces import follows_a_coil, is_load, symbol_of, tag_inside, words_of
from .strands import Leaf

LINE_MM = 3.7  # from one line of 2.5 mm text to the next
CAP_MM = 2.5
_GAP = 1.0
_WORDS_MM = 27.0  # longest tag with function word on one line


@dataclass(frozen=True, slots=True)
class Cell:
    """`length`, `middle` (of its symbol): mm along the line; `boxes`: (u0, v0, u1, v1) of everything it draws.

    `load`: it stands in the coil column.
    """

    length: float
    middle: float
    items: tuple[Item, ...]
    boxes: tuple[Box, ...]
    load: bool


@dataclass(frozen=True, slots=True)
class Frame:
    """How a whole drawing is drawn. `live`: with both forms of contacts and room for state words."""

    standard: Standard
    upright: bool = False
    live: bool = False


@dataclass(frozen=True, slots=True)
class Said:
    """The words of one cell. `marks`: terminal numbers at its beginning and end."""

    tag: str
    words: str
    marks: tuple[str, str]
    reference: str = ""
    state: bool = False


def cell_of(leaf: Leaf, circuit: Circuit, frame: Frame, reference: str = "") -> Cell:
    """The cell of a part. `reference`: "/4", the line of its coil."""
    device = circuit.by_tag[leaf.use.device]
    if isinstance(leaf.use, Through):
        symbol = part_symbol("terminal", frame.standard)
        said = Said(f"{leaf.use.device}.{leaf.use.terminal}", "", ("", ""))
        element, label = f"{leaf.use.device}.{leaf.use.terminal}", f"terminal {leaf.use.terminal} of {device.tag}"
        return make_cell(symbol, said, leaf, frame, element, label, load=False)
    part = circuit.elements[leaf.use.element][1] if leaf.use.element in circuit.elements else None
    if part is None:
        raise ValueError(f"{leaf.use.element} is not a part of {device.tag}")
    symbol = symbol_of(device, part, frame.standard, live=frame.live)
    marks = leaf.use.terminals or ("", "")
    flip = isinstance(part, Load | Diode) and (part.a, part.b) == (marks[1], marks[0])  # a symbol begins at part.a
    tag = "" if tag_inside(device, part, frame.standard) else device.tag
    said = Said(
        tag,
        words_of(device, part),
        marks,
        reference if isinstance(part, Contact) and follows_a_coil(device) else "",
        frame.live and isinstance(part, Load),
    )
    label = f"{device.tag} {leaf.use.terminals[0]}-{leaf.use.terminals[1]}" if leaf.use.terminals else device.tag
    words = f"{label}: {symbol.words}" + (f", {device.text}" if device.text else "")
    return make_cell(
        _flipped(symbol) if flip else symbol, said, leaf, frame, leaf.use.element, words, load=is_load(part)
    )


def _flipped(symbol: Symbol) -> Symbol:
    """The symbol seen from its other end, for a diode that points back."""

    def turn(item: Item) -> Item:
        if isinstance(item, Line):
            return replace(item, points=tuple((x, 4 - y) for x, y in item.points))
        if isinstance(item, Arc):
            return Arc(item.x, 4 - item.y, item.radius, -item.end_deg, -item.start_deg, item.look)
        if isinstance(item, Circle | Text):
            return replace(item, y=4 - item.y)
        return item

    parts = {key: tuple(turn(i) for i in getattr(symbol, key)) for key in ("fixed", "rest", "moved", "ghost")}
    a, b = tuple(turn(i) for i in symbol.lead_b), tuple(turn(i) for i in symbol.lead_a)
    return replace(symbol, lead_a=a, lead_b=b, **parts)  # type: ignore[arg-type]


def make_cell(
    symbol: Symbol, said: Said, leaf: Leaf, frame: Frame, element: str, label: str, *, load: bool = False
) -> Cell:
    """A cell from a symbol and its words; `label` is read out by screen readers."""
    shape = _shape(symbol, frame)
    length, start, texts = (_upright if frame.upright else _level)(shape.ink, said)
    x, y = (0.0, start) if frame.upright else (start, 0.0)
    strokes = _strokes(shape, leaf, x, y)
    leads = _leads(length, start, leaf, frame)
    group = Group((*leads, *strokes, *texts), element=element, device=leaf.use.device, role="element", label=label)
    boxes = [(x0 + x, y0 + y, x1 + x, y1 + y) for x0, y0, x1, y1 in shape.boxes]
    boxes += [box for item in texts if (box := box_of(_reserved(item))) is not None]
    if frame.upright:
        boxes = [(y0, x0, y1, x1) for x0, y0, x1, y1 in boxes]
    return Cell(length, start + 2 * M, (group,), tuple(boxes), load)


@dataclass(frozen=True, slots=True)
class _Shape:
    """A symbol in the frame of a drawing, in mm: its strokes, points along its ink, boxes of its strokes."""

    symbol: Symbol
    lead_a: tuple[Item, ...]
    lead_b: tuple[Item, ...]
    rest: tuple[Item, ...]  # groups for both forms in a live drawing
    ink: list[Point]
    boxes: list[Box]


_shapes: dict[tuple[int, bool, bool], _Shape] = {}


def _shape(symbol: Symbol, frame: Frame) -> _Shape:
    """Made once for each symbol; it keeps the symbol, so that its id stays its own."""
    key = (id(symbol), frame.upright, frame.live)
    if key not in _shapes:
        _shapes[key] = _make_shape(symbol, frame)
    return _shapes[key]


def _make_shape(symbol: Symbol, frame: Frame) -> _Shape:
    turned = symbol if frame.upright else symbol.level()

    def placed(items: tuple[Item, ...], look: str = "") -> tuple[Item, ...]:
        return tuple(to_mm(_looking(item, look)) for item in items)

    lead_a, lead_b = placed(turned.lead_a, "lead"), placed(turned.lead_b, "lead")
    rest = (*placed(turned.fixed), *placed(turned.rest))
    if frame.live and (turned.moved or turned.ghost):
        moved = (*placed(turned.ghost, "ghost"), *placed(turned.moved))
        rest = (*placed(turned.fixed), Group(placed(turned.rest), role="when-rest"), Group(moved, role="when-moved"))
    boxes = [box for item in (*lead_a, *lead_b, *rest) if (box := box_of(item)) is not None]
    return _Shape(symbol, lead_a, lead_b, rest, _ink(turned, frame.live), boxes)


def _reserved(item: Item) -> Item:
    """An empty place for a state word takes the room of the longest one."""
    if isinstance(item, Group) and item.role == "state-word" and isinstance(item.items[0], Text):
        return replace(item.items[0], text="partial 18.2 V")
    return item


def _leads(length: float, start: float, leaf: Leaf, frame: Frame) -> tuple[Item, ...]:
    def lead(u0: float, u1: float, net: str) -> Item:
        points: tuple[Point, ...] = ((0, u0), (0, u1)) if frame.upright else ((u0, 0), (u1, 0))
        return Group((Line(points, "wire"),), net=net, role="net")

    return (lead(0, start, leaf.net_a), lead(start + 4 * M, length, leaf.net_b))


def _strokes(shape: _Shape, leaf: Leaf, x: float, y: float) -> tuple[Item, ...]:
    forms = tuple(shifted(item, x, y) for item in shape.rest)
    return (
        Group(shape.lead_a, net=leaf.net_a, role="net", at=(x, y)),
        Group(shape.lead_b, net=leaf.net_b, role="net", at=(x, y)),
        *forms,
    )


def _looking(item: Item, look: str) -> Item:
    if look and isinstance(item, Line | Circle | Arc) and item.look in ("symbol", "operator"):
        return replace(item, look=look)
    return item


# ------------------------------------------------------------------------------- where ink is
def _ink(shape: Symbol, live: bool) -> list[Point]:
    """Points along every stroke that a symbol may show, in mm."""
    found: list[Point] = []
    moved = (*shape.moved, *shape.ghost) if live else ()
    for item in (*shape.lead_a, *shape.lead_b, *shape.fixed, *shape.rest, *moved):
        found.extend((x * M, y * M) for x, y in _points(item))
    return found


def _points(item: Item) -> list[Point]:
    if isinstance(item, Line):
        corners = [*item.points, item.points[0]] if item.closed else [*item.points]
        found: list[Point] = []
        for (x0, y0), (x1, y1) in pairwise(corners):
            found.extend((x0 + (x1 - x0) * k / 12, y0 + (y1 - y0) * k / 12) for k in range(13))
        return found
    if isinstance(item, Circle):
        return _points(Line(tuple(Arc(item.x, item.y, item.radius, 0, 360).at(a) for a in range(0, 361, 15))))
    if isinstance(item, Arc):
        return [item.at(item.start_deg + (item.end_deg - item.start_deg) * k / 16) for k in range(17)]
    if isinstance(item, Text):
        half = text_width_mm(item.text, 500, CAP_MM) / 2 / M
        return [(item.x - half, item.y - 0.5), (item.x + half, item.y + 0.5)]
    if isinstance(item, Rect):
        return [(item.x, item.y), (item.x + item.width, item.y + item.height)]
    return []


def _half_m(length: float) -> float:
    """The next half M above, in mm."""
    return -(-length // (M / 2)) * (M / 2) if length % (M / 2) > 1e-9 else length


# ------------------------------------------------------------------------------- level rungs
def _level(ink: list[Point], said: Said) -> tuple[float, float, list[Item]]:
    """Length, where the symbol starts, texts; for a horizontal rung."""
    band = [x for x, y in ink if -CAP_MM - 1.2 < y < -0.2]
    shoulder_a, shoulder_b = min([2 * M, *band]), max([2 * M, *band])
    widths = [width_mm(mark, "terminal") for mark in said.marks]
    before = max(M, _half_m(widths[0] + _GAP - shoulder_a + 0.3))
    after = max(M, _half_m(widths[1] + _GAP - (4 * M - shoulder_b) + 0.3))
    top = min([y for _, y in ink], default=0.0)
    if any(said.marks):
        top = min(top, -CAP_MM - 0.8)
    title, words = _level_titles(said)
    longest = max(title, *(width_mm(line, "function") for line in words), 0.0) + 0.8 * M
    length = max(before + 4 * M + after, _half_m(longest))
    before += (length - before - 4 * M - after) / 2
    texts: list[Item] = []
    if said.marks[0]:
        texts.append(Text(before + shoulder_a - _GAP, -0.8, said.marks[0], "terminal", "end"))
    if said.marks[1]:
        texts.append(Text(before + shoulder_b + _GAP, -0.8, said.marks[1], "terminal"))
    middle = before + 2 * M
    centre = min(max(middle, longest / 2), length - longest / 2)
    texts.extend(_above(said, words, centre, top - _GAP - 0.25))
    bottom = max([y for _, y in ink], default=0.0)
    below = max(bottom, 0.0) + _GAP + CAP_MM
    if said.reference:
        texts.append(Text(middle, below, said.reference, "reference", "middle"))
        below += LINE_MM
    if said.state:
        texts.append(_state_word(middle, below, "middle"))
    return length, before, texts


def _level_titles(said: Said) -> tuple[float, list[str]]:
    """Width of the line that holds the tag, and the function words in lines of their own (none when they fit)."""
    tag = width_mm(said.tag, "tag")
    if not said.words:
        return tag, []
    one_line = tag + 1.2 + width_mm(said.words, "function")
    if one_line <= _WORDS_MM:
        return one_line, []
    return tag, wrapped(said.words, _WORDS_MM, "function")


def _above(said: Said, words: list[str], centre: float, base: float) -> list[Item]:
    """Tag and function word, centred, on one line or stacked upwards from the tag."""
    if not words and said.words:
        left = centre - _level_titles(said)[0] / 2
        tag = Text(left, base, said.tag, "tag")
        return [tag, Text(left + tag.width + 1.2, base, said.words, "function")]
    texts: list[Item] = [Text(centre, base, said.tag, "tag", "middle")] if said.tag else []
    for height, line in enumerate(reversed(words), start=1 if said.tag else 0):
        texts.append(Text(centre, base - height * LINE_MM, line, "function", "middle"))
    return texts


def _state_word(x: float, y: float, anchor: str) -> Item:
    """An empty place for "in", "lit", "18.2 V"; the page or `live` writes into it."""
    return Group((Text(x, y, "", "word", "end" if anchor == "end" else "middle"),), role="state-word")


# ------------------------------------------------------------------------------- upright paths
def _upright(ink: list[Point], said: Said) -> tuple[float, float, list[Item]]:
    """Length, where the symbol starts, texts; for a vertical path."""
    reach = max(width_mm(mark, "terminal") for mark in said.marks) + 1.4
    band = [y for x, y in ink if 0.2 < x < reach]
    shoulder_a, shoulder_b = min([2 * M, *band]), max([2 * M, *band])
    before = max(M, _half_m(CAP_MM + _GAP - shoulder_a + 0.4)) if said.marks[0] else M
    after = max(M, _half_m(CAP_MM + _GAP - (4 * M - shoulder_b) + 0.4)) if said.marks[1] else M
    stack = [(said.tag, "tag")] if said.tag else []
    stack += [(line, "function") for line in wrapped(said.words, _WORDS_MM, "function")]
    if said.reference:
        stack.append((said.reference, "reference"))
    lines = len(stack) + (1 if said.state else 0)
    length = max(before + 4 * M + after, _half_m(lines * LINE_MM + 1.6))
    before += (length - before - 4 * M - after) / 2
    texts: list[Item] = []
    if said.marks[0]:
        texts.append(Text(1.0, before + shoulder_a - _GAP, said.marks[0], "terminal"))
    if said.marks[1]:
        texts.append(Text(1.0, before + shoulder_b + _GAP + CAP_MM, said.marks[1], "terminal"))
    top = before + 2 * M - lines * LINE_MM / 2
    top = min(max(top, 0.6), length - lines * LINE_MM)
    reach_left = [x for x, y in ink if top - 1.0 < y + before < top + lines * LINE_MM + 1.0]
    right = min([*reach_left, 0.0]) - _GAP - 0.2
    for row, (line, look) in enumerate(stack):
        texts.append(Text(right, top + row * LINE_MM + CAP_MM + 0.5, line, look, "end"))
    if said.state:
        texts.append(_state_word(right, top + len(stack) * LINE_MM + CAP_MM + 0.5, "end"))
    return length, before, texts
