"""The gate program of a circuit in terms of where its devices stand, instead of contact by contact.

Inputs: "K1" the mechanism is operated (pressed, made, tripped, in, on); "T1:timed" the timed contacts have moved;
"SA1=HAND" the selector stands there; "supply:G1" the supply gives its volts. Fuses are whole.
"""

from __future__ import annotations

from ..circuit import Circuit, Contact, Fuse
from .gate_program import GateProgram, compile_gates
from .gates import FALSE, TRUE, GateBuilder
from .network import Network


def timed_input(tag: str) -> str:
    """Name of the input of a timer's timed contacts."""
    return f"{tag}:timed"


def position_input(tag: str, position: str) -> str:
    """Name of the input of a selector's position."""
    return f"{tag}={position}"


def device_literal(circuit: Circuit, gates: GateBuilder, name: str) -> int:
    """The literal of a contact, fuse or supply; positions of one selector exclude each other by how they are coded."""
    if name.startswith("supply:"):
        return gates.input(name)
    device, part = circuit.elements[name]
    if isinstance(part, Fuse):
        return gates.input(device.tag) if device.mechanism.sort == "switch" else TRUE
    if not isinstance(part, Contact):
        return TRUE
    if part.form == "at":
        return gates.any_of(
            position_literal(circuit, gates, device.tag, position) for position in sorted(part.positions)
        )
    operated = gates.input(timed_input(device.tag) if part.timing == "timed" else device.tag)
    return operated if part.form == "no" else operated ^ 1


def position_literal(circuit: Circuit, gates: GateBuilder, tag: str, position: str) -> int:
    """The selector stands here and at none of the positions before it; FALSE for a position it does not have."""
    positions = circuit.by_tag[tag].mechanism.positions
    if position not in positions:
        return FALSE
    at = positions.index(position)
    before = (gates.input(position_input(tag, other)) ^ 1 for other in positions[:at])
    here = TRUE if at == len(positions) - 1 else gates.input(position_input(tag, position))
    return gates.and_(gates.all_of(before), here)


def compile_device_gates(network: Network) -> GateProgram:
    """The gate program whose inputs are the device states described at the head of this module."""
    return compile_gates(network, lambda gates, name: device_literal(network.circuit, gates, name))
