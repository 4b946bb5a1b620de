"""The parts a kind may be made of; one function for each `part` that a data file can name."""

from __future__ import annotations

from collections.abc import Callable
from math import pi, sqrt
from typing import Literal, cast

from ..circuit import Contact, Diode, Fuse, Link, Load, Motor, Part
from . import troubles
from .blocks import contact_blocks
from .making import Making, Rating
from .selectors import switched_blocks
from .shelf import PartRow
from .supplies import primary, source, split_source

Maker = Callable[[Making, PartRow], list[Part]]
Sort = Literal["coil", "lamp", "sounder", "solenoid", "resistor", "primary", "sensor", "capacitor"]
Drives = Literal["", "coil", "set", "reset", "pulse"]
STANDS_IN_A = 6.0  # for amps that are not said; the line is reported


def one_contact(making: Making, part: PartRow) -> list[Part]:
    """A contact that every device of the kind has, marks and all."""
    a, b = making.marks_of(part)[0]
    return [Contact(part.name or f"{a}-{b}", a, b, part.form, part.timing, ohms=_drop_ohms(making, part))]


def _drop_ohms(making: Making, part: PartRow) -> float:
    """A sensor's output drops some volts at its rated current."""
    drop_v = making.value("drops", "output_drop_v")
    amps = making.value("amps", "output_a")
    return drop_v / amps if drop_v and amps else making.figure("contact_ohms", part)


def main_poles(making: Making, part: PartRow) -> list[Part]:
    """Make contacts for the load current, one for each pole."""
    ohms = making.figure("pole_ohms")
    return [Contact(f"{a}-{b}", a, b, "no", main=True, ohms=ohms) for a, b in making.marks_of(part)]


def coil(making: Making, part: PartRow) -> list[Part]:
    """A coil; on a base it takes the coil pins of the base. A suppressor stands across every coil."""
    a, b = making.marks_of(part)[0]
    if making.base is not None and part.name in ("coil", "set"):
        a, b = making.base.coil.split("-")
    first = not any(row.part == "coil" for row in making.kind.parts[: making.kind.parts.index(part)])
    fact = part.rated or "coil"
    load = _coil_load(making, part, making.sure_rating(fact) if first else making.rating(fact), a, b)
    return [load, *_suppressor(making, load, first)]


def _coil_load(making: Making, part: PartRow, rating: Rating, a: str, b: str) -> Load:
    reactance, tuned = 0.0, "dc"
    if rating.current == "ac":
        tuned = "ac"
        impedance = rating.volts**2 / (_coil_value(making, part, "sealed", "sealed_va") or 1.0)
        ohms = impedance * making.figure("sealed_pf", part)
        reactance = sqrt(max(impedance**2 - ohms**2, 0.0))
        inrush_va = _coil_value(making, part, "inrush", "inrush_va")
    else:
        watts = _coil_value(making, part, "sealed", "coil_w")
        ohms = rating.volts**2 / (watts or 1.0)
        inrush_va = _coil_value(making, part, "inrush", "inrush_w") or watts
    ohms = making.value("coil resistance") or ohms
    works = making.figure(f"works_{tuned}", part) * rating.volts
    rests = making.figure(f"rests_{tuned}", part) * rating.volts
    return Load(
        part.name, a, b, "coil", rating.volts, rating.current, round(ohms, 4), round(reactance, 4), rating.hertz,
        round(works, 4), round(rests, 4), inrush_va, drives=cast(Drives, part.drives),
    )  # fmt: skip


def _coil_value(making: Making, part: PartRow, fact: str, figure: str) -> float:
    """What the line says of its coil, else the figure; a coil of another nature (a start input) has its own figure."""
    return making.figure(figure, part) if part.figures else making.value(fact, figure)


def _suppressor(making: Making, load: Load, first: bool) -> list[Part]:
    said = making.said.get("suppressor")
    if said is None:
        return []
    row = making.scanner.shelf.suppressors[said.names[0]]
    if row.current != "either" and load.current not in (row.current, "either"):
        if first:
            making.tell(troubles.wrong_suppressor(making.tag, row.name, row.current, said.span))
        return []
    name = "diode" if load.name == "coil" else f"diode-{load.name}"
    return [Diode(name, load.b, load.a)] if row.diode else []


def plain_load(making: Making, part: PartRow) -> list[Part]:
    """A lamp, horn, solenoid, sensor supply: takes its watts at its rated volts, or its amps."""
    rating = making.sure_rating(part.rated or "volts")
    a, b = making.marks_of(part)[0]
    ohms = _load_ohms(making, part, rating.volts)
    reactance = 0.0
    power_factor = making.figure("pf", part) or 1.0
    if rating.current == "ac" and power_factor < 1.0:
        impedance = ohms * power_factor  # watts = volts squared x pf / impedance
        ohms, reactance = impedance * power_factor, impedance * sqrt(1 - power_factor**2)
    taken_va = rating.volts**2 / abs(complex(ohms, reactance))
    surge = (
        making.figure("inrush_times", part) if rating.current == "ac" else 0.0
    )  # only ac magnets take more when open
    inrush_va = making.value("inrush") or surge * taken_va
    load = Load(
        part.name, a, b, cast(Sort, part.sort), rating.volts, rating.current, round(ohms, 4), round(reactance, 4),
        rating.hertz, round(making.figure("works", part) * rating.volts, 4),
        round(making.figure("rests", part) * rating.volts, 4), round(inrush_va, 4),
        polarised=rating.current == "dc" and making.figure("polarised_on_dc", part) > 0,
        drives=cast(Drives, part.drives),
    )  # fmt: skip
    return [load, *(_suppressor(making, load, True) if part.sort in ("solenoid", "sounder") else [])]


def _load_ohms(making: Making, part: PartRow, volts: float) -> float:
    """From the watts or amps said, else from the amps or watts of the figures."""
    own = part.rated in ("", "volts")  # the watts of an illuminated button are not those of its lamp
    if own and (sealed := making.said.get("sealed")) and sealed.quantity is not None and sealed.quantity.value > 0:
        share = (making.figure("pf", part) or 1.0) if sealed.quantity.unit == "VA" else 1.0
        return volts**2 / (sealed.quantity.value * share)
    if own and making.value("watts") > 0:
        return volts**2 / making.value("watts")
    if own and making.value("amps") > 0:
        return volts / making.value("amps")
    if amps := making.figure("amps", part):
        return volts / amps
    return volts**2 / (making.figure("watts", part) or 1.0)


def leakage(making: Making, part: PartRow) -> list[Part]:
    """What a two-wire sensor lets through while it is open."""
    rating = making.rating("volts")
    amps = making.value("leaks", "leakage_a") or 1e-3
    a, b = making.marks_of(part)[0]
    ohms = rating.volts / amps
    return [Load(part.name, a, b, "sensor", rating.volts, rating.current, round(ohms, 4), hertz=rating.hertz)]


def resistor(making: Making, part: PartRow) -> list[Part]:
    """A resistance of the ohms said, one for each pole."""
    ohms = making.value("ohms") or 1.0
    pairs = making.marks_of(part)
    volts = round(sqrt(making.value("watts") * ohms), 4)
    return [
        Load(name, a, b, "resistor", volts, "either", ohms)
        for name, (a, b) in zip(making.names_of(part, pairs), pairs, strict=True)
    ]


def heater(making: Making, part: PartRow) -> list[Part]:
    """One element, or three that are made to stand in star: their volts are those between lines over root 3."""
    rating = making.sure_rating("volts")
    pairs = making.marks_of(part)
    watts = making.value("watts", "watts") or 100.0
    volts = rating.volts / sqrt(3) if len(pairs) == 3 else rating.volts
    ohms = volts**2 / (watts / len(pairs))
    return [
        Load(name, a, b, "resistor", round(volts, 4), rating.current, round(ohms, 4), hertz=rating.hertz)
        for name, (a, b) in zip(making.names_of(part, pairs), pairs, strict=True)
    ]


def reactor(making: Making, part: PartRow) -> list[Part]:
    """A starting reactance for each pole: lets through the amps said at the volts between lines."""
    volts = making.rating("volts").volts / sqrt(3)
    ohms = volts / (making.value("amps") or 1.0) * (making.figure("share") or 1.0)
    pairs = making.marks_of(part)
    return [
        Load(name, a, b, "resistor", round(volts, 4), "ac", 0.0, round(ohms, 4), making.mains_hertz)
        for name, (a, b) in zip(making.names_of(part, pairs), pairs, strict=True)
    ]


def capacitor(making: Making, part: PartRow) -> list[Part]:
    """A capacitance, as its reactance at the frequency of the standard."""
    farads = making.value("farads", "farads") or 1e-6
    a, b = making.marks_of(part)[0]
    reactance = -1 / (2 * pi * making.mains_hertz * farads)
    volts = making.rating("volts").volts if "volts" in making.said else 0.0
    ohms = making.figure("series_ohms", part)
    return [Load(part.name, a, b, "capacitor", volts, "either", ohms, round(reactance, 4), making.mains_hertz)]


def diode(making: Making, part: PartRow) -> list[Part]:
    """A diode, anode first."""
    a, b = making.marks_of(part)[0]
    return [Diode(part.name, a, b, making.figure("drop_v", part), making.value("amps") or making.figure("amps", part))]


def fuse(making: Making, part: PartRow) -> list[Part]:
    """A fuse element for each pole; `sort` "trip" can be switched on again."""
    pairs = making.marks_of(part)
    amps = making.value("amps") or STANDS_IN_A
    return [
        Fuse(name, a, b, amps, part.sort == "trip")
        for name, (a, b) in zip(making.names_of(part, pairs), pairs, strict=True)
    ]


def link(making: Making, part: PartRow) -> list[Part]:
    """Two marks joined inside: the heaters of an overload relay, a jumper."""
    pairs = making.marks_of(part)
    ohms = making.figure("link_ohms", part)
    return [Link(name, a, b, ohms) for name, (a, b) in zip(making.names_of(part, pairs), pairs, strict=True)]


def motor(making: Making, part: PartRow) -> list[Part]:
    """The windings of a motor. Amps that are not said are reckoned from the watts, for want of the plate."""
    volts = making.rating("volts").volts
    amps = making.value(part.rated or "amps") or making.value("amps")
    watts = making.value("watts")
    root = sqrt(3) if part.phases == 3 else 1.0
    amps = amps or watts / (root * volts * (making.figure("pf_times_efficiency", part) or 1.0)) or 1.0
    return [Motor(part.name, tuple(making.written(part)), part.phases, volts, amps, watts)]


PARTS: dict[str, Maker] = {
    "contacts": contact_blocks, "contact": one_contact, "positions": switched_blocks, "poles": main_poles,
    "coil": coil, "load": plain_load, "leakage": leakage, "resistor": resistor, "heater": heater,
    "reactor": reactor, "capacitor": capacitor, "diode": diode, "fuse": fuse, "link": link, "motor": motor,
    "source": source, "split source": split_source, "primary": primary,
}  # fmt: skip
