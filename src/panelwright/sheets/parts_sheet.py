"""The parts list on paper: what to lay out or buy, with a box for each line; what a stock list has for it."""

from __future__ import annotations

from collections.abc import Iterator

from ..sizing.choosing import Choice
from ..sizing.parts_list import PartLine, PartsList
from .display import Drawing
from .printed import Block, Cell, Column, Mark, Paragraph, Table, printed_pages

TITLE = "Parts"
MOST_TAGS = 10
PARTS = (
    Column("have"), Column("pieces", anchor="end"), Column("spares", anchor="end"), Column("part", share=3),
    Column("asked of it", share=3), Column("for", share=1.6, look="tag"),
)  # fmt: skip
CHOSEN = (
    Column("taken"),
    Column("pieces", anchor="end"),
    Column("part", share=3),
    Column("from the stock list", share=3),
)
BUY = (Column("bought"), Column("name", share=2), Column("part", share=3), Column("needed", anchor="end"),
       Column("at hand", anchor="end"), Column("packs", anchor="end"), Column("price", anchor="end"))  # fmt: skip


def parts_pages(parts: PartsList, choice: Choice | None, width: float, height: float) -> tuple[Drawing, ...]:
    """A list on pages of `width` by `height` mm, with what was chosen for it if a choice is given."""
    return printed_pages(TITLE, list(_blocks(parts, choice)), width, height)


def _blocks(parts: PartsList, choice: Choice | None) -> Iterator[Block]:
    yield from (Paragraph(f"! {caution}") for caution in parts.cautions)
    yield Table(PARTS, tuple(_rows(parts)))
    if choice is None:
        return
    yield Paragraph("Chosen from the stock list", "title", heading=True)
    yield Table(CHOSEN, tuple(_chosen(choice)))
    if choice.bought:
        yield Paragraph("To buy", "title", heading=True)
        yield Table(BUY, tuple(_bought(choice)))
    lacking = [one for one in choice.filled if one.lacks]
    if lacking:
        yield Paragraph("Not in the stock list", "title", heading=True)
        columns = (Column("pieces", anchor="end"), Column("part", share=2), Column("why", share=3))
        yield Table(columns, tuple((str(one.lacks), one.line.description, "; ".join(one.why)) for one in lacking))


def _rows(parts: PartsList) -> Iterator[tuple[Cell, ...] | str]:
    for in_field, heading in ((False, "In the panel"), (True, "In the field")):
        lines = [line for line in parts.lines if line.in_field == in_field]
        if lines:
            yield heading
            yield from (_row(line) for line in lines)


def _row(line: PartLine) -> tuple[Cell, ...]:
    tags = " ".join(line.tags[:MOST_TAGS]) + (" ..." if len(line.tags) > MOST_TAGS else "")
    spares = str(line.spares) if line.spares else ""
    return Mark.TICK, str(line.quantity), spares, line.description, "; ".join(line.asked), tags


def _chosen(choice: Choice) -> Iterator[tuple[Cell, ...]]:
    for one in choice.filled:
        if one.taken:
            taken = ", ".join(f"{pieces} x {name}" for name, pieces in one.taken)
            yield Mark.TICK, str(one.line.pieces - one.lacks), one.line.description, taken


def _bought(choice: Choice) -> Iterator[tuple[Cell, ...]]:
    for one in choice.bought:
        packs = f"{one.packs}{f' of {one.part.pack}' if one.part.pack > 1 else ''}" if one.packs else ""
        yield (Mark.TICK, one.part.name, one.part.part, str(one.pieces), str(one.from_hand or ""), packs,
               f"{one.price:.2f}" if one.packs else "")  # fmt: skip
    yield "", "together", "", "", "", "", f"{choice.price:.2f}"
