"""What may be wrong, as a search sees it: every single fault and wiring mistake, with how likely it is beforehand."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from ..behaviour import fault_words
from ..circuit import Circuit, Device, Fault, Fuse, Motor, Part, Source, net_of
from ..faults import CircuitFault, fault_list
from ..wiring import Wiring
from .places import part_words, wire_number

INDOORS = ("door", "plate")


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong. `faults` is what it changes; () for nothing.

    `id` stays the same while the circuit does. `kind`: row of `causes.toml`. `used`, `new`: weight before anything is
    known, in a panel that worked and in a new one. `tags`, `ends`: devices and terminals that it is about; `wrong_at`:
    those of the devices that have a lead wrong, where they are not all.
    """

    id: str
    kind: str
    words: str
    mend: str
    faults: tuple[Fault, ...]
    used: float
    new: float
    is_miswire: bool = False
    is_outside: bool = False
    tags: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    wrong_at: tuple[str, ...] = ()


@cache
def table() -> dict[str, Any]:
    """`causes.toml`."""
    found: dict[str, Any] = tomllib.loads(files(__package__).joinpath("causes.toml").read_text(encoding="utf-8"))
    return found


def causes_of(wiring: Wiring) -> tuple[Cause, ...]:
    """Every single cause, in the order of the fault list, own ones last; no two with one id. Kept on the circuit."""
    kept: tuple[Cause, ...] | None = wiring.circuit.__dict__.get("_causes")
    if kept is None:
        found = _Lister(wiring).all()
        kept = tuple({cause.id: cause for cause in found}.values())
        wiring.circuit.__dict__["_causes"] = kept  # a circuit never changes, so it may carry its causes along
    return kept


class _Lister:
    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit: Circuit = wiring.circuit
        self.net_at = net_of(wiring.circuit)
        self.wires_at = Counter(end for wire in wiring.wires for end in wire.ends)

    def all(self) -> Iterator[Cause]:
        yield self.cause("own-nothing", "nothing", ())
        for listed in fault_list(self.wiring):
            if not self.is_said_otherwise(listed):
                yield self.cause(listed.kind, listed.id, (listed.fault,))
        yield from self.switched_off()
        yield from self.windings()
        yield from self.ends_landed()

    def is_said_otherwise(self, listed: CircuitFault) -> bool:
        """A terminal with one wire coming loose is that wire open; a protective conductor shows nowhere."""
        fault = listed.fault
        if listed.kind == "terminal-loose":
            return self.wires_at[fault.subject] <= 1
        return fault.subject in self.net_at and self.net_at[fault.subject].protective

    def cause(self, kind: str, key: str, faults: tuple[Fault, ...], **about: Any) -> Cause:
        row = table().get(self.row_of(kind, faults)) or table()["other"]
        fault = faults[0] if faults else Fault("", "")
        ends = tuple(name for name in (fault.subject, fault.other, about.get("b", "")) if name in self.net_at)
        names = (*ends, fault.subject, fault.other)
        tags = tuple(dict.fromkeys(t for n in names if (t := n.partition(".")[0]) in self.circuit.by_tag))
        element = self.element(fault.subject)
        said = {
            "part": part_words(self.circuit, element) if element else fault.subject,
            "name": element.partition(".")[2], "tag": tags[0] if tags else fault.subject,
            "a": fault.subject, "b": fault.other, "value": float(f"{fault.value or 0.0:.3g}"),
            "fault": fault_words(fault), "wire": self.number(fault.subject),
        } | about  # fmt: skip
        factor = max((self.place_factor(tag) for tag in tags), default=1.0)
        return Cause(key, kind, row["says"].format(**said), row["mend"].format(**said), faults,
                     row["used"] * factor, row["new"] * factor, row.get("miswire", False), row.get("outside", False),
                     tags, ends, about.get("wrong_at", ()))  # fmt: skip

    def row_of(self, kind: str, faults: tuple[Fault, ...]) -> str:
        """The row of a kind; a fuse that is switched on again has its own words."""
        element = self.circuit.elements.get(self.element(faults[0].subject)) if kind == "fuse-blown" else None
        resets = element is not None and isinstance(element[1], Fuse) and element[1].resettable
        return "breaker-tripped" if resets else kind

    def element(self, subject: str) -> str:
        if subject in self.circuit.elements:
            return subject
        device = self.circuit.by_tag.get(subject)
        return f"{subject}.{device.parts[0].name}" if device and len(device.parts) == 1 else ""

    def number(self, place: str) -> str:
        if place.startswith("@"):
            return place[1:]
        return wire_number(self.wiring, place) if place in self.net_at else place

    def place_factor(self, tag: str) -> float:
        place = self.circuit.by_tag[tag].place
        return float(table()["by_place"][place if place in INDOORS else "field"])

    def switched_off(self) -> Iterator[Cause]:
        for device in self.circuit.devices:
            if device.mechanism.sort == "switch":
                yield self.cause(
                    "own-switched-off", f"own-switched-off:{device.tag}", (Fault("stuck out", device.tag),)
                )

    def windings(self) -> Iterator[Cause]:
        for device in self.circuit.devices:
            for motor in device.parts:
                if isinstance(motor, Motor):
                    for lead in (f"{device.tag}.{mark}" for mark in motor.leads[:3]):
                        if lead in self.net_at:
                            yield self.cause("own-winding", f"own-winding:{lead}", (Fault("lifted", lead),))

    def ends_landed(self) -> Iterator[Cause]:
        """One end of one control wire on another terminal of the same device."""
        for wire in self.wiring.wires:
            if wire.power:
                continue
            for kept, meant in (wire.ends, wire.ends[::-1]):
                device = self.circuit.by_tag[meant.partition(".")[0]]
                if not device.sources:
                    for wrong in self.mistakable(device, meant.partition(".")[2]):
                        yield from self.end_landed(wire.number, wire.net, kept, meant, f"{device.tag}.{wrong}")

    def mistakable(self, device: Device, mark: str) -> Iterator[str]:
        """Marks that a lead may land on instead: any with a part behind it, on a strip the neighbours in use."""
        behind = {end for part in device.parts for end in _marks(part)}
        if behind:
            yield from (other for other in device.terminals if other in behind)
            return
        at = device.terminals.index(mark)
        for other in device.terminals[max(0, at - 1) : at + 2]:
            if f"{device.tag}.{other}" in self.net_at:
                yield other

    def end_landed(self, number: str, net: str, kept: str, meant: str, wrong: str) -> Iterator[Cause]:
        if wrong == meant or (wrong in self.net_at and self.net_at[wrong].id == net):
            return
        faults = Fault("wire open", kept, meant), Fault("touches", kept, wrong)
        key = f"own-end-landed:{kept}:{meant}:{wrong}"
        tag = meant.partition(".")[0]
        yield self.cause("own-end-landed", key, faults, wire=number, a=kept, b=wrong, meant=meant, wrong_at=(tag,))


def _marks(part: Part) -> tuple[str, ...]:
    if isinstance(part, Motor):
        return part.leads
    return part.terminals if isinstance(part, Source) else (part.a, part.b)
