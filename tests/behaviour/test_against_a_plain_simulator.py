"""Where nothing races, the end must not depend on times: a simulator without any has to come to the same end.

The simulator here knows no times and no volts: contacts join points (a walk over them), every relay answers one step
later. It is the plain method by which circuits are traced by hand.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from panelwright.behaviour import Run
from panelwright.circuit import Circuit, Do, Mechanism, net_of
from panelwright.electrics import operated, position_of
from tests.electrics.families import bridged, reversing, sequence

FAMILIES = [
    *(pytest.param(bridged(6, 3, seed), seed, id=f"bridged {seed}") for seed in range(12)),
    pytest.param(reversing(4), 1, id="reversing"),
    pytest.param(sequence(8), 2, id="sequence"),
]


def with_times(circuit: Circuit, rng: random.Random) -> Circuit:
    """Every relay with times of its own."""

    def moves(sort: str) -> Mechanism:
        if sort == "push":
            return Mechanism(sort, travel_s=0.002)
        operate_s, release_s = rng.uniform(0.01, 0.03), rng.uniform(0.005, 0.02)
        return Mechanism(sort, operate_s, release_s, 0.003, tolerance=0.2)

    devices = [replace(d, mechanism=moves(d.mechanism.sort)) if d.tag[0] in "KS" else d for d in circuit.devices]
    return replace(circuit, devices=tuple(devices))


def is_joined(circuit: Circuit, closed: frozenset[str], start: str, end: str) -> bool:
    """Whether two terminals are joined over closed contacts."""
    nets = net_of(circuit)
    ways: dict[str, list[str]] = {}
    for element in closed:
        device, part = circuit.elements[element]
        a, b = (nets[f"{device.tag}.{mark}"].id for mark in (part.a, part.b))  # type: ignore[union-attr]
        ways.setdefault(a, []).append(b)
        ways.setdefault(b, []).append(a)
    seen, waiting = {nets[start].id}, [nets[start].id]
    while waiting:
        for other in ways.get(waiting.pop(), []):
            if other not in seen:
                seen.add(other)
                waiting.append(other)
    return nets[end].id in seen


def plain_end(circuit: Circuit, pressed: set[str], relays_in: set[str]) -> set[str] | None:
    """Relays that are in at the end; None when it does not come to rest."""
    relays = [d.tag for d in circuit.devices if any(load.drives for load in d.loads)]
    for _ in range(4 * len(relays) + 4):
        closed = position_of(circuit, operated(*pressed, *relays_in)).closed
        fed = {
            tag
            for tag in relays
            if is_joined(circuit, closed, "G1.+", f"{tag}.A1") and is_joined(circuit, closed, f"{tag}.A2", "G1.-")
        }
        if fed == relays_in:
            return fed
        relays_in = fed
    return None


@pytest.mark.parametrize(("circuit", "seed"), FAMILIES)
def test_same_end_without_times(circuit: Circuit, seed: int) -> None:
    """Press and let go at random; compare wherever nothing races or buzzes and no coil is in doubt."""
    rng = random.Random(seed)
    circuit = with_times(circuit, rng)
    relays = [device.tag for device in circuit.devices if device.tag[0] == "K"]
    run = Run(circuit, watch_races=True)
    buttons = [d.tag for d in circuit.devices if d.mechanism.sort == "push"]
    pressed: set[str] = set()
    relays_in = {tag for tag in relays if run.state.stands[tag].is_in}
    compared = 0
    for _ in range(12):
        tag = rng.choice(buttons)
        run.do(Do("release" if tag in pressed else "press", (tag,)))
        pressed ^= {tag}
        if run.buzz is not None:
            break
        end = {tag for tag in relays if run.state.stands[tag].is_in}
        if not (run.races or run.shorts or run.state.doubtful):
            expected = plain_end(circuit, pressed, relays_in)
            if expected is not None:
                compared += 1
                assert end == expected
        relays_in = end
        run.forget()

    assert compared or run.buzz is not None
