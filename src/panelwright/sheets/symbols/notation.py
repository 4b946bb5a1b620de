"""The stroke notation of the symbol files, read into drawing items in units of M (explained in `iec.toml`)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ..display import Arc, Circle, Group, Item, Line, Point, Text

M = 2.5  # mm; the grid on which every terminal stands


class NotationError(ValueError):
    """A stroke that cannot be read; the message says which."""


@dataclass(frozen=True, slots=True)
class Blade:
    """The moving line of a contact, from its pivot to its tip."""

    pivot: Point
    tip: Point

    def at(self, height: float) -> Point:
        """The point of the blade at a height."""
        (x0, y0), (x1, y1) = self.pivot, self.tip
        return (x0 + (height - y0) / (y1 - y0) * (x1 - x0), height)


def read_strokes(text: str, blade: Blade | None = None) -> tuple[Item, ...]:
    """Items of a stroke list. Raises NotationError."""
    return tuple(_stroke(part.strip(), blade) for part in text.split(";") if part.strip())


def _stroke(text: str, blade: Blade | None) -> Item:
    look, rest = _look(text)
    words = rest.split()
    try:
        if words[0] == "o":
            x, y = _point(words[1], blade)
            return Circle(x, y, float(words[2]), look)
        if words[0] == "a":
            x, y = _point(words[1], blade)
            start, end = words[3].split(":")
            return Arc(x, y, float(words[2]), float(start), float(end), look)
        if words[0] == "t":
            x, y = _point(words[1], blade)
            return Text(x, y, " ".join(words[2:]), "mark", "middle")
        closed = words[-1] == "z"
        points = tuple(_point(word, blade) for word in (words[:-1] if closed else words))
    except (ValueError, IndexError) as error:
        raise NotationError(f"stroke {text!r} cannot be read ({error})") from error
    if len(points) < 2:
        raise NotationError(f"stroke {text!r} has fewer than two points")
    return Line(points, look, closed)


def _look(text: str) -> tuple[str, str]:
    look = "symbol"
    while text and text[0] in "=#~%":
        sign, text = text[0], text[1:]
        look = {
            ("=", "symbol"): "operator",
            ("#", "symbol"): "solid",
            ("#", "operator"): "operator-solid",
            ("%", "symbol"): "shade",
            ("~", "symbol"): "link",
        }[sign, look]
    return look, text.strip()


def _point(word: str, blade: Blade | None) -> Point:
    if word.startswith("@"):
        if blade is None:
            raise NotationError(f"{word!r} needs a blade")
        return blade.at(float(word[1:]))
    x, y = word.split(",")
    return (float(x), float(y))


def level_to_upright(item: Item) -> Item:
    """Turn an item drawn for a horizontal rung into the upright frame: x = -Y, y = X."""
    return _turn(item, lambda p: (-p[1], p[0]), 90.0)


def upright_to_level(item: Item) -> Item:
    """Turn an item of the upright frame for a horizontal rung: X = y, Y = -x."""
    return _turn(item, lambda p: (p[1], -p[0]), -90.0)


def _turn(item: Item, place: Callable[[Point], Point], degrees: float) -> Item:
    if isinstance(item, Line):
        return replace(item, points=tuple(place(point) for point in item.points))
    if isinstance(item, Group):
        return replace(item, items=tuple(_turn(inner, place, degrees) for inner in item.items))
    if isinstance(item, Circle | Text):
        x, y = place((item.x, item.y))
        return replace(item, x=x, y=y)
    if isinstance(item, Arc):
        x, y = place((item.x, item.y))
        return Arc(x, y, item.radius, item.start_deg + degrees, item.end_deg + degrees, item.look)
    raise TypeError(f"{type(item).__name__} does not occur in symbols")


def to_mm(item: Item, x: float = 0.0, y: float = 0.0) -> Item:
    """The item in millimetres, its origin at (x, y). Texts come to stand centred on their point."""
    if isinstance(item, Line):
        return replace(item, points=tuple((x + px * M, y + py * M) for px, py in item.points))
    if isinstance(item, Text):
        return replace(item, x=x + item.x * M, y=y + item.y * M + M / 2)  # capitals are 1 M high
    if isinstance(item, Circle):
        return replace(item, x=x + item.x * M, y=y + item.y * M, radius=item.radius * M)
    if isinstance(item, Arc):
        return replace(item, x=x + item.x * M, y=y + item.y * M, radius=item.radius * M)
    if isinstance(item, Group):
        return replace(item, items=tuple(to_mm(inner, x, y) for inner in item.items))
    raise TypeError(f"{type(item).__name__} does not occur in symbols")
