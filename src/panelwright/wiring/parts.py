"""Which part of a device a use speaks of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from ..circuit import Contact, Device, Diode, Fuse, Item, Link, Load, Parallel, Series, Use, two_terminal_parts

Between = Contact | Load | Diode | Fuse | Link
POLE = re.compile(r"pole(\d+)")


def contacts_for(device: Device, use: Use) -> tuple[Contact, ...]:
    """The contacts that can serve an open use ("K1.no"), in the order of the device.

    Poles for the load current serve only where the device has no other contact at all.
    """
    contacts = device.contacts
    timing = timing_of(contacts, use)
    fitting = [c for c in contacts if c.form == use.form and c.timing == timing]
    if use.form == "at":
        fitting = [c for c in fitting if c.positions == positions_of(use)]
    if any(not c.main for c in contacts):
        fitting = [c for c in fitting if not c.main]
    return tuple(fitting)


def timing_of(contacts: Sequence[Contact], use: Use) -> str:
    """ "plain", "timed" or "instant": a plain use of a timer means its timed contacts."""
    if use.timing != "plain" or all(c.timing != "timed" for c in contacts):
        return use.timing
    return "timed"


def positions_of(use: Use) -> frozenset[str]:
    """The positions in which a selector contact is to be closed."""
    return use.positions or frozenset(use.part.split("+"))


def said_part(device: Device, use: Use) -> tuple[str, tuple[str, str]] | None:
    """Name and terminals of the part that a use names outright; None when the choice is open.

    The first terminal faces the start of the rung: as pinned, else the part's own first terminal, which is the
    positive one where the part minds.
    """
    if use.terminals is not None:
        return _name_between(device, use), use.terminals
    if use.form:
        return None
    part = _part_called(device, use.part)
    if part is not None:
        return part.name, (part.a, part.b)
    first, dash, second = use.part.partition("-")
    if dash and {first, second} <= {*device.terminals}:
        pinned = Use(device.tag, use.part, terminals=(first, second))
        return _name_between(device, pinned), (first, second)
    return None


def _name_between(device: Device, use: Use) -> str:
    ends = use.terminals or ("", "")
    between = [p for p in two_terminal_parts(device) if {p.a, p.b} == {*ends}]
    for part in between:
        if use.name == part.name or not use.name:
            return part.name
    return use.name or "-".join(ends)


def _part_called(device: Device, name: str) -> Between | None:
    parts = tuple(two_terminal_parts(device))
    if not name:
        return next((p for p in parts if not isinstance(p, Contact)), parts[0] if parts else None)
    for part in parts:
        if part.name == name:
            return part
    pole = POLE.fullmatch(name)
    poles = poles_of(device)
    return poles[int(pole[1]) - 1] if pole and 0 < int(pole[1]) <= len(poles) else None


def poles_of(device: Device) -> tuple[Between, ...]:
    """The poles for the load current, in order: main contacts, else fuses and links."""
    parts = tuple(two_terminal_parts(device))
    main = tuple(p for p in parts if isinstance(p, Contact) and p.main)
    return main or tuple(p for p in parts if isinstance(p, Fuse | Link))


def with_uses(item: Item, uses: Iterator[Use]) -> Item:
    """The same tree with its uses replaced, one after the other in reading order."""
    if isinstance(item, Use):
        return next(uses)
    if isinstance(item, Series):
        return Series(tuple(with_uses(inner, uses) for inner in item.items))
    if isinstance(item, Parallel):
        return Parallel(tuple(Series(tuple(with_uses(i, uses) for i in b.items)) for b in item.branches))
    return item
