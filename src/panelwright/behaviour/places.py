"""What a name written in a trial or a fault means: a part, a terminal, a point, a rail, the earth."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from ..circuit import Circuit, Contact, Device, Fault, Fuse, Link, Load, Motor, Problem, Source, Use, net_of, uses_in
from ..circuit.devices import two_terminal_parts
from ..electrics import Network, UnknownPlace


class UnclearPlace(ValueError):
    """A name that means nothing here, or more than one thing; `problem` says so."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


def parts_of(circuit: Circuit, name: str) -> tuple[Device, str]:
    """The device and what stands after the dot, "" for nothing. Raises UnclearPlace."""
    tag, _, part = name.partition(".")
    device = circuit.by_tag.get(tag)
    if device is None:
        raise UnclearPlace(unknown_device(circuit, tag))
    return device, part


def unknown_device(circuit: Circuit, tag: str) -> Problem:
    """The problem of a tag that no device has."""
    return _unknown(tag, f"there is no device called {tag}", tag, list(circuit.by_tag)).problem


def uses_of(circuit: Circuit, tag: str) -> Iterator[Use]:
    """Where the parts of a device stand in the rungs."""
    for rung in circuit.rungs:
        for use in uses_in(rung.body):
            if use.device == tag:
                yield use


def elements_of(circuit: Circuit, name: str, sort: str = "") -> tuple[str, ...]:
    """Element ids that a name stands for; several for the poles of one device. Raises UnclearPlace.

    `sort` "fuse" leaves only fuses.
    """
    device, part = parts_of(circuit, name)
    turned = "-".join(reversed(part.split("-")))  # a contact may be written from either end
    for name_of_part in (part, turned):
        if part and any(p.name == name_of_part for p in device.parts):
            return (f"{device.tag}.{name_of_part}",)
    if not part:
        return _whole_device(device, sort)
    if part.startswith("pole"):
        poles = tuple(f"{device.tag}.{p.name}" for p in two_terminal_parts(device) if _is_pole(p))
        number = part.removeprefix("pole")
        if part == "poles" and poles:
            return poles
        if number.isdigit() and 0 < int(number) <= len(poles):
            return (poles[int(number) - 1],)
    by_writing = {use.name for use in uses_of(circuit, device.tag) if use.part == part and use.name}
    found = by_writing or _by_form(circuit, device, part)
    if len(found) > 1:
        raise UnclearPlace(_several(name, sorted(found)))
    if not found:
        words = sorted({use.part for use in uses_of(circuit, device.tag)} | {p.name for p in device.parts})
        raise _unknown(name, f"{device.tag} has no part called {part}", part, words)
    return (f"{device.tag}.{found.pop()}",)


def element_of(circuit: Circuit, name: str) -> str:
    """The one element that a name stands for. Raises UnclearPlace."""
    elements = elements_of(circuit, name)
    if len(elements) != 1:
        raise UnclearPlace(_several(name, [e.partition(".")[2] for e in elements]))
    return elements[0]


def ends_of(circuit: Circuit, name: str) -> tuple[str, str]:
    """The two terminals of a part, as it stands in its rung. Raises UnclearPlace."""
    element = element_of(circuit, name)
    device, part = circuit.elements[element]
    if isinstance(part, Motor):
        return f"{device.tag}.{part.leads[0]}", f"{device.tag}.{part.leads[1]}"
    for use in uses_of(circuit, device.tag):
        if use.name == part.name and use.terminals:
            return f"{device.tag}.{use.terminals[0]}", f"{device.tag}.{use.terminals[1]}"
    return f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"


def place_of(circuit: Circuit, name: str) -> str:
    """A name that the network knows: terminal, "@point", rail or "earth". Raises UnclearPlace."""
    if name == "earth" or name in circuit.rails:
        return name
    points = {f"@{point}" for net in net_of(circuit).values() for point in net.points}
    if name in points:
        return name
    if name.startswith("@"):
        raise _unknown(name, f"there is no point called {name}", name, sorted(points))
    device, part = parts_of(circuit, name)
    if part in device.terminals:
        return name
    raise _unknown(name, f"{device.tag} has no terminal {part or 'of its own name'}", part, list(device.terminals))


def no_such_wire(network: Network, fault: Fault, unknown: UnknownPlace) -> Problem:
    """The problem of a fault in a conductor that the panel does not have, with the wires that are there."""
    ends = {fault.subject, fault.other}
    there = [wire for wires in network.wires.values() for wire in wires if ends & set(wire)]
    words = "; ".join(f"wire from {a} to {b}" for a, b in there[:4])
    return Problem(
        "fault-place",
        f"there is no {unknown.name} in this panel" if unknown.name.startswith("wire") else str(unknown),
        "two terminals of one net need not have a wire of their own between them",
        f"take one that is there: {words}" if words else "look at the list of wires: panelwright wire",
        fault.span,
    )


def _whole_device(device: Device, sort: str) -> tuple[str, ...]:
    wanted = [p for p in device.parts if not isinstance(p, Source) and (sort != "fuse" or isinstance(p, Fuse))]
    if len({type(p) for p in wanted}) > 1 and not sort:  # a coil with contacts: it has to be said which
        raise UnclearPlace(_several(device.tag, [p.name for p in wanted]))
    if not wanted:
        what = "fuse" if sort == "fuse" else "part"
        message = f"{device.tag} has no {what} of its own"
        raise UnclearPlace(Problem("fault-place", message, "the fault needs one", f"name a device with a {what}"))
    return tuple(f"{device.tag}.{p.name}" for p in wanted)


def _is_pole(part: object) -> bool:
    if isinstance(part, Contact):
        return part.main
    return isinstance(part, Fuse | Link) or (isinstance(part, Load) and part.sort == "resistor")


def _by_form(circuit: Circuit, device: Device, part: str) -> set[str]:
    """Contacts that the words after the dot fit, used ones first."""
    words = part.split(".")
    form, timing = words[-1].rstrip("0123456789"), {"instant": "instant", "timed": "timed"}.get(words[0], "")
    used = {use.name for use in uses_of(circuit, device.tag)}
    fits = [
        c.name
        for c in device.contacts
        if (c.form == form or (c.form == "at" and set(part.split("+")) == c.positions))
        and (not timing or c.timing == timing)
        and not c.main
    ]
    return {name for name in fits if name in used} or set(fits)


def _several(name: str, parts: list[str]) -> Problem:
    return Problem(
        "fault-place",
        f"{name} may mean {' or '.join(parts)}",
        "the fault has to be put in one place",
        "give the contact a label in its rung (K1.no1) and use the label here, or write its terminals (K1.13-14)",
    )


def _unknown(name: str, message: str, word: str, words: list[str]) -> UnclearPlace:
    near = get_close_matches(word, words, 1, 0.5)
    mend = f"did you mean {near[0]}?" if near else f"known here: {', '.join(words[:8]) or 'nothing'}"
    return UnclearPlace(Problem("fault-place", message, f"'{name}' has to be somewhere in this circuit", mend))
