"""Devices as they are touched: their outline with every screw or blade at its place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from ...circuit import Base, Device, Load, Motor, Source, two_terminal_parts
from ..display import Circle, Item, Line, Rect, Text
from ..words import width_mm, wrapped

Way = Literal["up", "down", "left", "right"]

PITCH_MM = 10.0  # between screws; a multiple of 5, so that conductors of neighbouring rows never coincide
EDGE_MM = 10.0  # from the outline to the first screw
SCREW_R = 1.5
BLADE_MM = (12.0, 11.0)  # columns and rows of a square base
ROUND_MM = 14.0
_ZONE_MM = 12.5  # screw with its number
_GLYPH_R = 4.5


@dataclass(frozen=True, slots=True)
class Landing:
    """One terminal as drawn: the screw at (x, y), and the way by which its conductors leave the outline.

    `leads`: points from the screw to the edge of the outline.
    """

    mark: str
    x: float
    y: float
    way: Way
    leads: tuple[tuple[float, float], ...]

    @property
    def edge(self) -> tuple[float, float]:
        """Where the conductors leave the outline."""
        return self.leads[-1]


@dataclass(slots=True)
class Body:
    """A device from (0, 0) to (width, height). `landings`: (mark, side) to landing; side "outer" for strips, or ""."""

    device: Device
    width: float = 0.0
    height: float = 0.0
    items: list[Item] = field(default_factory=list)
    landings: dict[tuple[str, str], Landing] = field(default_factory=dict)

    def landing(self, mark: str, side: str) -> Landing:
        """The landing of a mark; `side` counts only on strips. Raises KeyError."""
        found = self.landings.get((mark, side)) or self.landings.get((mark, ""))
        if found is None:
            raise KeyError(f"{self.device.tag} has no terminal {mark}")
        return found


def body_of(device: Device, behind: bool) -> Body:
    """The body of a device, seen from the front or from behind (left and right exchanged)."""
    if device.base is not None:
        return _on_base(device, device.base, behind)
    if device.mechanism.sort == "fixed" and "strip" in device.kind:
        return _strip(device, behind)
    top, bottom = _sides(device)
    return _boxed(device, top, bottom, behind)


# ------------------------------------------------------------------------------- screws above and below
def _sides(device: Device) -> tuple[list[str], list[str]]:
    """Marks above and below: each part enters above and leaves below."""
    top: list[str] = []
    bottom: list[str] = []
    for part in two_terminal_parts(device):
        if isinstance(part, Load) and part.sort == "primary":
            top += [part.a, part.b]
            continue
        if part.a not in top + bottom:
            _put(part.a, top, bottom, above=True)
        if part.b not in top + bottom:
            _put(part.b, bottom, top, above=False, beside=part.a in (top[-1:] or [""]))
    for other in device.parts:
        if isinstance(other, Source):
            bottom += [mark for mark in other.terminals if mark not in top + bottom]
        elif isinstance(other, Motor):
            top += [mark for mark in other.leads if mark not in top + bottom]
    rest = [mark for mark in device.terminals if mark not in top + bottom]
    (top if device.motors or len(top) <= len(bottom) else bottom).extend(rest)
    return top, bottom


def _put(mark: str, here: list[str], there: list[str], *, above: bool, beside: bool = True) -> None:
    if above:
        here.extend([""] * max(0, len(there) - len(here)))
        here.append(mark)
    elif beside:
        here.extend([""] * max(0, len(there) - 1 - len(here)))
        here.append(mark)
    else:  # the second throw of a change-over
        (there if len(there) < len(here) else here).append(mark)


def _boxed(device: Device, top: list[str], bottom: list[str], behind: bool) -> Body:
    columns = max(len(top), len(bottom), 1)
    width = max(2 * EDGE_MM + (columns - 1) * PITCH_MM, 30.0, width_mm(device.tag, "device-tag") + 8)
    width = -(-width // 5) * 5
    words = wrapped(device.text, width - 3, "function")
    width = max(width, -(-max((width_mm(w, "function") + 3 for w in words), default=0.0) // 5) * 5)
    glyph = _has_glyph(device)
    y = (_ZONE_MM if any(top) else 3.0) + (2 * _GLYPH_R + 2 if glyph else 0.0)
    body = Body(device, width)
    inner = y + 6.0 + len(words) * 3.7
    body.height = inner + (_ZONE_MM if any(bottom) else 3.0) + 1.0
    body.items.append(Rect(0, 0, width, body.height, "body", 1.5))
    if glyph:
        body.items.extend(_glyph(device, width / 2, y - _GLYPH_R - 2))
    body.items.append(Text(width / 2, y + 5.0, device.tag, "device-tag", "middle"))
    for index, line in enumerate(words):
        body.items.append(Text(width / 2, y + 9.4 + index * 3.7, line, "function", "middle"))
    for marks, way in ((top, "up"), (bottom, "down")):
        order = [*reversed([*marks, *[""] * (columns - len(marks))])] if behind else marks
        left = EDGE_MM + (width - 2 * EDGE_MM - (columns - 1) * PITCH_MM) // PITCH_MM * 5  # on the grid of 5 mm
        for column, mark in enumerate(order):
            if mark:
                _screw(body, mark, left + column * PITCH_MM, way, "")
    return body


def _screw(body: Body, mark: str, x: float, way: str, side: str) -> None:
    up = way == "up"
    y = 3.5 if up else body.height - 3.5
    edge = (x, 0.0 if up else body.height)
    body.landings[mark, side] = Landing(mark, x, y, "up" if up else "down", ((x, y), edge))
    body.items.append(Circle(x, y, SCREW_R, "screw"))
    body.items.append(Line(((x - 1.0, y + 0.6), (x + 1.0, y - 0.6)), "screw"))
    look = "screw-number" if width_mm(mark, "screw-number") < PITCH_MM - 1.2 else "small-screw-number"
    if side != "outer":
        body.items.append(Text(x, y + 6.2 if up else y - 2.7, mark, look, "middle"))


def _strip(device: Device, behind: bool) -> Body:
    """A terminal strip: each terminal has a screw above (inner) and below (outer), its number between."""
    marks = [*reversed(device.terminals)] if behind else [*device.terminals]
    words = f"{device.tag}  {device.text}".strip()
    width = max(2 * EDGE_MM + (len(marks) - 1) * PITCH_MM, -(-(width_mm(words, "device-tag") + 8) // 5) * 5)
    body = Body(device, width, 25.0)
    body.items.append(Rect(0, 0, width, body.height, "body", 1.5))
    for column, mark in enumerate(marks):
        x = EDGE_MM + column * PITCH_MM
        _screw(body, mark, x, "up", "inner")
        _screw(body, mark, x, "down", "outer")
        body.landings[mark, ""] = body.landings[mark, "inner"]
        if column:
            body.items.append(Line(((x - PITCH_MM / 2, 0), (x - PITCH_MM / 2, body.height)), "rule"))
    tag = Text(EDGE_MM - 5, body.height / 2 + 5.0, device.tag, "device-tag")
    body.items.append(tag)
    if device.text:
        body.items.append(Text(tag.x + tag.width + 3, tag.y, device.text, "function"))
    return body


# ------------------------------------------------------------------------------- plug-in bases
def _on_base(device: Device, base: Base, behind: bool) -> Body:
    step_x, step_y = BLADE_MM if base.shape == "square" else (ROUND_MM, ROUND_MM)
    widest = max(column for _, column, _ in base.pins)
    deepest = max(row for _, _, row in base.pins)
    left, top = 12.5, 15.0
    width = -(-(2 * left + widest * step_x) // 5) * 5
    words = wrapped(device.text, width - 3, "function")
    below = (len(words) + 1) * 3.7 + (3.0 if behind else 0.0)
    body = Body(device, width, top + deepest * step_y + 9.0 + below)
    body.items.append(Rect(0, 0, width, body.height, "body", 1.5))
    body.items.append(Text(width / 2, 8.0, device.tag, "device-tag", "middle"))
    where = "from behind" if behind else "from the front"
    for index, line in enumerate([*words, where]):
        body.items.append(Text(width / 2, top + deepest * step_y + 9.4 + index * 3.7, line, "function", "middle"))
    if behind:
        body.items.extend(_exchanged(width / 2, top + deepest * step_y + 7.2 + (len(words) + 1) * 3.7 + 1.6))
    pins = [(mark, widest - c if behind else c, r) for mark, c, r in base.pins]
    offset = (width - widest * step_x) / 2
    _blades(body, [(mark, offset + c * step_x, top + r * step_y) for mark, c, r in pins], base.shape)
    return body


def _exchanged(x: float, y: float) -> list[Item]:
    """A double arrow: left and right are exchanged."""
    return [
        Line(((x - 4, y), (x + 4, y)), "hair"),
        Line(((x - 2.8, y - 0.8), (x - 4, y), (x - 2.8, y + 0.8)), "hair"),
        Line(((x + 2.8, y - 0.8), (x + 4, y), (x + 2.8, y + 0.8)), "hair"),
    ]


def _blades(body: Body, pins: list[tuple[str, float, float]], shape: str) -> None:
    middle = body.width / 2
    centre_left = shape == "square"
    on_left = [p for p in pins if p[1] < middle - 0.1 or (centre_left and abs(p[1] - middle) <= 0.1)]
    _side(body, on_left, "left", shape)
    _side(body, [p for p in pins if p not in on_left], "right", shape)


def _side(body: Body, pins: list[tuple[str, float, float]], way: Way, shape: str) -> None:
    """Blades whose conductors leave on one side; those of inner columns pass below the outer ones."""
    if not pins:
        return
    edge, inward = (0.0, 1.0) if way == "left" else (body.width, -1.0)
    outer = (min if way == "left" else max)(x for _, x, _ in pins)
    inner = {mark for mark, x, _ in pins if shape == "square" and abs(x - outer) > 1}
    wanted = sorted((y + (4.6 if mark in inner else 0.0), mark, x, y) for mark, x, y in pins)
    for (_, mark, x, y), out in zip(wanted, _apart([w[0] for w in wanted], 4.6), strict=True):
        if mark in inner:
            leads: tuple[tuple[float, float], ...] = ((x, y), (x, out), (edge, out))
        elif abs(out - y) > 0.05:
            leads = ((x, y), (edge + 3 * inward, y), (edge + 3 * inward, out), (edge, out))
        else:
            leads = ((x, y), (edge, y))
        body.landings[mark, ""] = Landing(mark, x, y, way, leads)
        body.items.extend(_blade(mark, x, y, way, shape, body.width / 2))


def _apart(wanted: list[float], least: float) -> list[float]:
    """The same places, pushed down where they lie closer than `least`."""
    found: list[float] = []
    for place in wanted:
        found.append(max(place, found[-1] + least) if found else place)
    return found


def _blade(mark: str, x: float, y: float, way: Way, shape: str, middle: float) -> list[Item]:
    if shape == "round":
        inward = 4.4 if x < middle else -4.4
        return [Circle(x, y, SCREW_R, "screw"), Text(x + inward, y + 1.75, mark, "screw-number", "middle")]
    side = 1.6 if way == "left" else -1.6
    number = Text(x + side, y + 1.75, mark, "screw-number", "start" if way == "left" else "end")
    return [Rect(x - 0.75, y - 2.5, 1.5, 5.0, "screw"), number]


# ------------------------------------------------------------------------------- what is pressed or looked at
def _has_glyph(device: Device) -> bool:
    return device.mechanism.sort in ("push", "latched push", "selector", "spring selector") or any(
        load.sort in ("lamp", "sounder") for load in device.loads
    )


def _glyph(device: Device, x: float, y: float) -> list[Item]:
    ring: list[Item] = [Circle(x, y, _GLYPH_R, "symbol")]
    if any(load.sort == "lamp" for load in device.loads):
        d = _GLYPH_R * 0.7071
        return [
            *ring,
            Line(((x - d, y - d), (x + d, y + d)), "symbol"),
            Line(((x - d, y + d), (x + d, y - d)), "symbol"),
        ]
    if "selector" in device.mechanism.sort:
        return [*ring, Rect(x - 0.9, y - _GLYPH_R + 0.6, 1.8, 2 * _GLYPH_R - 1.2, "symbol")]
    if any(load.sort == "sounder" for load in device.loads):
        return [*ring, *(Line(((x - 2.4, y + d), (x + 2.4, y + d)), "symbol") for d in (-1.4, 0, 1.4))]
    return [*ring, Circle(x, y, _GLYPH_R - 1.2, "symbol")]
