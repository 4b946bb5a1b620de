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
    """The source of a supply. Without two rails (reported) there is none."""
    current: Literal["ac", "dc"] = "dc" if part.sort == "dc" else "ac"
    if part.sort == "either" and making.rating("volts").current == "dc":
        current = "dc"
    most = 2 if current == "dc" or part.marks else 4
    rails = _rails(making, most)
    if len(rails) < 2:
        return []
    said = making.rating("volts").current
    if "volts" in making.said and part.sort in ("ac", "dc") and said not in ("either", part.sort):
        making.tell(troubles.wrong_current(making.tag, making.kind.name, part.sort, making.said["volts"].span))
    volts, hertz = _volts(making, current)
    amps, va = making.value("amps"), making.value("va")
    earthed_at, earthing = _earthing(making, rails)
    gives = amps or va / volts
    ohms = round(making.figure("regulation") * volts / gives, 6) if gives else 0.0
    phases = 3 if len(_lines(rails)) >= 3 and current == "ac" else 1
    terminals = _terminals(making, part, current, rails)
    return [
        Source(part.name, terminals, rails, current, volts, hertz, phases, amps, va, ohms, earthed_at, earthing)
    ]  # fmt: skip


def split_source(making: Making, part: PartRow) -> list[Part]:
    """Two halves of one winding: from the first rail to the middle one, from there to the third."""
    rails = _rails(making, 3, 3)
    lines = _lines(rails)
    if len(lines) < 2:
        return []
    hertz = making.rating("volts").hertz or making.mains_hertz
    half = _half_volts(making)
    earthed_at, earthing = _earthing(making, rails)
    ends = (("L1", "N"), ("N", "L2"))
    return [
        Source(f"out{at}", ends[at - 1], (lines[at - 1], lines[at]), "ac", half, hertz, amps=making.value("amps"),
               earthed_at=earthed_at if earthed_at in lines[at - 1 : at + 1] else "", earthing=earthing)
        for at in range(1, len(lines))
    ]  # fmt: skip


def _half_volts(making: Making) -> float:
    """120 V of `120 V / 240 V`, whichever is written first."""
    ratio = making.said.get("ratio")
    if ratio is None or ratio.quantity is None or ratio.other is None:
        return STANDS_IN_V
    return min(ratio.quantity.value, ratio.other.value) or STANDS_IN_V


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


def _lines(rails: tuple[str, ...]) -> tuple[str, ...]:
    """The rails that carry current."""
    return tuple(rail for rail in rails if rail != EARTH)


def _rails(making: Making, most: int, least: int = 2) -> tuple[str, ...]:
    """The rails said, each once, no more than fit; N behind the phases. What does not fit is reported."""
    said = making.said.get("rails")
    if said is None:
        return ()
    rails = tuple(dict.fromkeys(said.names))
    if len(rails) < len(said.names):
        making.tell(troubles.rail_twice(making.tag, said.text, said.span))
    lines = _lines(rails)
    if not least <= len(lines) <= most:
        making.tell(troubles.wrong_rails(making.tag, making.kind.name, len(lines), least, most, said.span))
    elif most == 4 and len(lines) == 3 and "N" in lines:
        making.tell(troubles.two_phases(making.tag, said.text, said.span))
    lines = lines[:most]
    if most == 4 and len(lines) > 2:
        lines = (*(line for line in lines if line != "N"), *(line for line in lines if line == "N"))
    return (*lines, *(rail for rail in rails if rail == EARTH))


def _terminals(making: Making, part: PartRow, current: str, rails: tuple[str, ...]) -> tuple[str, ...]:
    """The marks that the rails stand on."""
    lines = _lines(rails)
    marks: tuple[str, ...]
    if current == "dc":
        marks = ("+", "-")
    elif part.marks:
        marks = tuple(making.written(part))
    elif set(lines) <= {"L", "L1", "L2", "L3", "N"}:
        marks = lines  # rails called as the terminals usually are keep their names
    else:
        marks = ("L", "N") if len(lines) == 2 else ("L1", "L2", "L3", "N")
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
