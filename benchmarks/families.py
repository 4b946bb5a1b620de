"""Panels made by rule, by number of devices: reversing starters, a sequence, a stepper, stations in a line.

Shared by the benchmarks. `shuffled` puts the rungs and devices in another order, so that nobody profits from the order
in which a generator happens to write.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from panelwright.circuit import Circuit
from tests.electrics.families import Workshop, bridged, reversing, sequence


def stepper(steps: int) -> Circuit:
    """A ring of steps: each picks up with the one before in and its own switch made, and drops the one before."""
    shop = Workshop()
    for n in range(1, steps + 1):
        before, after = (n - 2) % steps + 1, n % steps + 1
        starts: list[object] = [(f"K{before}.no", f"S{n}.no"), f"K{n}.no"]
        if n == 1:
            starts.append("S0.no")
        shop.rung("+", ("SE.nc", starts, f"K{after}.nc", f"K{n}.coil"), "-")  # type: ignore[arg-type]
        shop.rung("+", (f"K{n}.no", f"H{n}.lamp"), "-")
    return shop.circuit()


def ring(steps: int) -> Circuit:
    """A ring of steps in which no two that are not neighbours are ever in together, whatever is pressed.

    Each picks up with the one before in, its own switch made and the one before that out; the first can be started
    only with all others out.
    """
    shop = Workshop()
    for n in range(1, steps + 1):
        before, after, earlier = (n - 2) % steps + 1, n % steps + 1, (n - 3) % steps + 1
        starts: list[object] = [(f"K{before}.no", f"S{n}.no", f"K{earlier}.nc"), f"K{n}.no"]
        if n == 1:
            starts.append(("S0.no", *(f"K{m}.nc" for m in range(2, steps + 1))))
        shop.rung("+", ("SE.nc", starts, f"K{after}.nc", f"K{n}.coil"), "-")  # type: ignore[arg-type]
        shop.rung("+", (f"K{n}.no", f"H{n}.lamp"), "-")
    return shop.circuit()


def randnet(relays: int) -> Circuit:
    """Rungs by lot, with bridges inside and between them, one for five relays."""
    return bridged(relays, relays // 5, seed=1)


def nstation(stations: int) -> Circuit:
    """One motor started and stopped from many stations, each with a lamp; and a relay of its own at each."""
    shop = Workshop()
    stops = tuple(f"S{n}1.nc" for n in range(1, stations + 1))
    starts = [*(f"S{n}2.no" for n in range(1, stations + 1)), "K0.no"]
    shop.rung("+", (*stops, starts, "K0.coil"), "-")
    for n in range(1, stations + 1):
        shop.rung("+", ("K0.no", f"S{n}3.nc", [f"S{n}4.no", f"K{n}.no"], f"K{n}.coil"), "-")
        shop.rung("+", (f"K{n}.no", f"H{n}.lamp"), "-")
    return shop.circuit()


def shuffled(circuit: Circuit, seed: int) -> Circuit:
    """The same circuit, written down in another order."""
    rng = random.Random(seed)
    rungs, devices = list(circuit.rungs), list(circuit.devices[1:])
    rng.shuffle(rungs)
    rng.shuffle(devices)
    return replace(circuit, rungs=tuple(rungs), devices=(circuit.devices[0], *devices))


# family to (how many units make some devices, generator)
FAMILIES: dict[str, tuple[int, Callable[[int], Circuit]]] = {
    "reversing": (8, reversing),
    "sequence": (2, sequence),
    "stepper": (3, stepper),
    "nstation": (6, nstation),
}


def family(name: str, devices: int) -> Circuit:
    """A panel of a family with about so many devices."""
    each, make = FAMILIES[name]
    return make(max(2, round(devices / each)))
