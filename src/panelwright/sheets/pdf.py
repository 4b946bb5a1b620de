"""Writes drawings as PDF pages at true scale: searchable text in the face of the drawings, outline and links.

Only the back end turns y upwards. The same drawings give the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from io import BytesIO
from math import hypot
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from .display import Arc, Bookmark, Circle, Drawing, Group, Item, Jump, Line, Point, Rect, Text, box_around
from .fonts import CAPITAL_HEIGHT_EM, FILES, font_file, printable
from .style import THEMES, LineLook, TextLook, is_shown, line_look, text_look

PT_PER_MM = 72 / 25.4
UNDERLINE_MM = 0.5  # below the base line


def write_pdf(
    drawings: Sequence[Drawing], *, theme: str = "print", title: str = "", subject: str = "", author: str = ""
) -> bytes:
    """One page for each drawing, as large as the drawing. Raises KeyError for an unknown theme.

    `title`, `subject`, `author`: what the file says about itself. Each drawing with a title is a line of the outline.
    Characters that the face lacks are printed as `fonts.printable` says.
    """
    _register()
    buffer = BytesIO()
    canvas = Canvas(buffer, invariant=1, initialFontName="PW400", pageCompression=1)
    canvas.setTitle(title or (drawings[0].title if drawings else ""))
    canvas.setSubject(subject)
    canvas.setAuthor(author)
    canvas.setCreator("Panelwright")
    for number, drawing in enumerate(drawings, start=1):
        _Page(canvas, drawing, theme).draw(f"page-{number}")
    if not drawings:
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@cache
def _register() -> None:
    for weight in FILES:
        registerFont(TTFont(f"PW{weight}", str(font_file(weight))))


@lru_cache(maxsize=1000)
def _line_look(name: str, states: tuple[str, ...]) -> LineLook:
    return line_look(name, states)


@lru_cache(maxsize=1000)
def _text_look(name: str, states: tuple[str, ...]) -> TextLook:
    return text_look(name, states)


class _Page:
    def __init__(self, canvas: Any, drawing: Drawing, theme: str) -> None:
        self.canvas, self.drawing = canvas, drawing
        self.colours = {role: HexColor(colour) for role, colour in THEMES[theme].items()}
        self.plain = theme == "print"
        self.pen: tuple[object, ...] = ()

    def draw(self, name: str) -> None:
        canvas, drawing = self.canvas, self.drawing
        width, height = drawing.width * PT_PER_MM, drawing.height * PT_PER_MM
        canvas.setPageSize((width, height))
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        if drawing.title:
            canvas.bookmarkPage(name)
            canvas.addOutlineEntry(printable(drawing.title), name, 0)
        if not self.plain:
            canvas.setFillColor(self.colours["paper"])
            canvas.rect(0, 0, width, height, stroke=0, fill=1)
        self.items(drawing.items, (), (0.0, 0.0))
        canvas.showPage()

    # ---------------------------------------------------------------- places
    def x(self, x: float) -> float:
        return x * PT_PER_MM

    def y(self, y: float) -> float:
        return (self.drawing.height - y) * PT_PER_MM

    def items(self, items: Iterable[Item], states: tuple[str, ...], at: Point) -> None:
        """Draw items whose (0, 0) lies at `at`, inside groups with `states`."""
        for item in items:
            if isinstance(item, Group):
                if is_shown(item.role, states):
                    inner = (*states, *item.states) if item.states else states
                    self.items(item.items, inner, (at[0] + item.at[0], at[1] + item.at[1]))
            elif isinstance(item, Jump):
                self.items(item.items, states, at)
                self.jump(item, at)
            elif isinstance(item, Text):
                self.text(item, _text_look(item.look, states), at)
            elif isinstance(item, Bookmark):
                self.bookmark(item, at)
            else:
                self.shape(item, _line_look(item.look, states), at)

    # ---------------------------------------------------------------- shapes
    def shape(self, item: Line | Arc | Circle | Rect, look: LineLook, at: Point) -> None:
        stroke, fill = self.take(look)
        canvas = self.canvas
        if isinstance(item, Line):
            canvas.drawPath(self.path(item, at), stroke=stroke, fill=fill and item.closed)
        elif isinstance(item, Circle):
            x, y = self.x(item.x + at[0]), self.y(item.y + at[1])
            canvas.circle(x, y, item.radius * PT_PER_MM, stroke=stroke, fill=fill)
        elif isinstance(item, Rect):
            x, y = self.x(item.x + at[0]), self.y(item.y + item.height + at[1])
            width, height = item.width * PT_PER_MM, item.height * PT_PER_MM
            if item.corner:
                canvas.roundRect(x, y, width, height, item.corner * PT_PER_MM, stroke=stroke, fill=fill)
            else:
                canvas.rect(x, y, width, height, stroke=stroke, fill=fill)
        else:
            path = canvas.beginPath()
            x, y, r = item.x + at[0], item.y + at[1], item.radius
            span = item.end_deg - item.start_deg
            path.arc(self.x(x - r), self.y(y + r), self.x(x + r), self.y(y - r), -item.start_deg, -span)
            canvas.drawPath(path, stroke=stroke, fill=0)

    def take(self, look: LineLook) -> tuple[int, int]:
        """Take pen and brush of a look; returns whether to stroke and to fill."""
        pen = (look.colour, look.width_mm, look.dash, look.fill)
        if pen != self.pen:
            self.pen = pen
            if look.colour:
                self.canvas.setStrokeColor(self.colours[look.colour])
                self.canvas.setLineWidth(look.width_mm * PT_PER_MM)
                self.canvas.setDash([part * PT_PER_MM for part in look.dash])
            if look.fill:
                self.canvas.setFillColor(self.colours[look.fill])
        return int(bool(look.colour and look.width_mm)), int(bool(look.fill))

    def path(self, line: Line, at: Point) -> Any:
        points = [(x + at[0], y + at[1]) for x, y in line.points]
        path = self.canvas.beginPath()
        path.moveTo(self.x(points[0][0]), self.y(points[0][1]))
        for index, here in enumerate(points[1:], start=1):
            if line.corner and index < len(points) - 1 and not line.closed:
                self.bend(path, points[index - 1], here, points[index + 1], line.corner)
            else:
                path.lineTo(self.x(here[0]), self.y(here[1]))
        if line.closed:
            path.close()
        return path

    def bend(self, path: Any, before: Point, here: Point, after: Point, corner: float) -> None:
        """A rounded corner at `here`, as in the SVG writer."""
        near, far = _towards(here, before, corner), _towards(here, after, corner)
        path.lineTo(self.x(near[0]), self.y(near[1]))
        first, second = _towards_part(near, here, 2 / 3), _towards_part(far, here, 2 / 3)
        path.curveTo(*(c for p in (first, second, far) for c in (self.x(p[0]), self.y(p[1]))))

    # ---------------------------------------------------------------- texts, places to jump to
    def text(self, text: Text, look: TextLook, at: Point) -> None:
        if not text.text:
            return
        canvas, words = self.canvas, printable(text.text)
        canvas.setFillColor(self.colours[look.colour])
        self.pen = ()
        canvas.setFont(f"PW{look.weight}", look.cap_mm / CAPITAL_HEIGHT_EM * PT_PER_MM)
        x, y = self.x(text.x + at[0]), self.y(text.y + at[1])
        write = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}[
            text.anchor
        ]
        if text.turn_deg:
            canvas.saveState()
            canvas.translate(x, y)
            canvas.rotate(-text.turn_deg)
            write(0, 0, words)
            canvas.restoreState()
        else:
            write(x, y, words)
        if look.underlined:
            left = {"start": 0.0, "middle": -text.width / 2, "end": -text.width}[text.anchor]
            low = self.y(text.y + at[1] + UNDERLINE_MM)
            canvas.setStrokeColor(self.colours[look.colour])
            canvas.setLineWidth(0.2 * PT_PER_MM)
            canvas.setDash([])
            canvas.line(x + left * PT_PER_MM, low, x + (left + text.width) * PT_PER_MM, low)

    def jump(self, jump: Jump, at: Point) -> None:
        box = box_around(jump.items)
        if box is None:
            return
        x0, y0, x1, y1 = box
        place = (self.x(x0 + at[0]), self.y(y1 + at[1]), self.x(x1 + at[0]), self.y(y0 + at[1]))
        if "/" in jump.target:
            self.canvas.linkURL(jump.target, place)
        else:
            self.canvas.linkRect("", jump.target.removeprefix("#"), place, Border="[0 0 0]")

    def bookmark(self, mark: Bookmark, at: Point) -> None:
        self.canvas.bookmarkHorizontal(mark.name, self.x(mark.x + at[0]), self.y(mark.y + at[1]))
        if mark.title:
            self.canvas.addOutlineEntry(printable(mark.title), mark.name, 1)


def _towards(start: Point, end: Point, length: float) -> Point:
    whole = hypot(end[0] - start[0], end[1] - start[1])
    return _towards_part(start, end, min(length / whole, 0.5) if whole else 0.0)


def _towards_part(start: Point, end: Point, part: float) -> Point:
    return (start[0] + (end[0] - start[0]) * part, start[1] + (end[1] - start[1]) * part)
