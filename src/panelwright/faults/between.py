"""What lies between whole and broken: joints, leakage, coupled volts, flutter, small supplies, jams, assumptions."""

from __future__ import annotations

from collections.abc import Iterator

from ..circuit import Fault
from .breaks import Lister
from .kinds import kinds
from .places import COIL_DEVICES, HAND, Places


def joints(at: Places) -> Iterator[Fault]:
    """A bad joint at every coil and lamp."""
    share = kinds()["joint"].value("of_load")
    for device, load, _ in at.loads:
        ohms = abs(complex(load.ohms, load.reactance_ohms)) * share
        if ohms and load.sort in ("coil", "solenoid", "lamp", "sounder"):
            yield Fault("resistance", f"{device.tag}.{load.a}", value=_two_figures(ohms))


def _two_figures(value: float) -> float:
    return float(f"{value:.2g}")


def leakages(at: Places) -> Iterator[Fault]:
    """Across every contact that stands in the plant."""
    for device, _, element in at.contacts:
        if _is_outside(at, device.tag):
            yield Fault("leakage", element, value=kinds()["leakage"].value("ohms"))


def capacitances(at: Places) -> Iterator[Fault]:
    """The same on ac."""
    if any(source.current == "ac" for _, source in at.sources):
        for device, _, element in at.contacts:
            if _is_outside(at, device.tag):
                yield Fault("capacitance", element, value=kinds()["capacitance"].value("farads"))


def _is_outside(at: Places, tag: str) -> bool:
    return at.circuit.by_tag[tag].mechanism.sort == "field"


def coupled(at: Places) -> Iterator[Fault]:
    """Every net that leaves by a cable, to the first line of an ac supply."""
    lines = [source.rails[0] for _, source in at.sources if source.current == "ac"]
    if not lines:
        return
    nets = {wire.net: wire for wire in at.wiring.wires if wire.cable}
    for net in at.wiring.nets:
        if net.id in nets and lines[0] not in net.rails and not at.is_earthed(net):
            yield Fault("coupled", at.name_of(net), lines[0], kinds()["coupled"].value("farads"))


def fluttering(at: Places) -> Iterator[Fault]:
    """Every contact in the plant."""
    for device, _, element in at.contacts:
        if device.mechanism.sort == "field":
            yield Fault("flutters", element)


def loose(at: Places) -> Iterator[Fault]:
    """Every contact of the control circuit."""
    for _, contact, element in at.contacts:
        if not contact.main:
            yield Fault("loose", element)


def supplies_small(at: Places) -> Iterator[Fault]:
    """Supplies that say how much they give."""
    share = kinds()["supply-small"].value("of_rated_amps")
    for device, source in at.sources:
        amps = source.amps or (source.va / source.volts if source.volts else 0.0)
        if amps:
            yield Fault("weak supply", device.tag, value=_two_figures(amps * share))


def hums(at: Places) -> Iterator[Fault]:
    """Coils on ac."""
    for device, load, _ in at.loads:
        if load.drives and load.current == "ac":
            yield Fault("hums", device.tag)


def jams(at: Places) -> Iterator[Fault]:
    """Everything that a coil moves, and selectors."""
    for device in at.devices(*COIL_DEVICES, "selector", "spring selector"):
        if device.contacts:
            yield Fault("jams", device.tag)


def springs(at: Places) -> Iterator[Fault]:
    """Everything that a spring brings back."""
    for device in at.devices("relay", *HAND):
        if device.contacts:
            yield Fault("spring broken", device.tag)


def assumptions(at: Places) -> Iterator[Fault]:
    """Every assumption of the file, by its number."""
    for number in range(1, len(at.circuit.assumptions) + 1):
        yield Fault("assumption broken", str(number))


BETWEEN: dict[str, Lister] = {
    "joint": joints,
    "leakage": leakages,
    "capacitance": capacitances,
    "coupled": coupled,
    "flutters": fluttering,
    "loose": loose,
    "supply-small": supplies_small,
    "hums": hums,
    "jams": jams,
    "spring": springs,
    "assumption": assumptions,
}
