"""Commands for buying: parts."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import main, over, target
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
@json_option
def parts(files: tuple[str, ...], stock: str | None, spares: bool, xlsx: str | None, as_json: bool) -> None:
    """List the parts to buy, with their ratings; choose them from a stock list."""
    over(files, as_json, "Listing", lambda paper, circuit: _answer(paper, circuit, stock, spares, xlsx))


def _answer(paper: Paper, circuit: Circuit, stock: str | None, spares: bool, xlsx: str | None) -> Answer:
    from ..sizing import read_stock, telling_parts

    found = api.parts(circuit, spares=spares)
    choice: Choice | None = None
    troubles: list[str] = []
    if stock is not None:
        read = read_stock(_octets(stock), stock, circuit)
        troubles = [trouble.told(stock) for trouble in read.troubles]
        choice = api.choose_parts(circuit, found, read)
    text = telling_parts.told(found) if choice is None else telling_parts.told_choice(found, choice)
    if troubles:
        left_out = "1 part" if len(troubles) == 1 else f"{len(troubles)} parts"
        text = "\n".join([*troubles, f"{left_out} of {stock} could not be read and so left out.", "", text])
    if xlsx:
        place = target(paper, xlsx, "-parts.xlsx")
        write_spreadsheet(place, _pages(found, choice))
        text += f"\nThe spreadsheet is {place}."
    code = Code.FOUND if troubles or (choice is not None and not choice.whole) else Code.FINE
    values = {"file": paper.name, **telling_parts.as_json(found, choice), "troubles": troubles}
    return Answer(code, text, values)


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
        raise CouldNot(f"the stock list {name} cannot be read: {reason.strerror}.") from reason
