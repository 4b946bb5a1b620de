"""Test sheets on paper: boxes to tick, lines to write on, cautions at the head and signatures at the foot."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from ..finding import Sheet, SheetLine
from ..finding.sheet import Part
from .display import Drawing
from .printed import Block, Cell, Column, Mark, Paragraph, Table, printed_pages

TITLES = {"cold": "Cold test", "live": "Live test"}
HEAD = ("Panel no.", "Tested by", "Initials", "Meter and its number", "Date")
FOOT = ("Failed lines", "Mended and read again", "Signed", "Date")
BY, DATE = Column("by", least_mm=9.0), Column("date", least_mm=13.0)


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
        yield _table(part, numbers)
    if sheet.covers:
        yield Paragraph("What this sheet proves", "title", heading=True)
        yield from (Paragraph(words) for words in sheet.covers)
    yield _to_write(FOOT)


def _to_write(names: tuple[str, ...]) -> Table:
    return Table(tuple(Column(name, share=1) for name in names), (tuple(Mark.WRITE for _ in names),))


def _table(part: Part, numbers: Iterator[int]) -> Table:
    """With room for what is read, unless there are only boxes to tick; what must be seen needs more room than volts."""
    head = (Column("no.", anchor="end"), Column("done"))
    if not any(line.expect for line in part.lines):
        rows = tuple((str(next(numbers)), Mark.TICK, _do(line), Mark.WRITE, Mark.WRITE) for line in part.lines)
        return Table((*head, Column("do", share=1), BY, DATE), rows)
    shares = (1.0, 1.2) if any(line.kind == "look" for line in part.lines) else (3.0, 1.5)
    columns = (*head, Column("do", share=shares[0]), Column("must be", share=shares[1]), Column("is", least_mm=20.0))
    return Table((*columns, BY, DATE), tuple(_row(next(numbers), line) for line in part.lines))


def _row(number: int, line: SheetLine) -> tuple[Cell, ...]:
    reads: Cell = Mark.WRITE if line.expect else ""
    return str(number), Mark.TICK, _do(line), line.expect, reads, Mark.WRITE, Mark.WRITE


def _do(line: SheetLine) -> str:
    return f"{line.do} ({line.mind})" if line.mind else line.do
