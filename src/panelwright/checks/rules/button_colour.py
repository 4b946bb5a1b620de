"""A button in a colour that means the opposite."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from ...catalog.tables import TableRow, read_table
from ...circuit import Device, Problem
from ..board import Board, is_stop

CODE = "PW332"
FILE = Path(__file__).parent.parent / "button_colours.csv"


class ColourRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Colours that a button may have for what it does, and those that it may not."""

    purpose: str
    words: str = ""
    right: str
    never: str


@cache
def colour_rows() -> tuple[ColourRow, ...]:
    """The colours by purpose, in the order in which they are looked at."""
    return read_table(FILE, ColourRow)


def find(board: Board) -> Iterator[Problem]:
    """Green stops, red starts and their like. Source: IEC 60204-1, 10.2.1 (colours of push-buttons)."""
    for device in board.circuit.devices:
        if device.mechanism.sort not in ("push", "latched push") or not device.colour:
            continue
        row = next((row for row in colour_rows() if _is_for(device, row)), None)
        if row is None or device.colour not in row.never.split():
            continue
        *others, last = row.right.split()
        article = "an" if device.colour[0] in "aeiou" else "a"
        yield Problem(
            CODE,
            f"{device.tag} is {article} {device.colour} {row.purpose}",
            "in a hurry people act by colour: red stops, green starts (IEC 60204-1, 10.2.1).",
            f"make it {', '.join(others)} or {last}." if others else f"make it {last}.",
            device.span,
            severity="warning",
            devices=(device.tag,),
        )


def _is_for(device: Device, row: ColourRow) -> bool:
    """Whether a button is there for what a row is about: by its kind, or by the words beside it."""
    if row.purpose == "emergency stop":
        return device.kind == row.purpose
    if row.purpose == "stop":
        return is_stop(device)
    return bool({*row.words.split()} & {*device.text.lower().split()})
