"""The sizing sheet on paper: the choices at a glance with a box for who checks them, then how each was found."""

from __future__ import annotations

from collections.abc import Iterator

from ..sizing import Part, SizingSheet, Working
from ..sizing.telling import FITS, MARKS, Like, fitted_words, like_before
from .display import Drawing
from .printed import Block, Cell, Column, Mark, Paragraph, Table, printed_pages

TITLE = "Sizing"
FOOT = ("Checked against the code by", "Licence", "Signed", "Date")
CHOICES = (
    Column("about", look="tag"), Column("question", share=2), Column("choice", share=3), Column("in the file", share=3),
    Column("fits", share=1.2), Column("checked"),
)  # fmt: skip
SHORT = (
    Column("about", look="tag"),
    Column("question", share=2),
    Column("in the file", share=2),
    Column("why", share=3),
)
STEPS = (Column("step", share=3), Column("rule or source", share=2))


def sizing_pages(sheet: SizingSheet, width: float, height: float) -> tuple[Drawing, ...]:
    """A sheet on pages of `width` by `height` mm; none when there is nothing to size."""
    return printed_pages(TITLE, list(_blocks(sheet)), width, height) if sheet.parts else ()


def _blocks(sheet: SizingSheet) -> Iterator[Block]:
    yield from (Paragraph(f"! {caution}") for caution in sheet.cautions)
    yield Paragraph(f"Sized under {sheet.rules}.")
    if sheet.taken:
        yield Paragraph(f"Taken for granted, as the file does not say it: {'; '.join(sheet.taken)}.")
    if sheet.shortfalls:
        yield Paragraph("Falls short", "title", heading=True)
        yield Table(SHORT, tuple(_short(sheet)))
    yield Paragraph("Choices", "title", heading=True)
    yield Table(CHOICES, tuple(_choices(sheet)))
    if sheet.missing:
        yield Paragraph("Missing in the file", "title", heading=True)
        columns = (Column("what", share=2), Column("why", share=3), Column("write", share=3))
        yield Table(columns, tuple((one.what, one.why, one.mend) for one in sheet.missing))
    alike = iter(like_before(sheet))
    for part in sheet.parts:
        yield Paragraph(part.heading, "title", heading=True)
        yield Table(STEPS, tuple(_steps(part, alike)))
    yield Table(tuple(Column(name, share=1) for name in FOOT), (tuple(Mark.WRITE for _ in FOOT),))


def _short(sheet: SizingSheet) -> Iterator[tuple[Cell, ...]]:
    for answer in sheet.shortfalls:
        if answer.fitted is not None:
            yield answer.about, answer.question, answer.fitted.text, answer.fitted.why


def _choices(sheet: SizingSheet) -> Iterator[tuple[Cell, ...] | str]:
    for part in sheet.parts:
        yield part.heading
        for answer in part.answers:
            fitted = answer.fitted
            choice = answer.choice or ("(see what is missing)" if answer.missing else "none")
            there, verdict = (fitted.text, FITS[fitted.fits]) if fitted else ("", "")
            yield answer.about, answer.question, choice, there, verdict, Mark.TICK


def _steps(part: Part, alike: Iterator[Like | None]) -> Iterator[tuple[Cell, ...] | str]:
    for answer in part.answers:
        like = next(alike)
        yield f"{answer.about} {answer.question}: {answer.choice or 'waits for what is missing'}"
        yield from ((step.text, _rule(step)) for step in answer.workings[: like.own_steps if like else None])
        pointed = like.words if like is not None else ""
        if answer.fitted is not None:
            yield f"in the file: {fitted_words(answer.fitted)}", pointed
        elif pointed:
            yield "", pointed
        if like is None or like.own_notes:
            yield from ((f"also: {one.choice}: {one.why}", "") for one in answer.also)
            yield from ((f"mind: {warning}", "") for warning in answer.warnings)


def _rule(working: Working) -> str:
    return f"{working.rule or working.source}{MARKS.get(working.trust, '')}"
