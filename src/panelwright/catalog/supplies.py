"""Supplies: sources, the rails they stand on, and the primary they may live from."""

from __future__ import annotations

from typing import Literal

from ..circuit import Link, Load, Part, Source
from . import troubles
from .making import STANDS_IN_V, Making
from .shelf import PartRow, WindingRow

Earthing = Literal["earthed", "floating", "unsaid"]
EARTH = "PE"
TYPICAL_PRIMARY_VA = 100.0  # for a supply whose power is not said


def source(making: Making, part: PartRow) -> list[Part]:
    """The source of a supply. Without rails (reported elsewhere) there is none."""
    said = making.said.get("rails")
    if said is None:
        return []
    rails = _distinct(making, said.names)
    current: Literal["ac", "dc"] = "dc" if part.sort == "dc" else "ac"
    if part.sort == "either" and making.rating("volts").current == "dc":
        current = "dc"
    terminals = _terminals(making, part, current, rails)
    if terminals is None:
        return []
    wrong = making.rating("volts").current
    if "volts" in making.said and part.sort in ("ac", "dc") and wrong not in ("either", part.sort):
        making.tell(troubles.wrong_current(making.tag, making.kind.name, part.sort, making.said["volts"].span))
    volts, hertz = _volts(making, current)
    amps, va = making.value("amps"), making.value("va")
    earthed_at, earthing = _earthing(making, rails)
    lines = sum(rail != EARTH for rail in rails)
    phases = 3 if lines >= 3 and current == "ac" else 1
    gives = amps or va / volts
    ohms = round(making.figure("regulation") * volts / gives, 6) if gives else 0.0
    return [
        Source(part.name, terminals, rails, current, volts, hertz, phases, amps, va, ohms, earthed_at, earthing)
    ]  # fmt: skip


def primary(making: Making, part: PartRow) -> list[Part]:
    """The winding or input that a supply lives from, and the links to place there.

    Used only when the file names it. It takes the full rated power, whatever the secondary is loaded with.
    """
    volts = _primary_volts(making)
    va = making.value("va") or making.value("volts") * making.value("amps") / (making.figure("efficiency") or 1.0)
    va = va or TYPICAL_PRIMARY_VA
    winding = _winding(making, part, volts)
    a, b = winding.marks.split("-") if winding else making.marks_of(part)[0]
    direct = making.rating("primary").current == "dc"
    load = Load(
        part.name, a, b, "primary", volts, "dc" if direct else "ac", round(volts**2 / va, 4), 0.0,
        0.0 if direct else making.rating("volts").hertz or making.mains_hertz,
        round(making.figure("primary_works") * volts, 4), round(making.figure("primary_rests") * volts, 4),
        making.figure("inrush_times") * va,
    )  # fmt: skip
    ends = [marks.partition("-") for marks in (winding.links if winding else ())]
    return [load, *(Link(f"link-{first}-{second}", first, second) for first, _, second in ends)]


def _primary_volts(making: Making) -> float:
    ratio = making.said.get("ratio")
    if ratio is not None and ratio.quantity is not None and ratio.quantity.value > 0:
        return ratio.quantity.value
    if "primary" in making.said:
        return making.rating("primary").volts
    return making.figure("primary_na_v" if making.north_american else "primary_v") or STANDS_IN_V


def _winding(making: Making, part: PartRow, volts: float) -> WindingRow | None:
    """The row of the catalogue that says how the coils of this primary are linked for these volts."""
    name = making.written(part)
    rows = [row for row in making.scanner.shelf.windings if row.name == name]
    fitting = [row for row in rows if volts in row.volts] or [row for row in rows if not row.volts]
    return fitting[0] if fitting else None


def _volts(making: Making, current: str) -> tuple[float, float]:
    """Volts and hertz of the source: the second of a pair, else the rating."""
    rating, ratio = making.rating("volts"), making.said.get("ratio")
    hertz = 0.0 if current == "dc" else rating.hertz or making.mains_hertz
    if ratio is not None and ratio.other is not None and ratio.other.value > 0:
        return ratio.other.value, hertz
    return rating.volts, hertz


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
        marks = list(making.written(part))
    elif set(lines) <= {"L", "L1", "L2", "L3", "N"}:
        marks = lines  # rails called as the terminals usually are keep their names
    else:
        marks = ["L", "N"] if len(lines) == 2 else ["L1", "L2", "L3", "N"][: len(lines)]
    given = iter(marks)
    return tuple(EARTH if rail == EARTH else next(given) for rail in rails)


def _earthing(making: Making, rails: tuple[str, ...]) -> tuple[str, Earthing]:
    said, floating = making.said.get("earthed at"), making.said.get("floating")
    if said is not None and floating is not None:
        making.tell(troubles.said_twice("earthing", f"`{said.text}`", "`floating`", floating.span, said.span))
    if said is None:
        return "", "floating" if floating is not None else "unsaid"
    if said.names[0] not in rails:
        near = troubles.nearest(said.names[0], rails, 0.3)
        making.tell(troubles.not_its_rail(making.tag, said.names[0], rails, near, said.span))
        return "", "unsaid"
    return said.names[0], "earthed"
