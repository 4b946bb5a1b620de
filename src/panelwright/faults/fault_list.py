"""The list of everything that can be wrong with one panel, made from its circuit and its wires."""

from __future__ import annotations

from dataclasses import dataclass

from ..behaviour import fault_words
from ..circuit import Circuit, Fault
from ..wiring import Wiring, wire
from .between import BETWEEN
from .breaks import BREAKS
from .kinds import Kind, kinds
from .mistakes import MISTAKES
from .places import Places

LISTERS = {**BREAKS, **MISTAKES, **BETWEEN}


@dataclass(frozen=True, slots=True)
class CircuitFault:
    """One fault of a panel.

    `id` depends on the kind and the terminals alone, so that it survives edits elsewhere in the file.
    `words`: as the panel file says it ("K1.coil open"; `fault K1.coil open` in a trial puts it in).
    `device`: tag that it is listed under, "" for an assumption.
    """

    id: str
    kind: str
    fault: Fault
    words: str
    device: str

    @property
    def about(self) -> Kind:
        """Its kind."""
        return kinds()[self.kind]


def fault_list(wiring: Wiring | Circuit) -> tuple[CircuitFault, ...]:
    """Every single fault of a panel, by kind and in reading order. See `kinds.toml` for what is listed and why."""
    places = Places(wire(wiring) if isinstance(wiring, Circuit) else wiring)
    found: dict[Fault, CircuitFault] = {}
    for kind in kinds():
        for fault in LISTERS[kind](places):
            found.setdefault(fault, _named(kind, fault, places))
    return tuple({one.id: one for one in found.values()}.values())


def _named(kind: str, fault: Fault, places: Places) -> CircuitFault:
    ends = [fault.subject, fault.other] if fault.other else [fault.subject]
    if fault.form in ("wire open", "touches", "exchanged"):
        ends.sort()
    amount = f":{fault.value:g}" if kind in ("links-wrong",) else ""
    tag = fault.subject.partition(".")[0]
    device = tag if tag in places.circuit.by_tag else ""
    return CircuitFault(f"{kind}:{':'.join(ends)}{amount}", kind, fault, fault_words(fault), device)
