"""Commands for choosing: size."""

from __future__ import annotations

from pathlib import Path

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper


@main.command()
@files_argument
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to, to be printed.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@json_option
def size(files: tuple[str, ...], out: str | None, paper: str, as_json: bool) -> None:
    """Choose conductors, protection, contactors and supplies, with rule and arithmetic."""
    over(files, as_json, "Sizing", lambda file, circuit: _answer(file, circuit, out, paper))


def _answer(file: Paper, circuit: Circuit, out: str | None, paper: str) -> Answer:
    """The sheet, or where its pages are. Short of something: exit code 1; facts missing: 3."""
    from ..sizing.telling import as_json, counted, told

    sheet = api.size(circuit)
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
