"""Printed marks of contacts and poles.

A contact gets its marks from the line if they are written there, else from the base, else from the numbering of its
kind: a layout for the whole set if the standard has one, else position by position.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from typing import Literal

from ..circuit import Contact
from .shelf import BaseRow, NumberingRow

Form = Literal["no", "nc", "co"]
Timing = Literal["plain", "timed", "instant"]


@dataclass(frozen=True, slots=True)
class Block:
    """One contact asked for. `marks`: as written ("13-14", "9-1-5"), "" if the catalogue is to choose."""

    form: Form
    timing: Timing = "plain"
    marks: str = ""


_FURTHEST = 99  # no device has more contacts


def layout_name(blocks: Sequence[Block]) -> str:
    """How layouts are looked up: "2 NO + 1 NC"."""
    counts = [(sum(block.form == form for block in blocks), form.upper()) for form in ("no", "nc", "co")]
    return " + ".join(f"{number} {form}" for number, form in counts if number)


def number(blocks: Sequence[Block], numbering: NumberingRow) -> list[str]:
    """Marks of each block, in order: "a-b", for a change-over "common-nc-no"."""
    written = any(block.marks for block in blocks)
    layout = numbering.layouts.get(layout_name(blocks))
    if layout and not written and all(block.timing != "timed" for block in blocks):
        return _by_layout(blocks, layout.split())
    chosen: list[str] = []
    used = {mark for block in blocks for mark in block.marks.split("-") if mark}
    position = 1
    for block in blocks:
        marks = block.marks
        while not marks:
            marks = "" if _place_taken(position, used) else _at(position, block, numbering)
            if position > _FURTHEST:  # a numbering with fixed marks, all of them written elsewhere in the line
                marks = "-".join(f"{position}{end}" for end in ("1", "2", "4")[: 3 if block.form == "co" else 2])
            marks = "" if used & set(marks.split("-")) else marks
            position += 1
        chosen.append(marks)
        used |= set(marks.split("-"))
    return chosen


def _place_taken(position: int, used: set[str]) -> bool:
    """Whether a mark written in the line already stands at this place (13 stands at place 1)."""
    return any(len(mark) > 1 and mark[:-1] == str(position) for mark in used)


def _by_layout(blocks: Sequence[Block], layout: list[str]) -> list[str]:
    """Hand the marks of a layout out by form; a layout lists make contacts first, then break, then change-over."""
    chosen = [""] * len(blocks)
    in_order = [at for form in ("no", "nc", "co") for at, block in enumerate(blocks) if block.form == form]
    for at, marks in zip(in_order, layout, strict=True):
        chosen[at] = marks
    return chosen


def _at(position: int, block: Block, numbering: NumberingRow) -> str:
    """The marks at a position; {n} is its number, {a} to {d} are four running numbers."""
    timed = block.timing == "timed"
    pattern = {
        "no": numbering.timed_no if timed else numbering.no,
        "nc": numbering.timed_nc if timed else numbering.nc,
        "co": numbering.timed_co if timed else numbering.co,
    }[block.form]
    four = 4 * position
    return pattern.format(n=position, a=four - 3, b=four - 2, c=four - 1, d=four)


def on_base(blocks: Sequence[Block], base: BaseRow) -> list[str] | None:
    """Marks of the blocks on the poles of a base, or None when it has too few poles."""
    poles = [pole for pole in base.contacts if not any(pole == block.marks for block in blocks)]
    chosen: list[str] = []
    for block in blocks:
        if block.marks:
            chosen.append(block.marks)
            continue
        if not poles:
            return None
        common, nc, no = poles.pop(0).split("-")
        chosen.append({"co": f"{common}-{nc}-{no}", "no": f"{common}-{no}", "nc": f"{common}-{nc}"}[block.form])
    return chosen


def contacts(blocks: Sequence[Block], marks: Sequence[str], ohms: float) -> list[Contact]:
    """The contacts. A change-over becomes two, make first, that share terminal `a`, the common."""
    found: list[Contact] = []
    groups = count(1)
    for block, text in zip(blocks, marks, strict=True):
        if block.form == "co":
            common, nc, no = text.split("-")
            group = next(groups)
            found.append(Contact(f"{common}-{no}", common, no, "no", block.timing, group, ohms=ohms))
            found.append(Contact(f"{common}-{nc}", common, nc, "nc", block.timing, group, ohms=ohms))
        else:
            a, b = text.split("-")
            found.append(Contact(f"{a}-{b}", a, b, block.form, block.timing, ohms=ohms))
    return found


def pole_marks(numbering: NumberingRow, poles: int) -> list[tuple[str, str]]:
    """Entering and leaving mark of each pole; beyond the printed ones the row is carried on."""
    printed = [tuple(marks.split("-")) for marks in numbering.poles]
    pairs = [(a, b) for a, b in printed]
    for at in range(len(pairs), poles):
        pairs.append((str(2 * at + 1), str(2 * at + 2)))
    return pairs[:poles]
