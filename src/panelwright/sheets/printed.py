"""Lists on paper: paragraphs and tables that flow over as many pages as they need.

The headings of a table come again on each page; a heading never stands alone at the foot of one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

from .display import Anchor, Bookmark, Drawing, Group, Item, Line, Rect, Text
from .style import TEXTS
from .words import width_mm, wrapped

STEP_MM = 4.2  # from line to line of text
ROW_MM = 6.4  # a row of one line: room for a pen
GAP_MM = 3.0  # between two columns
TICK_MM = 3.6


class Mark(Enum):
    """What a cell has for the pen: a box to tick, or a line to write on."""

    TICK = "tick"
    WRITE = "write"


Cell = str | Mark


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. `share`: of the width that the others leave; 0 makes it as wide as its widest text.

    `least_mm`: at least so wide, for columns to write in.
    """

    heading: str
    share: float = 0.0
    least_mm: float = 0.0
    look: str = "note"
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, one for each column; a text alone is a heading across the table.

    Raises: ValueError when a row has not one cell for each column.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...] | str, ...]

    def __post_init__(self) -> None:
        for row in self.rows:
            if not isinstance(row, str) and len(row) != len(self.columns):
                raise ValueError(f"{len(row)} cells for {len(self.columns)} columns: {row}")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words across the page. `heading`: stays with what follows it, and stands in the outline of a PDF."""

    text: str
    look: str = "note"
    heading: bool = False


@dataclass(frozen=True, slots=True)
class Labels:
    """Words in boxes side by side, to cut out; all as wide as the widest needs. An even number stands in a row."""

    words: tuple[str, ...]
    width: float
    height: float
    look: str = "number"


class Strip(NamedTuple):
    """What stays together on a page: its items from y = 0. `again`: what comes again above it on a new page."""

    items: tuple[Item, ...]
    height: float
    with_next: bool = False
    again: Strip | None = None


@dataclass(frozen=True, slots=True)
class Ready:
    """Strips that were drawn elsewhere, to flow over the pages with the rest."""

    strips: tuple[Strip, ...]


Block = Paragraph | Table | Labels | Ready


def printed_pages(title: str, blocks: Sequence[Block], width: float, height: float) -> tuple[Drawing, ...]:
    """The blocks one below the other on pages of `width` by `height` mm, the title at the head of each."""
    strips = [
        strip for index, block in enumerate(blocks) for strip in _strips(block, width, title, _leads(blocks, index))
    ]
    pages = list(_paged(strips, height - ROW_MM - 2))
    return tuple(_page(title, page, number, len(pages), width, height) for number, page in enumerate(pages, 1))


def _leads(blocks: Sequence[Block], index: int) -> bool:
    """Whether a block stays with the next: a heading, and words that stand between a heading and a table."""
    block, before, after = blocks[index], blocks[index - 1 : index], blocks[index + 1 : index + 2]
    if not isinstance(block, Paragraph):
        return False
    between = any(isinstance(b, Paragraph) and b.heading for b in before) and isinstance((*after, None)[0], Table)
    return block.heading or between


def _page(title: str, strips: Sequence[Strip], number: int, pages: int, width: float, height: float) -> Drawing:
    head = f"{title} ({number} of {pages})" if pages > 1 else title
    items: list[Item] = [Text(0.0, 4.0, head, "title")]
    y = ROW_MM + 2
    for strip in strips:
        items.append(Group(strip.items, at=(0.0, y)))
        y += strip.height
    return Drawing(width, height if pages > 1 else y, tuple(items), title, f"{head}.")


def _paged(strips: Sequence[Strip], height: float) -> Iterator[list[Strip]]:
    """Strips page by page; one that is higher than a page has a page of its own."""
    page: list[Strip] = []
    used = 0.0
    for clump in _clumps(strips):
        high = sum(strip.height for strip in clump)
        if page and used + high > height:
            yield page
            page, used = [], 0.0
            if clump[0].again is not None:
                page, used = [clump[0].again], clump[0].again.height
        page += clump
        used += high
    if page:
        yield page


def _clumps(strips: Sequence[Strip]) -> Iterator[list[Strip]]:
    """Headings with the strip that they stand above."""
    clump: list[Strip] = []
    for strip in strips:
        clump.append(strip)
        if not strip.with_next:
            yield clump
            clump = []
    if clump:
        yield clump


# ------------------------------------------------------------------------------- blocks
def _strips(block: Block, width: float, title: str, leads: bool) -> Iterator[Strip]:
    if isinstance(block, Table):
        yield from _table(block, width)
        yield Strip((), GAP_MM)
        return
    if isinstance(block, Ready):
        yield from block.strips
        return
    if isinstance(block, Labels):
        yield from _labels(block, width)
        yield Strip((), GAP_MM)
        return
    lines = wrapped(block.text, width, block.look)
    items: list[Item] = [Text(0.0, (k + 1) * STEP_MM, line, block.look) for k, line in enumerate(lines)]
    if block.heading:
        items.insert(0, Bookmark(_name(f"{title} {block.text}"), 0.0, 0.0, block.text))
    yield Strip(tuple(items), len(lines) * STEP_MM + (2.0 if block.heading else 3.0), leads)


def _labels(block: Labels, width: float) -> Iterator[Strip]:
    wide = max([block.width, *(width_mm(word, block.look) + 3 for word in block.words)])
    across = max(int(width / wide) // 2 * 2, 1)
    base = (block.height + TEXTS[block.look].cap_mm) / 2
    for start in range(0, len(block.words), across):
        items: list[Item] = []
        for column, word in enumerate(block.words[start : start + across]):
            items.append(Rect(column * wide, 0.0, wide, block.height, "hair"))
            items.append(Text((column + 0.5) * wide, base, word, block.look, "middle"))
        yield Strip(tuple(items), block.height)


def _name(text: str) -> str:
    return "-".join("".join(char if char.isalnum() else " " for char in text.lower()).split())


def _table(table: Table, width: float) -> Iterator[Strip]:
    widths = _widths(table, width)
    top = _row(tuple(column.heading for column in table.columns), table, widths, "subtitle")
    rule = Line(((0.0, top.height), (width, top.height)), "hair")
    head = top._replace(items=(*top.items, rule))
    yield head._replace(with_next=True)
    for row in table.rows:
        if isinstance(row, str):
            lines = wrapped(row, width, "tag")
            texts = tuple(Text(0.0, 2.0 + (k + 1) * STEP_MM, line, "tag") for k, line in enumerate(lines))
            yield Strip(texts, 4.0 + len(lines) * STEP_MM, True, head)
        else:
            strip = _row(row, table, widths)
            line = Line(((0.0, strip.height), (width, strip.height)), "rule")
            yield strip._replace(items=(line, *strip.items), again=head)


def _widths(table: Table, width: float) -> list[float]:
    """The widths of the columns: those without a share as wide as their widest text, the rest by their shares."""
    widths = []
    for index, column in enumerate(table.columns):
        texts = [row[index] for row in table.rows if not isinstance(row, str)]
        natural = max(
            [width_mm(column.heading, "subtitle"), column.least_mm]
            + [TICK_MM if isinstance(text, Mark) else width_mm(text, column.look) for text in texts]
        )
        widths.append(0.0 if column.share else natural)
    shares = sum(column.share for column in table.columns)
    left = width - sum(widths) - GAP_MM * (len(widths) - 1)
    return [
        max(left * column.share / shares, column.least_mm) if column.share else natural
        for column, natural in zip(table.columns, widths, strict=True)
    ]


def _row(cells: Sequence[Cell], table: Table, widths: Sequence[float], look: str = "") -> Strip:
    items: list[Item] = []
    most = 1
    x = 0.0
    for cell, column, wide in zip(cells, table.columns, widths, strict=True):
        if cell is Mark.TICK:
            items.append(Rect(x, (ROW_MM - TICK_MM) / 2, TICK_MM, TICK_MM, "hair"))
        elif isinstance(cell, str):
            style = look or column.look
            lines = wrapped(cell, wide, style) if cell else []
            at = {"start": x, "middle": x + wide / 2, "end": x + wide}[column.anchor]
            items += [Text(at, 4.4 + k * STEP_MM, line, style, column.anchor) for k, line in enumerate(lines)]
            most = max(most, len(lines))
        x += wide + GAP_MM
    high = ROW_MM + (most - 1) * STEP_MM
    x = 0.0
    for cell, wide in zip(cells, widths, strict=True):
        if cell is Mark.WRITE:
            items.append(Line(((x, high - 1.2), (x + wide, high - 1.2)), "hair"))
        x += wide + GAP_MM
    return Strip(tuple(items), high)
