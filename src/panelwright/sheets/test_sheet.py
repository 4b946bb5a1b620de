"""Test sheets on paper: boxes to tick, lines to write on, cautions at the head and signatures at the foot."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from ..finding import Sheet, SheetLine
from .display import Drawing
from .printed import Block, Cell, Column, Mark, Paragraph, Table, printed_pages

TITLES = {"cold": "Cold test", "live": "Live test"}
HEAD = ("Panel no.", "Tested by", "Initials", "Meter and its number", "Date")
FOOT = ("Failed lines", "Mended and read again", "Signed", "Date")
COLUMNS = (
    Column("no.", anchor="end"), Column("done"), Column("do", share=3), Column("must be", share=1.5),
    Column("is", least_mm=20.0), Column("by", least_mm=9.0), Column("date", least_mm=13.0),
)  # fmt: skip


def test_sheet_pages(sheet: Sheet, width: float, height: float) -> tuple[Drawing, ...]:
    """A sheet on pages of `width` by `height` mm. Lines have the numbers that results are judged by."""
    return printed_pages(TITLES[sheet.kind], list(_blocks(sheet)), width, height)


def _blocks(sheet: Sheet) -> Iterator[Block]:
    yield from (Paragraph(f"! {caution}") for caution in sheet.cautions)
    yield _to_write(HEAD)
    numbers = count(1)
    for part in sheet.parts:
        yield Paragraph(part.title, "title", heading=True)
        yield from (Paragraph(words) for words in part.words)
        yield Table(COLUMNS, tuple(_row(next(numbers), line) for line in part.lines))
    if sheet.covers:
        yield Paragraph("What this sheet proves", "title", heading=True)
        yield from (Paragraph(words) for words in sheet.covers)
    yield _to_write(FOOT)


def _to_write(names: tuple[str, ...]) -> Table:
    return Table(tuple(Column(name, share=1) for name in names), (tuple(Mark.WRITE for _ in names),))


def _row(number: int, line: SheetLine) -> tuple[Cell, ...]:
    do = f"{line.do} ({line.mind})" if line.mind else line.do
    reads: Cell = Mark.WRITE if line.expect else ""
    return str(number), Mark.TICK, do, line.expect, reads, Mark.WRITE, Mark.WRITE
