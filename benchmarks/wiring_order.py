"""How much shorter the wires and the way of the hands are than in the order of the list.

Run: python benchmarks/wiring_order.py. Ratios against the same wiring done in list order, in the same run; devices
stand on rails of a plate in an order that has nothing to do with the order of the rungs.
"""

from __future__ import annotations

import random
import time
from itertools import pairwise

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Load,
    Mechanism,
    Mount,
    Parallel,
    Rung,
    Series,
    Source,
    Use,
    nets_of,
)
from panelwright.wiring import measures, wire
from panelwright.wiring.whereabouts import Whereabouts
from panelwright.wiring.work import way_of_hands_m


def relay(tag: str) -> Device:
    """A relay with four change-overs."""
    parts: list[Contact | Load] = [Load("coil", "A1", "A2", "coil", 24, "dc", 650, drives="coil")]
    for n in range(1, 5):
        parts.append(Contact(f"{n}1-{n}4", f"{n}1", f"{n}4", "no", changeover=n))
        parts.append(Contact(f"{n}1-{n}2", f"{n}1", f"{n}2", "nc", changeover=n))
    marks = tuple(dict.fromkeys(mark for part in parts for mark in (part.a, part.b)))
    return Device(tag, "relay", "plate", "", Mechanism("relay"), tuple(parts), marks)


def sequence(steps: int, rails: int, seed: int) -> Circuit:
    """Relays that bring each other in one after the other, scattered over the rails."""
    chance = random.Random(seed)
    tags = [f"K{n}" for n in range(1, steps + 1)]
    scattered = chance.sample(tags, steps)
    per = -(-steps // rails)
    mounts = tuple(
        Mount("rail", str(r + 1), "plate", 0.0, 0.2 * r, 0.03 * per, devices=tuple(scattered[r * per : (r + 1) * per]))
        for r in range(rails)
    )
    rungs = []
    for n, tag in enumerate(tags):
        before, after, far = tags[n - 1], tags[(n + 1) % steps], tags[(n * 7 + 3) % steps]
        start = Parallel((Series((Use(before, "no", "no"),)), Series((Use(tag, "no1", "no", "1"),))))
        rungs.append(Rung("+", "-", Series((start, Use(after, "nc", "nc"), Use(far, "nc", "nc"), Use(tag, "coil")))))
    source = Source("out", ("+", "-"), ("+", "-"), "dc", 24)
    supply = Device("G1", "dc supply", "plate", "", Mechanism("fixed"), (source,), ("+", "-"))
    return Circuit(mounts=mounts, devices=(supply, *map(relay, tags)), rungs=tuple(rungs))


def measured(circuit: Circuit) -> tuple[float, float, float, float]:
    """Length against list order, length against its bound, way of the hands against list order, seconds."""
    start = time.perf_counter()
    wiring = wire(circuit)
    seconds = time.perf_counter() - start
    where = Whereabouts(wiring.circuit)
    listed = [joint for net in nets_of(wiring.circuit) for joint in pairwise(net.terminals)]
    listed_m = sum(where[one].way_m(where[other]) for one, other in listed)
    found = measures(wiring)
    hands = way_of_hands_m([w.ends for w in wiring.wires], where) / way_of_hands_m(listed, where)
    return found.way_m / listed_m, found.way_m / found.way_bound_m, hands, seconds


def main() -> None:
    """Print a table."""
    print("rungs  wires: of list order  of bound   hands: of list order   time per rung, of the smallest panel")
    first = 0.0
    measured(sequence(10, 1, seed=0))  # the first call pays for imports
    for steps, rails in ((10, 1), (10, 2), (40, 4), (150, 6), (300, 8)):
        length, bound, hands, seconds = measured(sequence(steps, rails, seed=steps))
        first = first or seconds / steps
        print(f"{steps:>5}  {length:>20.2f}  {bound:>8.3f}   {hands:>20.2f}   {seconds / steps / first:>15.2f}")


if __name__ == "__main__":
    main()
