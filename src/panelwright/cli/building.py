"""Commands for building: wire, draw."""

from __future__ import annotations

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, files_argument, json_option
from .group import main, over, target
from .papers import Paper


@main.command()
@files_argument
@json_option
def wire(files: tuple[str, ...], as_json: bool) -> None:
    """List contacts, wire numbers and wires in order of work."""
    over(files, as_json, "Wiring", _wired)


def _wired(paper: Paper, circuit: Circuit) -> Answer:
    from ..wiring import as_json as values_of
    from ..wiring import report

    wiring = api.wire(circuit)
    code = Code.FOUND if wiring.shortages else Code.FINE
    return Answer(code, report(wiring), {"file": paper.name, **values_of(wiring)})


@main.command()
@files_argument
@click.option("--out", "-o", metavar="PATH", help="File or folder to write to; - prints the drawing.")
@click.option("--symbols", type=click.Choice(["IEC", "NA"]), help="Symbols; by default what the file says.")
@click.option("--upright", is_flag=True, help="Current paths from top to bottom instead of level rungs.")
@click.option("--theme", type=click.Choice(["light", "dark", "print"]), default="light", help="Colours.")
@json_option
def draw(
    files: tuple[str, ...], out: str | None, symbols: str | None, upright: bool, theme: str, as_json: bool
) -> None:
    """Draw the control circuit as SVG.

    The file is written beside you, or where --out says."""

    def drawn(paper: Paper, circuit: Circuit) -> Answer:
        from ..bench.files import write_atomically

        svg = api.draw(circuit, symbols=symbols, upright=upright, theme=theme)
        if out == "-":
            return Answer(Code.FINE, svg, {"file": paper.name, "svg": svg})
        place = target(paper, out, ".svg")
        write_atomically(place, svg)
        return Answer(Code.FINE, f"{paper.name}: drawn to {place}", {"file": paper.name, "drawing": str(place)})

    over(files, as_json, "Drawing", drawn)
