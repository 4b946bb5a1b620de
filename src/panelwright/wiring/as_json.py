"""The wiring as plain values for JSON."""

from __future__ import annotations

from typing import Any

from .measures import measures
from .plan import Wire, Wiring
from .seats import seats_of
from .strip_plan import strip_plan


def as_json(wiring: Wiring) -> dict[str, Any]:
    """A wiring as dicts, lists, texts and numbers. `wires` are in order of work, ends as "K1.13"."""
    measured = measures(wiring)
    return {
        "title": wiring.circuit.heading.title,
        "wires": [_wire(wire) for wire in wiring.wires],
        "nets": [
            {"id": net.id, "number": wiring.numbers[net.id], "terminals": list(net.terminals), "power": net.power}
            for net in wiring.nets
        ],
        "contacts": [
            {
                "device": seat.use.device,
                "written": seat.use.part,
                "rung": seat.rung,
                "element": seat.use.element,
                "terminals": list(seat.use.terminals or ()),
            }
            for seat in seats_of(wiring.circuit)
        ],
        "free": {
            tag: [{"contact": f.contact, "form": f.form, "common_taken": f.common_taken} for f in left]
            for tag, left in wiring.free.items()
        },
        "shortages": [{"device": s.device, "form": s.form, "needed": s.needed, "has": s.has} for s in wiring.shortages],
        "strips": {
            tag: [
                {"terminal": t.terminal, "number": t.number, "inner": list(t.inner), "outer": list(t.outer)}
                for t in terminals
            ]
            for tag, terminals in strip_plan(wiring).items()
        },
        "told": list(wiring.told),
        "poles_used": wiring.poles_used,
        "poles_bound": wiring.poles_bound,
        "conductors": measured.conductors,
        "conductors_bound": measured.conductors_bound,
        "between_places": measured.between,
        "between_places_bound": measured.between_bound,
    }


def _wire(wire: Wire) -> dict[str, Any]:
    return {
        "id": wire.id,
        "number": wire.number,
        "ends": list(wire.ends),
        "labels": list(wire.labels),
        "places": list(wire.places),
        "sides": list(wire.sides),
        "stage": wire.stage,
        "class": "power" if wire.power else "control",
        "colour": wire.colour,
        "size": wire.size.text if wire.size else "",
        "length": wire.length.text if wire.length else "",
        "cable": wire.cable,
        "core": wire.core,
    }
