"""From a circuit as written to its wiring."""

from __future__ import annotations

from ..circuit import Circuit, nets_of
from .allotment import allot
from .numbers import number_nets
from .plan import Wiring
from .wires import wires_of


def wire(circuit: Circuit) -> Wiring:
    """Allot every contact, number every net and lay every wire.

    Kept on the circuit, so that asking again costs nothing. What cannot be had (a contact that the device lacks) is
    in `Wiring.shortages` and stands in the circuit with imaginary marks "?1", "?2".
    """
    found: Wiring | None = circuit.__dict__.get("_wiring")
    if found is None:
        found = _wired(circuit)
        circuit.__dict__["_wiring"] = found  # a circuit never changes, so it may carry its wiring along
    return found


def _wired(circuit: Circuit) -> Wiring:
    allotment = allot(circuit)
    nets = nets_of(allotment.circuit)
    numbering = number_nets(allotment.circuit, nets)
    layout = wires_of(allotment.circuit, nets, numbering.numbers)
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
