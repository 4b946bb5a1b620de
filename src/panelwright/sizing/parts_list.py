"""The parts list: what has to be bought for a panel, in generic words with the ratings that a buyer needs.

A description is written as a line of a panel file without its tag ("relay 2 CO coil 24 V dc"), so that a stock list
can be written in the same words.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache

from ..circuit import Cable, Contact, Device, Fuse
from ..wiring import Wire, Wiring
from ..wiring.strips import is_strip
from ..wiring.whereabouts import Whereabouts
from .answers import SizingSheet, amount
from .contacts import QUESTION as CONTACTS
from .controllers import CONTACTOR
from .service import services_of, told
from .tables import TableRow, rows_of

SOURCES = ("mains", "split-phase mains", "generator")  # the house has them
SET_UP = (  # facts that are set, wired or said for sizing, not bought
    "rails", "earthed at", "floating", "starts at", "returns to", "closed at", "set", "delay", "second delay",
    "pulls in", "drops out", "travels", "coil resistance", "inrush", "sealed", "fault current", "heat",
    "off at the start", "wired-from-behind", "terminals", "leaks", "drops", "least load",
)  # fmt: skip
ASKED = {CONTACTS: "contacts {}", CONTACTOR: "for its motor {}"}
CAUTIONS = (
    "Generic descriptions: the data sheet of what is bought, the listing or mark of conformity that the place asks "
    "for, and the responsible licensed person decide.",
    "Accessories that a maker asks for (end plates, rails, jumpers, legends) are not counted.",
)


class SpareRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Spares of one sort of part."""

    part: str
    share: float
    least: int


@dataclass(frozen=True, slots=True)
class PartLine:
    """Parts that are alike. `description`: as a stock list would have it; `asked`: what the panel further asks of them.

    `quantity` and `spares` in pieces; `tags`: devices, cables or wires they are for; `devices`: the devices themselves,
    none for accessories. `field`: goes outside the panel.
    """

    description: str
    quantity: int
    spares: int = 0
    asked: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    devices: tuple[Device, ...] = field(default=(), compare=False)
    in_field: bool = False

    @property
    def pieces(self) -> int:
        """How many to have."""
        return self.quantity + self.spares


@dataclass(frozen=True, slots=True)
class PartsList:
    """What a panel is made of, devices first, then what goes with them, then cables and wires."""

    title: str
    lines: tuple[PartLine, ...]
    cautions: tuple[str, ...] = CAUTIONS


def parts_of(wiring: Wiring, sheet: SizingSheet, *, spares: bool = True) -> PartsList:
    """The parts list of a panel. `sheet`: its sizing, for the ratings that the circuit asks for."""
    lines = [*_devices(wiring, sheet), *_accessories(wiring), *_cables(wiring), *_wires(wiring)]
    if spares:
        lines = [_with_spares(line) for line in lines]
    return PartsList(wiring.circuit.heading.title, tuple(lines))


def description_of(device: Device) -> str:
    """A device as a line without its tag: its kind and the facts that are bought, in their order."""
    return " ".join([device.kind, *(fact.text for fact in device.facts if fact.name not in SET_UP)])


# ---- devices
def _devices(wiring: Wiring, sheet: SizingSheet) -> Iterator[PartLine]:
    groups: dict[tuple[str, bool], list[Device]] = defaultdict(list)
    services = services_of(wiring.circuit)
    for device in wiring.circuit.devices:
        if device.kind not in SOURCES and not is_strip(device) and device.kind != "fuse":
            groups[description_of(device), _in_field(wiring, device)].append(device)
    for (description, in_field), devices in groups.items():
        settings = (words for one in devices for words in _asked(one))
        asked = dict.fromkeys([*told(devices, services), *_hardest(devices, sheet), *settings])
        tags = tuple(device.tag for device in devices)
        yield PartLine(description, len(devices), 0, tuple(asked), tags, tuple(devices), in_field)


def _in_field(wiring: Wiring, device: Device) -> bool:
    """Whether a device stands outside the enclosure: not on a place with a strip, a door or a rail."""
    circuit = wiring.circuit
    panel = {d.place for d in circuit.devices if is_strip(d)} | {m.place for m in circuit.mounts} | {"door", "plate"}
    panel |= {place.name for place in circuit.places if place.hinged}
    return bool(device.place) and device.place not in panel


def _hardest(devices: Iterable[Device], sheet: SizingSheet) -> Iterator[str]:
    """What sizing asks of devices that are bought alike: the most of each question."""
    for question, words in ASKED.items():
        answers = [answer for device in devices for answer in sheet.about(device.tag, question) if answer.answered]
        if answers:
            yield words.format(max(answers, key=lambda answer: answer.value or 0.0).choice)


def _asked(device: Device) -> Iterator[str]:
    """What its settings and its blocks ask."""
    for fact in device.facts:
        if fact.name in ("set", "delay"):
            yield f"to be set to {fact.text.removeprefix('set ')}"
    if device.grows:
        blocks = [_closed_at(part) for part in device.parts if isinstance(part, Contact) and part.form == "at"]
        if blocks:
            plural = "s" * (len(blocks) != 1)
            yield f"{len(blocks)} contact block{plural}: {'; '.join(blocks)}"


def _closed_at(contact: Contact) -> str:
    return f"closed at {' and '.join(sorted(contact.positions))}"


# ---- what goes with them
def _accessories(wiring: Wiring) -> Iterator[PartLine]:
    counts: dict[str, list[str]] = defaultdict(list)
    for device in wiring.circuit.devices:
        if device.base is not None:
            counts[f"base {device.base.name}"].append(device.tag)
        if device.kind == "fuse":
            poles = [part for part in device.parts if isinstance(part, Fuse)]
            counts[f"fuse holder {len(poles)} pole{'s' * (len(poles) != 1)}"].append(device.tag)
            words = [fact.text for fact in device.facts if fact.name not in ("poles", *SET_UP)]
            counts[" ".join(["fuse link", *words])] += [device.tag] * len(poles)
        if is_strip(device):
            for description, number in _terminals(wiring, device):
                counts[description] += [device.tag] * number
    services = services_of(wiring.circuit)
    for description, tags in sorted(counts.items()):
        used = tuple(dict.fromkeys(tags))
        fuses = [wiring.circuit.by_tag[tag] for tag in used if description.startswith("fuse ")]
        asked = tuple(told(fuses, services, breaks=description.startswith("fuse link")))
        yield PartLine(description, len(tags), asked=asked, tags=used)


def _terminals(wiring: Wiring, strip: Device) -> Iterator[tuple[str, int]]:
    """The terminals of a strip by what lands on them: protective ones apart, for the largest size on the strip."""
    protective = {t for net in wiring.nets if net.protective for t in net.terminals}
    sizes = [w.size for w in wiring.wires if w.size and any(end.split(".")[0] == strip.tag for end in w.ends)]
    largest = max(sizes, key=lambda size: size.value, default=None)
    words = f" {largest.text}" if largest else ""
    earths = sum(f"{strip.tag}.{mark}" in protective for mark in strip.terminals)
    yield f"terminal{words}", len(strip.terminals) - earths
    if earths:
        yield f"protective terminal{words}", earths


# ---- cables and wires
def _cables(wiring: Wiring) -> Iterator[PartLine]:
    groups: dict[str, list[Cable]] = defaultdict(list)
    for cable in wiring.circuit.cables:
        groups[f"cable {cable.cores}"].append(cable)
    for description, cables in groups.items():
        lengths = [f"{cable.tag} {cable.length.text if cable.length else 'length not said'}" for cable in cables]
        yield PartLine(description, len(cables), asked=tuple(lengths), tags=tuple(c.tag for c in cables), in_field=True)


def _wires(wiring: Wiring) -> Iterator[PartLine]:
    groups: dict[str, list[Wire]] = defaultdict(list)
    where = Whereabouts(wiring.circuit)
    for wire in wiring.wires:
        if not wire.cable:
            words = (wire.size.text if wire.size else "", wire.colour)
            groups[" ".join(filter(None, ("wire", *words)))].append(wire)
    for description, wires in groups.items():
        asked = [] if wires[0].size else ["size not said: write one under wires"]
        if wiring.circuit.mounts:
            ways = [where[one].way_m(where[other]) for one, other in (wire.ends for wire in wires)]
            asked.append(f"at least {amount(math.ceil(sum(ways)), 'm')} along rails and ducts")
        yield PartLine(description, len(wires), asked=tuple(asked), tags=tuple(dict.fromkeys(w.number for w in wires)))
    if wiring.wires:
        yield PartLine("wire marker", 2 * len(wiring.wires), asked=("both ends of every wire and core",))
    if wiring.circuit.heading.symbols == "IEC":
        yield from _ferrules(wiring.wires)


def _ferrules(wires: Iterable[Wire]) -> Iterator[PartLine]:
    ends: dict[str, int] = defaultdict(int)
    for wire in wires:
        if wire.size is not None:
            ends[wire.size.text] += 2
    for size, number in sorted(ends.items()):
        yield PartLine(f"ferrule {size}", number, asked=("where conductors are stranded",))


# ---- spares
def _with_spares(line: PartLine) -> PartLine:
    row = next((row for name, row in _spare_rows().items() if line.description.startswith(name)), None)
    if row is None or (line.in_field and not line.devices):
        return line
    number = max(row.least, math.ceil(line.quantity * row.share - 1e-9))
    return PartLine(line.description, line.quantity, number, line.asked, line.tags, line.devices, line.in_field)


@cache
def _spare_rows() -> dict[str, SpareRow]:
    return {row.part: row for row in rows_of("spares", SpareRow)}
