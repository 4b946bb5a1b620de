"""Supplies: sources, the rails they stand on, and the primary they may live from."""

from __future__ import annotations

from typing import Literal

from ..circuit import Load, Part, Source
from . import troubles
from .making import Making
from .shelf import PartRow

Earthing = Literal["earthed", "floating", "unsaid"]
EARTH = "PE"


def source(making: Making, part: PartRow) -> list[Part]:
    """The source of a supply. Without rails (reported elsewhere) there is none."""
    said = making.said.get("rails")
    if said is None:
        return []
    rails = _distinct(making, said.names)
    current: Literal["ac", "dc"] = "dc" if part.sort == "dc" else "ac"
    rating = making.rating("volts")
    if part.sort == "either" and rating.current == "dc":
        current = "dc"
    terminals = _terminals(making, part, current, rails)
    if terminals is None:
        return []
    volts, hertz = _volts(making, current)
    amps, va = making.value("amps"), making.value("va")
    earthed_at, earthing = _earthing(making, rails)
    phases = 3 if sum(rail != EARTH for rail in rails) >= 3 and current == "ac" else 1
    give = amps or (va / volts if va and volts else 0.0)
    ohms = making.figure("regulation") * volts / give if give else 0.0
    return [
        Source(
            part.name, terminals, rails, current, volts, hertz, phases, amps, va, ohms, earthed_at, earthing
        )
    ]  # fmt: skip


def primary(making: Making, part: PartRow) -> list[Part]:
    """The winding or input that a supply lives from, used only when the file names it."""
    rating = making.rating("primary")
    ratio = making.said.get("ratio")
    if ratio is not None and ratio.quantity is not None:
        volts = ratio.quantity.value
    else:
        volts = rating.volts or (120.0 if making.north_american else 230.0)
    current = rating.current if rating.current == "dc" else "ac"
    va = making.value("va") or making.value("volts") * making.value("amps") / (making.figure("efficiency") or 1.0)
    impedance = volts**2 / va if va and volts else volts**2 / 100.0
    a, b = making.marks_of(part)[0]
    return [
        Load(
            part.name, a, b, "primary", volts, "either" if rating.current == "either" and ratio is None else current,
            impedance, 0.0, _hertz(making), making.figure("primary_works") * volts,
            making.figure("primary_rests") * volts, making.figure("inrush_times") * va,
        )
    ]  # fmt: skip


def _hertz(making: Making) -> float:
    return making.rating("volts").hertz or (60.0 if making.north_american else 50.0)


def _volts(making: Making, current: str) -> tuple[float, float]:
    """Volts and hertz of the source: the second of a pair, else the rating."""
    ratio = making.said.get("ratio")
    hertz = 0.0 if current == "dc" else _hertz(making)
    if ratio is not None and ratio.other is not None:
        return ratio.other.value, hertz
    return making.rating("volts").volts, hertz


def _distinct(making: Making, rails: tuple[str, ...]) -> tuple[str, ...]:
    kept = tuple(dict.fromkeys(rails))
    if len(kept) < len(rails):
        making.tell(troubles.rail_twice(making.tag, making.said["rails"].text, making.said["rails"].span))
    return kept


def _terminals(making: Making, part: PartRow, current: str, rails: tuple[str, ...]) -> tuple[str, ...] | None:
    """The marks that the rails stand on; None, reported, when their number does not fit."""
    lines = [rail for rail in rails if rail != EARTH]
    most = 2 if current == "dc" or part.marks else 4
    if not 2 <= len(lines) <= most:
        span = making.said["rails"].span
        making.tell(troubles.wrong_rails(making.tag, making.kind.name, len(lines), most, span))
        return None
    if current == "dc":
        marks = ["+", "-"]
    elif part.marks:
        written = part.na if making.north_american and part.na else part.marks
        marks = list(written)
    else:
        marks = ["L", "N"] if len(lines) == 2 else ["L1", "L2", "L3", "N"][: len(lines)]
        if set(lines) <= {"L", "L1", "L2", "L3", "N"}:
            marks = lines  # rails called as the terminals usually are keep their names
    given = iter(marks)
    return tuple(EARTH if rail == EARTH else next(given) for rail in rails)


def _earthing(making: Making, rails: tuple[str, ...]) -> tuple[str, Earthing]:
    said, floating = making.said.get("earthed at"), making.said.get("floating")
    if said is not None and floating is not None:
        making.tell(troubles.said_twice("earthing", f"`{said.text}`", "`floating`", floating.span, said.span))
    if said is not None:
        if said.names[0] not in rails:
            near = troubles.nearest(said.names[0], rails, 0.3)
            making.tell(troubles.not_its_rail(making.tag, said.names[0], rails, near, said.span))
            return "", "unsaid"
        return said.names[0], "earthed"
    return "", "floating" if floating is not None else "unsaid"
