"""Hidden faults for a class on paper: what the learner is told and lines to write on, or the answers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..finding.practice import Practice, answer_lines, told_symptom
from ..finding.telling_search import CAUTIONS
from .display import Drawing
from .printed import Block, Column, Mark, Paragraph, Table, printed_pages

TITLE, ANSWERS = "Fault finding", "Fault finding, answers"
READINGS = 6  # lines to write on for each task
HEAD = ("Name", "Class", "Date", "Points")
FOOT = ("Cause", "How it is mended", "Test after the repair")
COLUMNS = (
    Column("", anchor="end"), Column("from", share=1.2), Column("to", share=1.2), Column("situation", share=2),
    Column("look or meter shows", share=1.5), Column("so", share=3),
)  # fmt: skip


def practice_pages(
    tasks: Sequence[Practice], seed: int, answers: bool, width: float, height: float
) -> tuple[Drawing, ...]:
    """Tasks, or their answers, on pages of `width` by `height` mm."""
    return printed_pages(ANSWERS if answers else TITLE, list(_blocks(tasks, seed, answers)), width, height)


def _blocks(tasks: Sequence[Practice], seed: int, answers: bool) -> Iterator[Block]:
    yield Paragraph(f"Seed {seed}: the same seed gives the same tasks.")
    if not answers:
        yield from (Paragraph(f"! {caution}") for caution in CAUTIONS)
        yield _to_write(HEAD)
    for number, task in enumerate(tasks, 1):
        yield Paragraph(f"Task {number} ({task.difficulty})", "title", heading=True)
        yield Paragraph(told_symptom(task))
        if answers:
            yield from (Paragraph(line) for line in answer_lines(task))
        else:
            yield Table(COLUMNS, tuple((str(row), *[Mark.WRITE] * 5) for row in range(1, READINGS + 1)))
            yield _to_write(FOOT)


def _to_write(names: tuple[str, ...]) -> Table:
    return Table(tuple(Column(name, share=1) for name in names), (tuple(Mark.WRITE for _ in names),))
