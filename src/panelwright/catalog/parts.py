"""The parts a kind may be made of; one function for each `part` that a data file can name."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt
from typing import cast

from ..circuit import Contact, Diode, Fuse, Link, Load, Motor, Part
from . import troubles
from .making import Making, Rating
from .marks import Block, contacts, number, on_base
from .shapes import SHAPES
from .selectors import blocks
from .shelf import PartRow
from .supplies import primary, source

Maker = Callable[[Making, PartRow], list[Part]]
TYPICAL_V = 24.0  # stands in for a rating that is not said (and reported), so that nothing divides by zero


def contact_blocks(making: Making, part: PartRow) -> list[Part]:
    """The contacts that the line names, else those that the kind has anyway."""
    blocks = _blocks(making)
    if not blocks:
        return []
    base = making.base
    marks = None
    if base is not None:
        marks = on_base(blocks, base)
        if marks is None:
            making.tell(troubles.base_too_small(making.tag, base.name, len(base.contacts), making.said["base"].span))
    if marks is None:
        marks = number(blocks, making.numbering(making.kind.numbering or "plain"))
    found = _well_formed(making, blocks, marks)
    return list(contacts(*found, making.figure("contact_ohms")))


def _blocks(making: Making) -> list[Block]:
    """Contacts said; on a timer those not called instantaneous are timed."""
    said = making.said.get("contacts")
    blocks = list(said.blocks) if said else [*_own_blocks(making)]
    if making.kind.numbering == "timer":
        return [Block(b.form, "timed" if b.timing == "plain" else b.timing, b.marks) for b in blocks]
    if said and any(block.timing != "plain" for block in blocks):
        making.tell(troubles.not_timed(making.kind.name, said.text, said.span))
        return [Block(block.form, "plain", block.marks) for block in blocks]
    return blocks


def _own_blocks(making: Making) -> list[Block]:
    from .facts import Scanner, split_words
    from .lines import DeviceLine, Word

    text = making.kind.contacts
    if not text:
        return []
    words = split_words(tuple(Word(word, 1 + at, len(word)) for at, word in enumerate(text.split())))
    scanner = Scanner(DeviceLine("", ()), making.kind, making.scanner.shelf, words)
    found = SHAPES["contacts"](scanner, making.scanner.shelf.facts["contacts"], 0)
    return list(found.blocks) if found else []


def _well_formed(making: Making, blocks: list[Block], marks: list[str]) -> tuple[list[Block], list[str]]:
    """Leave out contacts whose written marks do not fit their form or are there twice."""
    kept_blocks, kept_marks, used = [], [], set[str]()
    for block, text in zip(blocks, marks, strict=True):
        ends = text.split("-")
        wanted = 3 if block.form == "co" else 2
        if len(ends) != wanted or len(set(ends)) != wanted or used & set(ends):
            said = making.said["contacts"]
            making.tell(troubles.wrong_marks(making.tag, text, block.form.upper(), wanted, said.span))
            continue
        used |= set(ends)
        kept_blocks.append(block)
        kept_marks.append(text)
    return kept_blocks, kept_marks


def main_poles(making: Making, part: PartRow) -> list[Part]:
    """Make contacts for the load current, one for each pole."""
    ohms = making.figure("pole_ohms")
    return [Contact(f"{a}-{b}", a, b, "no", main=True, ohms=ohms) for a, b in making.marks_of(part)]


def coil(making: Making, part: PartRow) -> list[Part]:
    """A coil; on a base it takes the coil pins of the base."""
    rating = making.rating(part.rated or "coil")
    a, b = making.marks_of(part)[0]
    if making.base is not None and part.name in ("coil", "set"):
        a, b = making.base.coil.split("-")
    load = _coil_load(making, part, rating, a, b)
    return [load, *_suppressor(making, load)]


def _coil_load(making: Making, part: PartRow, rating: Rating, a: str, b: str) -> Load:
    volts = rating.volts or TYPICAL_V
    alternating = rating.current == "ac"
    if alternating:
        impedance = volts**2 / (making.figure("sealed_va", part) or 1.0)
        ohms = impedance * making.figure("sealed_pf", part)
        reactance = sqrt(max(impedance**2 - ohms**2, 0.0))
        inrush = making.figure("inrush_va", part)
    else:
        ohms, reactance = volts**2 / (making.figure("coil_w", part) or 1.0), 0.0
        inrush = making.figure("inrush_w", part) or making.figure("coil_w", part)
    if (said := making.quantity("coil ohms")) is not None and said.value > 0:
        ohms = said.value
    works = making.figure("works_ac" if alternating else "works_dc", part) * rating.volts
    rests = making.figure("rests_ac" if alternating else "rests_dc", part) * rating.volts
    return Load(
        part.name, a, b, "coil", rating.volts, rating.current, ohms, reactance, rating.hertz if alternating else 0.0,
        works, rests, inrush, drives=cast(object, part.drives or "coil"),  # type: ignore[arg-type]
    )  # fmt: skip


def _suppressor(making: Making, load: Load) -> list[Part]:
    said = making.said.get("suppressor")
    if said is None:
        return []
    row = making.scanner.shelf.suppressors[said.names[0]]
    if row.current != "either" and load.current not in (row.current, "either"):
        making.tell(troubles.wrong_suppressor(making.tag, row.name, row.current, said.span))
        return []
    name = "diode" if load.name == "coil" else f"diode {load.name}"
    return [Diode(name, load.b, load.a)] if row.diode else []


def plain_load(making: Making, part: PartRow) -> list[Part]:
    """A lamp, horn, solenoid, heater, sensor supply: takes its rated watts at its rated volts."""
    rating = making.rating(part.rated or "volts")
    pairs = making.marks_of(part)
    return [
        _one_load(making, part, rating, f"{part.name}{at}" if len(pairs) > 1 else part.name, a, b)
        for at, (a, b) in enumerate(pairs, start=1)
    ]


def _one_load(making: Making, part: PartRow, rating: Rating, name: str, a: str, b: str) -> Load:
    volts = rating.volts or TYPICAL_V
    watts = making.value("watts") or making.figure("watts", part)
    amps = making.value("load amps") or making.figure("amps", part)
    ohms = volts / amps if amps and not watts else volts**2 / (watts or 1.0)
    power_factor = making.figure("pf", part) or 1.0
    reactance = 0.0
    if rating.current == "ac" and power_factor < 1.0:
        impedance = ohms * power_factor
        ohms, reactance = impedance * power_factor, impedance * sqrt(1 - power_factor**2)
    return Load(
        name, a, b, cast(object, part.sort), rating.volts, rating.current, ohms, reactance,  # type: ignore[arg-type]
        rating.hertz if rating.current == "ac" else 0.0,
        making.figure("works", part) * rating.volts, making.figure("rests", part) * rating.volts,
        making.figure("inrush_va", part),
        polarised=rating.current == "dc" and making.figure("polarised_on_dc", part) > 0,
        drives=cast(object, part.drives),  # type: ignore[arg-type]
    )  # fmt: skip


def resistor(making: Making, part: PartRow) -> list[Part]:
    """A resistance of the ohms said, one for each pole."""
    ohms = making.value("ohms") or 1.0
    pairs = making.marks_of(part)
    volts = sqrt(making.value("watts") * ohms)
    names = [f"pole{at}" for at in range(1, len(pairs) + 1)] if len(pairs) > 1 else [part.name]
    return [
        Load(name, a, b, "resistor", volts, "either", ohms) for name, (a, b) in zip(names, pairs, strict=True)
    ]  # fmt: skip


def capacitor(making: Making, part: PartRow) -> list[Part]:
    """A capacitance, as its reactance at the frequency of the standard."""
    from math import pi

    farads = making.value("farads") or 1e-6
    hertz = 60.0 if making.north_american else 50.0
    a, b = making.marks_of(part)[0]
    volts = making.rating("volts").volts
    return [Load(part.name, a, b, "capacitor", volts, "either", 0.0, -1 / (2 * pi * hertz * farads), hertz)]


def diode(making: Making, part: PartRow) -> list[Part]:
    """A diode, anode first."""
    a, b = making.marks_of(part)[0]
    return [Diode(part.name, a, b, making.figure("drop_v"), making.value("amps") or making.figure("amps"))]


def fuse(making: Making, part: PartRow) -> list[Part]:
    """A fuse element or trip for each pole; `sort` "trip" can be switched on again."""
    pairs = making.marks_of(part)
    names = [f"pole{at}" for at in range(1, len(pairs) + 1)] if len(pairs) > 1 else [part.name]
    amps = making.value("amps")
    return [Fuse(name, a, b, amps, part.sort == "trip") for name, (a, b) in zip(names, pairs, strict=True)]


def link(making: Making, part: PartRow) -> list[Part]:
    """Two marks joined inside: a heater for each pole, a jumper."""
    pairs = making.marks_of(part)
    names = [f"pole{at}" for at in range(1, len(pairs) + 1)] if len(pairs) > 1 else [part.name]
    return [Link(name, a, b, making.figure("link_ohms", part)) for name, (a, b) in zip(names, pairs, strict=True)]


def strip(making: Making, part: PartRow) -> list[Part]:
    """Terminals 1 to n, each a single point that a wire may pass: no parts, only marks."""
    return []


def motor(making: Making, part: PartRow) -> list[Part]:
    """The windings of a motor."""
    leads = part.na if making.north_american and part.na else part.marks
    volts = making.value("volts") or 400.0
    watts, amps = making.value("watts"), making.value("amps")
    return [Motor(part.name, tuple(leads), part.phases, volts, amps, watts)]


PARTS: dict[str, Maker] = {
    "contacts": contact_blocks, "poles": main_poles, "coil": coil, "load": plain_load, "resistor": resistor,
    "capacitor": capacitor, "diode": diode, "fuse": fuse, "link": link, "strip": strip, "motor": motor,
    "source": source, "primary": primary, "positions": blocks,
}  # fmt: skip
