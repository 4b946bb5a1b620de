"""Where something is, in the words of the panel: wire numbers, places, terminals."""

from __future__ import annotations

from ..circuit import Circuit, Contact, Fuse, net_of
from ..wiring import Wiring


def _nets(circuit: Circuit) -> dict[str, str]:
    found: dict[str, str] | None = circuit.__dict__.get("_net_ids")
    if found is None:
        found = circuit.__dict__["_net_ids"] = {terminal: net.id for terminal, net in net_of(circuit).items()}
    return found


def wire_number(wiring: Wiring, terminal: str) -> str:
    """Number of the wire at a terminal, "" where none lands."""
    net = _nets(wiring.circuit).get(terminal)
    return wiring.numbers.get(net, "") if net is not None else ""


def at_terminal(wiring: Wiring, terminal: str) -> str:
    """ "K1.13 (wire 5)"; "earth" stays "earth"."""
    number = wire_number(wiring, terminal)
    return f"{terminal} (wire {number})" if number else terminal


def place_of(circuit: Circuit, terminal: str) -> str:
    """The place of the device of a terminal: "door", "plate", "field" ..."""
    device = circuit.by_tag.get(terminal.partition(".")[0])
    return device.place if device else ""


def part_words(circuit: Circuit, element: str) -> str:
    """ "S2 13-14", "the coil of K1", "H1"."""
    device, part = circuit.elements[element]
    if isinstance(part, Contact):
        return f"contact {part.name} of {device.tag}"
    if isinstance(part, Fuse):
        return device.tag if sum(isinstance(p, Fuse) for p in device.parts) == 1 else f"{device.tag} {part.name}"
    if len(device.parts) == 1 and part.name in ("lamp", "horn", "solenoid", "sounder"):
        return device.tag
    return f"the {part.name} of {device.tag}"


def returns_of(circuit: Circuit) -> tuple[str, ...]:
    """For every supply the terminal at which a lead is parked: the earthed pole, else the last one."""
    found: list[str] = []
    for device, source in circuit.supplies:
        marks = dict(zip(source.rails, source.terminals, strict=True))
        live = [mark for rail, mark in marks.items() if rail != "PE"]
        found.append(f"{device.tag}.{marks.get(source.earthed_at, live[-1])}")
    return tuple(found)


def return_for(circuit: Circuit, rails: tuple[str, ...]) -> str:
    """The terminal to park a lead at for a rung between these rails: on its second rail, as a rule the earthed one."""
    for rail in (*reversed(rails),):
        if rail in circuit.rails:
            return circuit.rails[rail][0]
    return returns_of(circuit)[0]
