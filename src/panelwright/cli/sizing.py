"""Commands for choosing: size."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper
from .spreadsheet import Page, write_spreadsheet

if TYPE_CHECKING:
    from ..sizing import Answer as SizedAnswer
    from ..sizing import SizingSheet


@main.command()
@files_argument
@click.option("--about", multiple=True, metavar="TAG", help="Only this motor, device or supply. May be given again.")
@click.option("--brief", is_flag=True, help="The choices alone, without the steps.")
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to, to be printed.")
@click.option("--xlsx", metavar="OUT", help="Also write a spreadsheet: a file, or a folder.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@json_option
def size(files: tuple[str, ...], as_json: bool, **options: Any) -> None:
    """Choose conductors, protection, contactors and supplies, with rule and arithmetic."""
    over(files, as_json, "Sizing", lambda file, circuit: _answer(file, circuit, **options), _total)


def _answer(
    file: Paper, circuit: Circuit, about: tuple[str, ...], brief: bool, out: str | None, xlsx: str | None, paper: str
) -> Answer:
    """The sheet, or where its pages are. Short of something: exit code 1; facts missing: 3."""
    from ..sizing.telling import as_json, counted, told

    sheet = _sheet(file, circuit, about)
    code = Code.FOUND if sheet.shortfalls else Code.NOT_DECIDED if sheet.missing else Code.FINE
    values = {"file": file.name, **as_json(sheet)}
    count = counted(sheet, file.name)
    if xlsx is not None:
        book = target(file, xlsx, ".xlsx")
        write_spreadsheet(book, _spread_out(sheet))
        count += f"\nThe spreadsheet is {book}."
    if out is None:
        return Answer(code, f"{told(sheet, brief=brief)}\n\n{count}", values)
    pages = api.size_pages(circuit, sheet, paper=paper, from_file=Path(file.name).name)
    place = target(file, out, f"-sizing{PDF}")
    write(place, api.pdf(pages))
    words = f"{count}\n{len(pages)} page{'s' * (len(pages) != 1)} in {place}"
    return Answer(code, words, values | {"pages": len(pages), "pdf": str(place)})


def _total(values: list[dict[str, Any]]) -> str:
    """How much was answered over several files."""
    answers = [answer for value in values for part in value.get("parts", ()) for answer in part["answers"]]
    answered = sum(bool(answer["choice"]) for answer in answers)
    short = sum(answer.get("in_file", {}).get("fits") is False for answer in answers)
    missing = sum(len(value.get("missing", ())) for value in values)
    falls = f"{short} fall{'s' * (short == 1)} short"
    return f"{answered} of {len(answers)} questions answered, {falls}, {missing} facts missing"


def _sheet(file: Paper, circuit: Circuit, about: tuple[str, ...]) -> SizingSheet:
    """The sheet, or of it what is about some tags. Raises: CouldNot when nothing is, with what there is."""
    sheet = api.size(circuit)
    if not about:
        return sheet
    found = sheet.only(about)
    if not found.parts:
        tags = ", ".join(dict.fromkeys(answer.about for answer in sheet.answers)) or "nothing"
        raise CouldNot(f"{file.name}: nothing is sized for {' and '.join(about)}; it is for {tags}.")
    return found


def _notes(answer: SizedAnswer) -> Iterator[tuple[str, str]]:
    """("also", another choice with its reason) and ("mind", a warning)."""
    yield from (("also", f"{one.choice}: {one.why}") for one in answer.also)
    yield from (("mind", warning) for warning in answer.warnings)


def _spread_out(sheet: SizingSheet) -> Iterator[Page]:
    """The choices, every step, other readings and what to mind, and what is missing."""
    from ..sizing.telling import FITS

    heads = ("part", "about", "question", "choice", "value", "unit", "in the file", "fits", "why")
    rows = [
        (part.heading, a.about, a.question, a.choice, "" if a.value is None else a.value, a.unit,
         *((a.fitted.text, FITS[a.fitted.fits], a.fitted.why) if a.fitted else ("", "", "")))
        for part in sheet.parts for a in part.answers
    ]  # fmt: skip
    yield Page("Choices", heads, rows, fixed=3)
    steps = [(a.about, a.question, w.text, w.rule, w.source, w.trust) for a in sheet.answers for w in a.workings]
    yield Page("Steps", ("about", "question", "step", "rule", "source", "trust"), steps, fixed=2)
    notes = [(a.about, a.question, *note) for a in sheet.answers for note in _notes(a)]
    if notes:
        yield Page("Notes", ("about", "question", "kind", "note"), notes, fixed=2)
    if sheet.missing:
        missing = [(one.what, one.why, one.mend) for one in sheet.missing]
        yield Page("Missing", ("what", "why", "write"), missing)
