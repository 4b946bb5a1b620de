"""The drawing model: one display list from which page, print and labels are written.

Millimetres, x to the right, y down, angles in degrees clockwise from x (as y points down).
An item has a class name (`style.LINES`, `style.TEXTS`), never a look of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from math import cos, radians, sin
from typing import Literal

from .fonts import CAPITAL_HEIGHT_EM, DESCENT_EM, text_width_mm
from .style import TEXTS

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline; `closed` joins its ends (and lets the class fill it); `corner` rounds its bends."""

    points: tuple[Point, ...]
    look: str = "wire"
    closed: bool = False
    corner: float = 0.0


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, clockwise on paper from `start_deg` to `end_deg`."""

    x: float
    y: float
    radius: float
    start_deg: float
    end_deg: float
    look: str = "symbol"

    def at(self, degrees: float) -> Point:
        """The point of the circle at an angle."""
        turn = radians(degrees)
        return (self.x + self.radius * cos(turn), self.y + self.radius * sin(turn))


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    radius: float
    look: str = "symbol"


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle; `corner` rounds it."""

    x: float
    y: float
    width: float
    height: float
    look: str = "symbol"
    corner: float = 0.0


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; (x, y) is on the base line at its anchor. `turn_deg`: -90 reads upwards."""

    x: float
    y: float
    text: str
    look: str = "function"
    anchor: Anchor = "start"
    turn_deg: float = 0.0

    @property
    def width(self) -> float:
        """Width in mm by the advances of the face."""
        style = TEXTS[self.look]
        return text_width_mm(self.text, style.weight, style.cap_mm)

    @property
    def box(self) -> Box:
        """What the ink may cover: capitals above the base line, tails below."""
        cap = TEXTS[self.look].cap_mm
        left = {"start": 0.0, "middle": -self.width / 2, "end": -self.width}[self.anchor]
        corners = [
            (left, -cap),
            (left + self.width, -cap),
            (left, cap * DESCENT_EM / CAPITAL_HEIGHT_EM if has_tail(self.text) else 0.0),
            (left + self.width, 0.0),
        ]
        turn = radians(self.turn_deg)
        xs = [self.x + px * cos(turn) - py * sin(turn) for px, py in corners]
        ys = [self.y + px * sin(turn) + py * cos(turn) for px, py in corners]
        return (min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong together.

    `element`: id of a part of the circuit ("K1.13-14"); `net`: id of a net; `device`: a tag; `wire`: id of a wire.
    `states`: class names that change the look of what is inside (`style.STATES`). `role`: what the group is, for
    the page ("when-rest", "volts", "state-word", ...). `label`: read out by screen readers.
    `at`: where the (0, 0) of its items lies, so that moving a group touches none of them.
    """

    items: tuple[Item, ...]
    element: str = ""
    net: str = ""
    device: str = ""
    wire: str = ""
    role: str = ""
    states: tuple[str, ...] = ()
    label: str = ""
    at: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Jump:
    """Items that lead elsewhere when touched; `target` is a bookmark name or an address."""

    items: tuple[Item, ...]
    target: str


@dataclass(frozen=True, slots=True)
class Bookmark:
    """A place that can be jumped to; `title` goes into the outline of a document."""

    name: str
    x: float
    y: float
    title: str = ""


Item = Line | Arc | Circle | Rect | Text | Group | Jump | Bookmark


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing. `said`: what it shows, in a sentence or two, for those who cannot see it."""

    width: float
    height: float
    items: tuple[Item, ...]
    title: str = ""
    said: str = ""
    marks: Mapping[str, object] = field(default_factory=dict, compare=False)

    def svg(self, theme: str | None = "light", *, fonts: bool = False) -> str:
        """The drawing as SVG text; see `svg.write_svg`."""
        from .svg import write_svg

        return write_svg(self, theme, fonts=fonts)

    def _repr_svg_(self) -> str:
        """How a notebook shows it."""
        return self.svg(fonts=True)


def has_tail(text: str) -> bool:
    """Whether some letter reaches below the base line."""
    return any(char in "gjpqyQ,;()[]{}|/_" for char in text)


def shifted(item: Item, dx: float, dy: float) -> Item:
    """The same item elsewhere."""
    if isinstance(item, Line):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Group):
        return replace(item, at=(item.at[0] + dx, item.at[1] + dy))
    if isinstance(item, Jump):
        return replace(item, items=tuple(shifted(inner, dx, dy) for inner in item.items))
    return replace(item, x=item.x + dx, y=item.y + dy)


def turned(text: str, x: float, y: float, look: str, anchor: Anchor = "start") -> Text:
    """A text that reads upwards from (x, y)."""
    return Text(x, y, text, look, anchor, -90.0)


def walk(
    items: tuple[Item, ...], around: tuple[Group, ...] = (), at: Point = (0.0, 0.0)
) -> Iterator[tuple[Item, tuple[Group, ...]]]:
    """Every plain item at its place on the drawing, with the groups around it, outermost first, in drawing order."""
    for item in items:
        if isinstance(item, Group):
            yield from walk(item.items, (*around, item), (at[0] + item.at[0], at[1] + item.at[1]))
        elif isinstance(item, Jump):
            yield from walk(item.items, around, at)
        else:
            yield (item if at == (0.0, 0.0) else shifted(item, *at)), around


def box_of(item: Item) -> Box | None:
    """The box around an item's ink, line widths left out; None for an empty one."""
    if isinstance(item, Line):
        xs, ys = [p[0] for p in item.points], [p[1] for p in item.points]
        return (min(xs), min(ys), max(xs), max(ys))
    if isinstance(item, Circle):
        r = item.radius
        return (item.x - r, item.y - r, item.x + r, item.y + r)
    if isinstance(item, Arc):
        points = [item.at(item.start_deg + (item.end_deg - item.start_deg) * k / 12) for k in range(13)]
        return box_of(Line(tuple(points)))
    if isinstance(item, Rect):
        return (item.x, item.y, item.x + item.width, item.y + item.height)
    if isinstance(item, Text):
        return item.box if item.text else None
    if isinstance(item, Bookmark):
        return None
    inner = box_around(item.items)
    if inner is None or isinstance(item, Jump):
        return inner
    (dx, dy), (x0, y0, x1, y1) = item.at, inner
    return (x0 + dx, y0 + dy, x1 + dx, y1 + dy)


def box_around(items: tuple[Item, ...]) -> Box | None:
    """The box around several items."""
    boxes = [box for item in items if (box := box_of(item)) is not None]
    if not boxes:
        return None
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))
