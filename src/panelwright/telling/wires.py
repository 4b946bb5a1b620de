"""The wiring plan as text and as plain values."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from ..circuit import Contact, Device, uses_in
from ..wiring import Shortage, Wire, Wiring
from .tables import table


def told_wiring(wiring: Wiring) -> Iterator[str]:
    """Contacts, wires in order of work, what is free, and terminals by device."""
    yield _headline(wiring)
    for shortage in wiring.shortages:
        yield told_shortage(shortage)
    yield from wiring.told
    yield from _part("Contacts allotted", table(list(_contact_rows(wiring))))
    yield from _part("Wires, in the order of work", _wire_lines(wiring))
    yield from _part("Contacts left free", table(list(_free_rows(wiring))))
    yield from _part("Terminals (terminal=wire number)", table(list(_terminal_rows(wiring))))


def told_shortage(shortage: Shortage) -> str:
    """What is lacking, and the mend."""
    return (
        f"{shortage.device} lacks {shortage.form} contacts: the rungs use {shortage.needed}, it has {shortage.has}. "
        f"Give it more, or let a second relay follow it."
    )


def _headline(wiring: Wiring) -> str:
    numbers = len({wire.number for wire in wiring.wires})
    return f"{wiring.circuit.heading.title}: {len(wiring.wires)} wires, {numbers} wire numbers."


def _part(title: str, lines: Iterator[str]) -> Iterator[str]:
    body = list(lines)
    if body:
        yield ""
        yield title
        yield from body


def allotments(wiring: Wiring) -> Iterator[dict[str, str | int]]:
    """Each contact in use: device, terminals, form, as written, and number and text of its rung."""
    for number, rung in enumerate(wiring.circuit.rungs, 1):
        for use in uses_in(rung.body):
            part = wiring.circuit.elements.get(use.element, (None, None))[1]
            if not isinstance(part, Contact) or use.terminals is None:
                continue
            yield {
                "device": use.device,
                "terminals": "-".join(use.terminals),
                "form": part.form,
                "written": f"{use.device}.{use.part}" if use.part else use.device,
                "rung": number,
                "text": rung.text,
            }


def _contact_rows(wiring: Wiring) -> Iterator[tuple[str, ...]]:
    rows = sorted(allotments(wiring), key=lambda row: str(row["device"]))
    for row in rows:
        text = f" {row['text']}" if row["text"] else ""
        yield f"{row['device']}.{row['terminals']}", str(row["written"]), f"rung {row['rung']}{text}"


def _wire_lines(wiring: Wiring) -> Iterator[str]:
    """A table for each stage of the work, the wires counted through."""
    rows = [_wire_row(count, wire) for count, wire in enumerate(wiring.wires, 1)]
    aligned = list(table(rows, "    "))
    for stage, members in groupby(zip(wiring.wires, aligned, strict=True), key=lambda pair: pair[0].stage):
        yield f"  {stage}"
        yield from (line for _, line in members)


def _wire_row(count: int, wire: Wire) -> tuple[str, ...]:
    facts = [wire.colour, wire.size.text if wire.size else "", wire.length.text if wire.length else ""]
    cable = f"{wire.cable} core {wire.core}" if wire.cable else ""
    extra = ", ".join(fact for fact in [*facts, cable] if fact)
    return f"{count:>3}", f"wire {wire.number}", wire.ends[0], "to", wire.ends[1], extra


def _free_rows(wiring: Wiring) -> Iterator[tuple[str, ...]]:
    for device, left in wiring.free.items():
        if left:
            yield device, ", ".join(f"{free.contact} {free.form}" for free in left)


def terminals_of(wiring: Wiring, device: Device) -> dict[str, str]:
    """Terminal mark to wire number, in the order of the device; terminals without a wire are absent."""
    numbers = {terminal: wiring.numbers[net.id] for net in wiring.nets for terminal in net.terminals}
    return {mark: numbers[f"{device.tag}.{mark}"] for mark in device.terminals if f"{device.tag}.{mark}" in numbers}


def _terminal_rows(wiring: Wiring) -> Iterator[tuple[str, ...]]:
    for device in wiring.circuit.devices:
        landed = terminals_of(wiring, device)
        yield device.tag, "  ".join(f"{mark}={number}" for mark, number in landed.items()) or "no wire"


def wiring_values(wiring: Wiring) -> dict[str, Any]:
    """The plan for other programs; lengths and sizes as typed, terminals as "K1.9"."""
    return {
        "title": wiring.circuit.heading.title,
        "contacts": list(allotments(wiring)),
        "wires": [wire_values(wire) for wire in wiring.wires],
        "free": {device: [free.contact for free in left] for device, left in wiring.free.items() if left},
        "shortages": [
            {"device": one.device, "form": one.form, "needed": one.needed, "has": one.has}
            for one in wiring.shortages
        ],
        "terminals": {device.tag: terminals_of(wiring, device) for device in wiring.circuit.devices},
        "notes": list(wiring.told),
    }


def wire_values(wire: Wire) -> dict[str, Any]:
    """One wire."""
    return {
        "id": wire.id,
        "number": wire.number,
        "ends": list(wire.ends),
        "labels": list(wire.labels),
        "places": list(wire.places),
        "sides": list(wire.sides),
        "stage": wire.stage,
        "power": wire.power,
        "colour": wire.colour,
        "size": wire.size.text if wire.size else None,
        "length": wire.length.text if wire.length else None,
        "cable": wire.cable or None,
        "core": wire.core or None,
    }
