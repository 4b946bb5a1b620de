"""Writes a drawing as SVG text. Looks come from classes and one style sheet; no `style` attributes anywhere."""

from __future__ import annotations

from math import hypot
from xml.sax.saxutils import escape, quoteattr

from .display import Arc, Bookmark, Circle, Drawing, Group, Item, Jump, Line, Point, Rect, Text
from .fonts import CAPITAL_HEIGHT_EM, FACE, font_face_rules
from .style import LINES, STATES, TEXTS, THEMES

PX_PER_MM = 96 / 25.4


def write_svg(drawing: Drawing, theme: str | None = "light", *, fonts: bool = False) -> str:
    """SVG text of a drawing.

    `theme`: "light", "dark" or "print" gives a file that stands alone, with its style sheet; None leaves the style
    sheet out, for a page that already serves `page_css`. `fonts`: put the face into the file (about 160 kB).
    Raises KeyError for an unknown theme.
    """
    w, h = _n(drawing.width), _n(drawing.height)
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" role="group" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}">'
    ]
    if drawing.title:
        out.append(f"<title>{escape(drawing.title)}</title>")
    if drawing.said:
        out.append(f"<desc>{escape(drawing.said)}</desc>")
    if theme is not None:
        colours = _colours(theme)
        face = font_face_rules() if fonts else ""
        out.append(f"<style>{face}svg.drawing{{{colours}}}{_rules()}</style>")
        out.append(f'<rect class="sheet" width="{w}" height="{h}"/>')
    for item in drawing.items:
        _write(item, out)
    out.append("</svg>\n")
    return "\n".join(out)


def page_css(font_prefix: str = "/fonts") -> str:
    """The style sheet for a page that shows drawings: faces, colours of all themes, looks of all classes."""
    return "\n".join(
        [
            font_face_rules(font_prefix),
            f":root{{{_colours('light')}}}",
            f':root[data-theme="dark"]{{{_colours("dark")}}}',
            f'@media (prefers-color-scheme: dark){{:root:not([data-theme="light"]){{{_colours("dark")}}}}}',
            f"@media print{{:root:root:root{{{_colours('print')}}}}}",
            _rules(),
            "",
        ]
    )


def _colours(theme: str) -> str:
    return "".join(f"--{role}:{colour};" for role, colour in THEMES[theme].items())


def _paint(role: object) -> str:
    return f"var(--{role})" if role else "none"


def _rules() -> str:
    rules = [
        ".drawing{stroke-linecap:round;stroke-linejoin:round;fill:none;font-kerning:none;"
        f'font-family:"{FACE}","Arial Narrow",sans-serif}}',
        ".drawing text{stroke:none;white-space:pre}",
        ".drawing .middle{text-anchor:middle}.drawing .end{text-anchor:end}",
    ]
    for name, line in LINES.items():
        parts = [f"fill:{_paint(line.fill)}", f"stroke:{_paint(line.colour)}"]
        if line.width_mm:
            parts.append(f"stroke-width:{_n(line.width_mm)}")
        if line.dash:
            parts.append(_dash(line.dash))
        rules.append(f".drawing .{name}{{{';'.join(parts)}}}")
    for name, text in TEXTS.items():
        size = _n(text.cap_mm / CAPITAL_HEIGHT_EM)
        line_under = ";text-decoration:underline" if text.underlined else ""
        rules.append(
            f".drawing .{name}{{font-size:{size}px;font-weight:{text.weight};fill:{_paint(text.colour)}{line_under}}}"
        )
    for state, changes in STATES.items():
        rules.extend(f".drawing .{state} .{name}{{{_change(name, what)}}}" for name, what in changes.items())
    rules.append(".drawing .when-moved{display:none}")
    rules.append(".drawing .moved>.when-moved{display:inline}.drawing .moved>.when-rest{display:none}")
    return "\n".join(rules)


def _change(name: str, what: dict[str, object]) -> str:
    parts = []
    for key, value in what.items():
        if key == "width_mm":
            parts.append(f"stroke-width:{_n(float(str(value)))}")
        elif key == "colour":
            parts.append(f"{'fill' if name in TEXTS else 'stroke'}:{_paint(value)}")
        elif key == "fill":
            parts.append(f"fill:{_paint(value)}")
        elif key == "dash" and isinstance(value, tuple):
            parts.append(_dash(value))
        elif key == "weight":
            parts.append(f"font-weight:{value}")
    return ";".join(parts)


def _dash(dash: tuple[float, ...]) -> str:
    return "stroke-dasharray:" + " ".join(_n(part) for part in dash) + ";stroke-linecap:butt"


def _n(value: float) -> str:
    """A number in mm, to a hundredth, without trailing noughts."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _write(item: Item, out: list[str]) -> None:
    if isinstance(item, Line):
        out.append(_line(item))
    elif isinstance(item, Text):
        out.append(_text(item))
    elif isinstance(item, Group):
        _group(item, out)
    elif isinstance(item, Circle):
        out.append(f'<circle class="{item.look}" cx="{_n(item.x)}" cy="{_n(item.y)}" r="{_n(item.radius)}"/>')
    elif isinstance(item, Arc):
        out.append(_arc(item))
    elif isinstance(item, Rect):
        corner = f' rx="{_n(item.corner)}"' if item.corner else ""
        out.append(
            f'<rect class="{item.look}" x="{_n(item.x)}" y="{_n(item.y)}" width="{_n(item.width)}" '
            f'height="{_n(item.height)}"{corner}/>'
        )
    elif isinstance(item, Jump):
        target = item.target if "/" in item.target or item.target.startswith("#") else f"#{item.target}"
        out.append(f"<a href={quoteattr(target)}>")
        for inner in item.items:
            _write(inner, out)
        out.append("</a>")
    elif isinstance(item, Bookmark):
        out.append(f"<g id={quoteattr(item.name)}/>")


def _rounded(line: Line) -> str:
    """The path of a polyline whose bends are quarter circles where there is room."""
    points = line.points
    path = [f"M{_n(points[0][0])} {_n(points[0][1])}"]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        near, far = _towards(here, before, line.corner), _towards(here, after, line.corner)
        path.append(f"L{_n(near[0])} {_n(near[1])}Q{_n(here[0])} {_n(here[1])} {_n(far[0])} {_n(far[1])}")
    path.append(f"L{_n(points[-1][0])} {_n(points[-1][1])}")
    return f'<path class="{line.look}" d="{"".join(path)}"/>'


def _towards(start: Point, end: Point, length: float) -> Point:
    """The point `length` from start on the way to end, but never beyond the middle."""
    whole = hypot(end[0] - start[0], end[1] - start[1])
    part = min(length / whole, 0.5) if whole else 0.0
    return (start[0] + (end[0] - start[0]) * part, start[1] + (end[1] - start[1]) * part)


def _line(line: Line) -> str:
    if line.corner and len(line.points) > 2 and not line.closed:
        return _rounded(line)
    (x0, y0), *rest = line.points
    path = [f"M{_n(x0)} {_n(y0)}"]
    x1, y1 = x0, y0
    for x, y in rest:
        if abs(y - y1) < 5e-3:
            path.append(f"H{_n(x)}")
        elif abs(x - x1) < 5e-3:
            path.append(f"V{_n(y)}")
        else:
            path.append(f"L{_n(x)} {_n(y)}")
        x1, y1 = x, y
    return f'<path class="{line.look}" d="{"".join(path)}{"z" if line.closed else ""}"/>'


def _arc(arc: Arc) -> str:
    (x0, y0), (x1, y1) = arc.at(arc.start_deg), arc.at(arc.end_deg)
    large = 1 if (arc.end_deg - arc.start_deg) % 360 > 180 else 0
    r = _n(arc.radius)
    return f'<path class="{arc.look}" d="M{_n(x0)} {_n(y0)}A{r} {r} 0 {large} 1 {_n(x1)} {_n(y1)}"/>'


def _text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f" {text.anchor}"
    place = f'x="{_n(text.x)}" y="{_n(text.y)}"'
    if text.turn_deg:
        place += f' transform="rotate({_n(text.turn_deg)} {_n(text.x)} {_n(text.y)})"'
    return f'<text class="{text.look}{anchor}" {place}>{escape(text.text)}</text>'


def _group(group: Group, out: list[str]) -> None:
    names = " ".join(part for part in (group.role, *group.states) if part)
    marks = [f' class="{names}"'] if names else []
    for key, value in (
        ("element", group.element),
        ("net", group.net),
        ("device", group.device),
        ("wire", group.wire),
    ):
        if value:
            marks.append(f" data-{key}={quoteattr(value)}")
    if group.at != (0.0, 0.0):
        marks.append(f' transform="translate({_n(group.at[0])} {_n(group.at[1])})"')
    out.append(f"<g{''.join(marks)}>")
    if group.label:
        out.append(f"<title>{escape(group.label)}</title>")
    for item in group.items:
        _write(item, out)
    out.append("</g>")
