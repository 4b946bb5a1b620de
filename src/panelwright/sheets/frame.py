"""Page frames: paper, fields to find a place by, title block and notes round a drawing.

Sizes and arrangement of frame and fields follow ISO 5457, the entries of the title block ISO 7200 (both from memory,
to be checked; the fields divide the frame evenly). The arrangement of the block is our own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from .display import Bookmark, Drawing, Group, Item, Line, Rect, Text
from .words import width_mm, wrapped

# width and height in mm, as they lie in the printer; larger ones follow for drawings that need them
PAPERS: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "A0": (1189.0, 841.0),
    "letter": (215.9, 279.4),
    "tabloid": (431.8, 279.4),
    "ANSI C": (558.8, 431.8),
    "ANSI D": (863.6, 558.8),
}
_LARGER = {"A4": "A3", "A3": "A2", "A2": "A1", "A1": "A0", "letter": "tabloid", "tabloid": "ANSI C", "ANSI C": "ANSI D"}
FILING_MM = 20.0  # left, for punching
EDGE_MM = 10.0
BAND_MM = 5.0  # with the letters and numbers of the fields
STRIP_MM = 24.0  # at the foot
BLOCK_MM = 180.0
FIELD_MM = 50.0
INSIDE_MM = 4.0

NOTES = (
    "Drawn at rest: no supply, nothing operated, levels low.",
    "/n is the line where the coil or the contact stands; break contacts are underlined.",
    "Isolate, lock and prove dead before work. Local codes and a licensed person decide.",
)


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the title block says; empty entries stay empty. `sheet` of `sheets`; dates as the file writes them."""

    title: str
    document: str = "Control drawing"
    owner: str = ""
    number: str = ""
    from_file: str = ""
    drawn: str = ""
    checked: str = ""
    date: str = ""
    revision: str = ""
    sheet: int = 1
    sheets: int = 1
    language: str = "en"
    notes: tuple[str, ...] = NOTES


def space_on(paper: str) -> tuple[float, float]:
    """Width and height in mm that a frame leaves for the drawing. Raises KeyError for an unknown paper."""
    return _space(PAPERS[paper])


def _space(size: tuple[float, float]) -> tuple[float, float]:
    width, height = size
    return (
        width - FILING_MM - EDGE_MM - 2 * INSIDE_MM,
        height - 2 * EDGE_MM - _strip(width) - 2 * INSIDE_MM,
    )


def page_for(drawing: Drawing, paper: str, *, lying: bool = False) -> tuple[float, float]:
    """Width and height in mm of the page: the paper, the same turned, or the next larger one that holds the drawing.

    The largest when none does. `lying`: on its long side rather than upright, where it fits both ways.
    """
    while True:
        width, height = PAPERS[paper]
        both = ((width, height), (height, width))
        for size in sorted(both, reverse=True) if lying else both:
            wide, high = _space(size)
            if drawing.width <= wide and drawing.height <= high:
                return size
        if paper not in _LARGER:
            return width, height
        paper = _LARGER[paper]


def framed(drawing: Drawing, block: TitleBlock, paper: str = "A3", *, lying: bool = False) -> Drawing:
    """A page of the given paper, turned or larger if need be, with the drawing in its frame at true scale.

    `lying`: see `page_for`.
    """
    width, height = page_for(drawing, paper, lying=lying)
    wide, _ = _space((width, height))
    x = FILING_MM + INSIDE_MM + max(0.0, (wide - drawing.width) / 2)
    inside = Group(drawing.items, at=(x, EDGE_MM + INSIDE_MM), role="inside")
    items: list[Item] = [inside, *_frame(width, height), *_foot(width, height, block)]
    title = f"{block.sheet} {drawing.title or block.title}"
    return replace(drawing, width=width, height=height, items=tuple(items), title=title)


def _strip(width: float) -> float:
    """Height of the foot: on narrow paper notes stand above the block."""
    return STRIP_MM if width > 300 else 2 * STRIP_MM - 6.0


# ------------------------------------------------------------------------------- frame and fields
def _frame(width: float, height: float) -> list[Item]:
    left, right, top, bottom = FILING_MM, width - EDGE_MM, EDGE_MM, height - EDGE_MM
    band = Rect(left - BAND_MM, top - BAND_MM, right - left + 2 * BAND_MM, bottom - top + 2 * BAND_MM, "hair")
    items: list[Item] = [band, Rect(left, top, right - left, bottom - top, "frame")]
    columns, rows = (max(2, 2 * round(size / FIELD_MM / 2)) for size in (right - left, bottom - top))
    for k in range(columns):
        x0, x1 = (left + (right - left) * n / columns for n in (k, k + 1))
        for y in (top, bottom + BAND_MM):
            items.append(Text((x0 + x1) / 2, y - (BAND_MM - 2.5) / 2, str(k + 1), "subtitle", "middle"))
            if k:
                look = "frame" if 2 * k == columns else "hair"
                items.append(Line(((x0, y - BAND_MM), (x0, y)), look))
    for k in range(rows):
        y0, y1 = (top + (bottom - top) * n / rows for n in (k, k + 1))
        for x in (left - BAND_MM, right):
            items.append(Text(x + BAND_MM / 2, (y0 + y1) / 2 + 1.25, _letter(k), "subtitle", "middle"))
            if k:
                look = "frame" if 2 * k == rows else "hair"
                items.append(Line(((x, y0), (x + BAND_MM, y0)), look))
    return items


def _letter(index: int) -> str:
    """A, B, C ... without I and O, which are taken for numbers."""
    return "ABCDEFGHJKLMNPQRSTUVWXYZ"[index]


# ------------------------------------------------------------------------------- foot
def _foot(width: float, height: float, block: TitleBlock) -> list[Item]:
    left, right, bottom = FILING_MM, width - EDGE_MM, height - EDGE_MM
    wide = width > 300
    top = bottom - STRIP_MM
    block_left = right - BLOCK_MM if wide else left
    items: list[Item] = [Line(((left, top), (right, top)), "frame")]
    if wide:
        items.append(Line(((block_left, top), (block_left, bottom)), "frame"))
        items += _notes(block.notes, left + 4, top, block_left - left - 8)
    else:
        over = bottom - _strip(width)
        items.append(Line(((left, over), (right, over)), "frame"))
        items += _notes(block.notes, left + 4, over, right - left - 8)
    return [*items, *_block(block_left, right, top, block)]


def _notes(notes: tuple[str, ...], x: float, top: float, longest: float) -> list[Item]:
    lines = [line for note in notes for line in wrapped(note, longest, "subtitle")]
    step = min(5.0, (STRIP_MM - 8.0) / max(len(lines) - 1, 1))
    return [
        Text(x, top + 5.5 + k * max(step, 3.6), line, "note" if k == 0 else "subtitle") for k, line in enumerate(lines)
    ]


def _block(left: float, right: float, top: float, block: TitleBlock) -> list[Item]:
    """Two rows of entries: small label above, value below."""
    rows = (
        (("Owner", block.owner, 52), ("Title", block.title, 68), ("Date", block.date, 24), ("Rev.", block.revision, 14),
         ("Sheet", f"{block.sheet} / {block.sheets}", 22)),
        (("Document", block.document, 52), ("Number", block.number, 30), ("From file", block.from_file, 38),
         ("Drawn by", block.drawn, 24), ("Checked by", block.checked, 24), ("Lang.", block.language, 12)),
    )  # fmt: skip
    items: list[Item] = [Line(((left, top + STRIP_MM / 2), (right, top + STRIP_MM / 2)), "hair")]
    scale = (right - left) / BLOCK_MM
    for row, entries in enumerate(rows):
        x, y = left, top + row * STRIP_MM / 2
        for index, (label, value, share) in enumerate(entries):
            wide = share * scale
            if index:
                items.append(Line(((x, y), (x, y + STRIP_MM / 2)), "hair"))
            items.append(Text(x + 2, y + 4.2, label, "subtitle"))
            items += _entry(x + 2, y, value, wide - 3, "title" if label == "Title" else "note")
            x += wide
    return items


def _entry(x: float, y: float, value: str, longest: float, look: str) -> list[Item]:
    """A value under its label: in its own size if it fits, else in two lines of the usual one."""
    if width_mm(value, look) <= longest:
        return [Text(x, y + 10.0, value, look)]
    lines = wrapped(value, longest, "note")
    lines = [lines[0], " ".join(lines[1:])] if len(lines) > 1 else lines
    feet = (y + 7.6, y + 11.0)[-len(lines) :]
    return [Text(x, foot, _shortened(line, longest, "note"), "note") for foot, line in zip(feet, lines, strict=True)]


def _shortened(value: str, longest: float, look: str) -> str:
    """The value, or its beginning with dots when it is too long for its place."""
    if width_mm(value, look) <= longest:
        return value
    while value and width_mm(f"{value}…", look) > longest:
        value = value[:-1]
    return f"{value.rstrip()}…"


def with_bookmark(drawing: Drawing, name: str, title: str = "") -> Drawing:
    """The drawing with a place to jump to at its top."""
    return replace(drawing, items=(Bookmark(name, 0.0, 0.0, title), *drawing.items))
