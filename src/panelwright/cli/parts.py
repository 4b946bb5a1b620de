"""Commands for buying: parts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper
from .spreadsheet import Page, write_spreadsheet

if TYPE_CHECKING:
    from ..sizing.choosing import Choice
    from ..sizing.parts_list import PartsList


@main.command()
@files_argument
@click.option("--stock", metavar="LIST", help="Choose the cheapest fitting parts of this list: CSV or TOML.")
@click.option("--spares/--no-spares", default=True, help="Count spare parts; by default they are.")
@click.option("--xlsx", metavar="OUT", help="Also write a spreadsheet: a file, or a folder.")
@click.option("--out", "-o", metavar="PATH", help="Also write a PDF to be printed: a file, or a folder.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@json_option
def parts(files: tuple[str, ...], stock: str | None, spares: bool, as_json: bool, **outs: str | None) -> None:
    """List the parts to buy, with their ratings; choose them from a stock list."""
    over(files, as_json, "Listing", lambda file, circuit: _answer(file, circuit, stock, spares, outs))


def _answer(file: Paper, circuit: Circuit, stock: str | None, spares: bool, outs: dict[str, str | None]) -> Answer:
    from ..sizing import read_stock, telling_parts

    found = api.parts(circuit, spares=spares)
    choice: Choice | None = None
    troubles: list[str] = []
    if stock is not None:
        read = read_stock(_octets(stock), stock, circuit)
        troubles = [trouble.told(stock) for trouble in read.troubles]
        if read.parts:
            choice = api.choose_parts(circuit, found, read)
    text = telling_parts.told(found) if choice is None else telling_parts.told_choice(found, choice)
    if troubles:
        text = "\n".join([*troubles, _left_out(len(troubles), stock or "", choice is None), "", text])
    if outs["xlsx"]:
        place = target(file, outs["xlsx"], "-parts.xlsx")
        write_spreadsheet(place, _pages(found, choice))
        text += f"\nThe spreadsheet is {place}."
    if outs["out"]:
        drawings = api.parts_pages(circuit, found, choice, paper=outs["paper"] or "A4", from_file=Path(file.name).name)
        place = target(file, outs["out"], f"-parts{PDF}")
        write(place, api.pdf(drawings))
        text += f"\n{len(drawings)} page{'s' * (len(drawings) != 1)} in {place}"
    code = Code.FOUND if troubles or (choice is not None and not choice.whole) else Code.FINE
    values = {"file": file.name, **telling_parts.as_json(found, choice), "troubles": troubles}
    return Answer(code, text, values)


def _left_out(count: int, stock: str, nothing: bool) -> str:
    if nothing:
        return f"Nothing of {stock} could be read, so nothing is chosen from it; this is the list of parts alone."
    some, were = ("1 part", "was") if count == 1 else (f"{count} parts", "were")
    return f"{some} of {stock} could not be read and {were} left out."


def _pages(found: PartsList, choice: Choice | None) -> list[Page]:
    from ..sizing import telling_parts

    heads = telling_parts.HEADS if choice is None else telling_parts.CHOSEN_HEADS
    pages = [Page("Parts", heads, telling_parts.rows(found, choice), fixed=3)]
    if choice is not None and choice.bought:
        rows = [(b.part.name, b.part.part, b.pieces, b.from_hand, b.packs, b.price) for b in choice.bought]
        pages.append(Page("To buy", ("name", "part", "pieces", "at hand", "packs", "price"), rows))
    return pages


def _octets(name: str) -> bytes:
    """The stock list. Raises: CouldNot."""
    try:
        return Path(name).read_bytes()
    except OSError as reason:
        mend = "look at its name, or make one that begins with the line name,part,price,pack,have"
        raise CouldNot(f"the stock list {name} cannot be read: {reason.strerror}; {mend}.") from reason
