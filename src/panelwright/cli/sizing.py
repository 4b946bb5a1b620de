"""Commands for choosing: size."""

from __future__ import annotations

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, files_argument, json_option
from .group import main, over
from .papers import Paper


@main.command()
@files_argument
@json_option
def size(files: tuple[str, ...], as_json: bool) -> None:
    """Choose conductors, protection, contactors and supplies, with rule and arithmetic."""
    over(files, as_json, "Sizing", _answer)


def _answer(paper: Paper, circuit: Circuit) -> Answer:
    from ..sizing.telling import as_json, counted, told

    sheet = api.size(circuit)
    code = Code.FOUND if sheet.shortfalls else Code.NOT_DECIDED if sheet.missing else Code.FINE
    return Answer(code, f"{told(sheet)}\n\n{counted(sheet, paper.name)}", {"file": paper.name, **as_json(sheet)})
