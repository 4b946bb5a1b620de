"""At which volts a switching or protective device works, and what a short circuit there can draw: what a buyer asks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import sqrt

from ..circuit import Circuit, Device, PathUse, Source, uses_in
from .answers import amount

PROTECTING = ("fuse", "breaker", "motor breaker")
SERVING = (*PROTECTING, "disconnect", "contactor", "latched contactor", "overload relay")


@dataclass(frozen=True, slots=True)
class Service:
    """Volts between the wires that a device is in, its kind of current, and the kA of a short circuit (0 not said)."""

    volts: float
    current: str
    fault_ka: float = 0.0

    @property
    def words(self) -> str:
        """ "400 V ac"."""
        return f"{amount(self.volts, 'V')} {self.current}"


def services_of(circuit: Circuit) -> dict[str, Service]:
    """The service of each switching or protective device: in the power circuit if it stands there, else in its rung."""
    found: dict[str, Service] = {}
    for rung in circuit.rungs:
        _note(circuit, rung.section, (use.device for use in uses_in(rung.body)), found)
    powered: dict[str, Service] = {}
    for path in circuit.power_paths:
        _note(circuit, path.section, (item.device for item in path.items if isinstance(item, PathUse)), powered)
    return found | powered


def _note(circuit: Circuit, section: Sequence[str], tags: Iterator[str], found: dict[str, Service]) -> None:
    service = _service(circuit, section)
    for tag in tags:
        device = circuit.by_tag.get(tag)
        if service is None or device is None or device.kind not in SERVING:
            continue
        if tag not in found or found[tag].volts < service.volts:
            found[tag] = service


def _service(circuit: Circuit, section: Sequence[str]) -> Service | None:
    """What the supply of those rails gives between them."""
    for device, source in circuit.supplies:
        if set(section) & set(source.rails):
            return Service(_volts(source, section), source.current, _fault_ka(device))
    return None


def _volts(source: Source, section: Sequence[str]) -> float:
    """Between lines; to the neutral of a three-phase supply the root of three less."""
    three = sum(rail not in ("N", "PE") for rail in source.rails) == len("UVW")
    return source.volts / sqrt(3) if three and "N" in section else source.volts


def _fault_ka(device: Device) -> float:
    said = (fact.quantity.value for fact in device.facts if fact.name == "fault current" and fact.quantity is not None)
    return max(said, default=0.0) / 1000


def told(devices: Sequence[Device], services: dict[str, Service], *, breaks: bool = True) -> Iterator[str]:
    """What is asked of devices that are bought alike: volts, apart where they differ; of protective ones the kA.

    `breaks`: whether it is the part that breaks a short circuit, and no holder for one.
    """
    by_words: dict[str, list[str]] = {}
    for device in devices:
        service = services.get(device.tag)
        if service is not None:
            by_words.setdefault(service.words, []).append(device.tag)
    if len(by_words) == 1:
        yield f"used at {next(iter(by_words))}"
    elif by_words:
        apart = (f"{words} ({', '.join(tags)})" for words, tags in by_words.items())
        yield f"used at {' and '.join(apart)}"
    faults = [services[d.tag].fault_ka for d in devices if breaks and d.tag in services and d.kind in PROTECTING]
    rated = any(fact.name == "short-circuit rating" for device in devices for fact in device.facts)
    if max(faults, default=0.0) and not rated:
        yield f"breaks {amount(max(faults), 'kA')} or more"
