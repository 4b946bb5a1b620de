"""Commands for choosing: size."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper

if TYPE_CHECKING:
    from ..sizing import SizingSheet


@main.command()
@files_argument
@click.option("--about", multiple=True, metavar="TAG", help="Only this motor, device or supply. May be given again.")
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to, to be printed.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@json_option
def size(files: tuple[str, ...], about: tuple[str, ...], out: str | None, paper: str, as_json: bool) -> None:
    """Choose conductors, protection, contactors and supplies, with rule and arithmetic."""
    over(files, as_json, "Sizing", lambda file, circuit: _answer(file, circuit, about, out, paper))


def _answer(file: Paper, circuit: Circuit, about: tuple[str, ...], out: str | None, paper: str) -> Answer:
    """The sheet, or where its pages are. Short of something: exit code 1; facts missing: 3."""
    from ..sizing.telling import as_json, counted, told

    sheet = _sheet(file, circuit, about)
    code = Code.FOUND if sheet.shortfalls else Code.NOT_DECIDED if sheet.missing else Code.FINE
    values = {"file": file.name, **as_json(sheet)}
    count = counted(sheet, file.name)
    if out is None:
        return Answer(code, f"{told(sheet)}\n\n{count}", values)
    pages = api.size_pages(circuit, sheet, paper=paper, from_file=Path(file.name).name)
    place = target(file, out, f"-sizing{PDF}")
    write(place, api.pdf(pages))
    words = f"{count}\n{len(pages)} page{'s' * (len(pages) != 1)} in {place}"
    return Answer(code, words, values | {"pages": len(pages), "pdf": str(place)})


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
