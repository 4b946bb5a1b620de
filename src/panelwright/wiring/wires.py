"""Point-to-point wires: each net as a chain over its terminals."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from ..circuit import Circuit, Net
from .plan import Wire


def wires_of(circuit: Circuit, nets: tuple[Net, ...], numbers: Mapping[str, str]) -> tuple[Wire, ...]:
    """The wires in order of work."""
    place = {d.tag: d.place for d in circuit.devices}
    found = []
    for net in nets:
        number = numbers[net.id]
        order = sorted(net.terminals, key=lambda t: place.get(t.split(".")[0], ""))
        for one, other in pairwise(order):
            places = (place.get(one.split(".")[0], ""), place.get(other.split(".")[0], ""))
            found.append(
                Wire(
                    " ".join(sorted((one, other))),
                    number,
                    (one, other),
                    (number, number),
                    net.id,
                    places,
                    ("front", "front"),
                    " ".join(dict.fromkeys(places)),
                    net.power,
                )
            )
    return tuple(found)
