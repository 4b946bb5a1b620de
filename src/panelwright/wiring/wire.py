"""From a circuit as written to its wiring."""

from __future__ import annotations

from collections.abc import Mapping

from ..circuit import Circuit, nets_of
from .allotment import allot
from .built import as_built, kept_wires
from .numbers import number_nets
from .plan import Wiring
from .renumber import terminal_numbers
from .wires import wires_of


def wire(circuit: Circuit) -> Wiring:
    """Allot every contact, number every net and lay every wire.

    Kept on the circuit, so that asking again costs nothing. What cannot be had (a contact that the device lacks) is
    in `Wiring.shortages` and stands in the circuit with imaginary marks "?1", "?2".
    """
    found: Wiring | None = circuit.__dict__.get("_wiring")
    if found is None:
        found = _wired(circuit, {})
        circuit.__dict__["_wiring"] = found  # a circuit never changes, so it may carry its wiring along
    return found


def wire_numbered(circuit: Circuit, carried: Mapping[str, str]) -> Wiring:
    """Wire a panel whose wires carry numbers already.

    `carried`: terminal ("K1.13") to the number on the wire there. Those numbers stay; where they cannot, a sentence in
    `Wiring.told` says which labels are to be changed. Nets without a number get one by the scheme of the heading.
    """
    return _wired(circuit, carried)


def rewire(circuit: Circuit, built: Wiring) -> Wiring:
    """Wire a changed circuit so that what is built stays: contacts, numbers and wires.

    Where keeping the contacts would leave the panel short of some, they are allotted anew.
    """
    numbers = terminal_numbers(built)
    kept = _wired(as_built(circuit, built), numbers, built)
    if kept.shortages and len(kept.shortages) > len(wire(circuit).shortages):
        return _wired(circuit, numbers, built)
    return kept


def _wired(circuit: Circuit, carried: Mapping[str, str], built: Wiring | None = None) -> Wiring:
    allotment = allot(circuit)
    nets = nets_of(allotment.circuit)
    numbering = number_nets(allotment.circuit, nets, carried)
    layout = wires_of(allotment.circuit, nets, numbering.numbers, kept_wires(built))
    return Wiring(
        allotment.circuit,
        nets,
        numbering.numbers,
        layout.wires,
        allotment.free,
        allotment.shortages,
        (*allotment.told, *numbering.told, *layout.told),
        allotment.poles_used,
        allotment.poles_bound,
    )
