"""Faults followed in lanes say what a plain walk with every pass solved electrically says."""

from __future__ import annotations

import random

import pytest

from benchmarks.families import FAMILIES, family
from panelwright.behaviour import Injected, inject
from panelwright.electrics import Network
from panelwright.faults import fault_list
from panelwright.faults.lanes import Lanes
from panelwright.faults.overrides import Overrides
from panelwright.faults.presses import Presses
from panelwright.wiring import wire

from .plain_walk import sights

STEPS, FAULTS_LOOKED_AT = 5, 14


@pytest.mark.parametrize("name", FAMILIES)
def test_lanes_see_what_a_plain_walk_sees(name: str) -> None:
    """For a sample of faults and lanes: what wrongly works, and what wrongly does not, point for point."""
    wiring = wire(family(name, 16))
    network = Network(wiring)
    tries = (Lanes(network, Presses(network.circuit, STEPS, 1, seed)) for seed in range(1, 40))
    lanes = next(lanes for lanes in tries if not lanes.sound.restless)  # a ring may go round for ever
    overrides = Overrides(network)
    rng = random.Random(3)
    pairs = [(one, inject(network.circuit, one.fault)) for one in fault_list(wiring)]
    known = [(one, i, o) for one, i in pairs if isinstance(i, Injected) and (o := overrides.of(i)) is not None]
    sound = {lane: sights(network, lanes, None, lane) for lane in range(64)}
    compared = 0
    for one, injected, override in rng.sample(known, FAULTS_LOOKED_AT):
        (shown,) = lanes.show([override])
        if injected.refitted or injected.blown or shown.doubtful or shown.short or shown.restless:
            continue  # the walk would need the loop's own rule for these
        compared += 1
        on: dict[str, int] = {}
        off: dict[str, int] = {}
        for lane in range(64):
            for healthy, seen in zip(sound[lane], sights(network, lanes, injected, lane), strict=True):
                for element, verdict in seen.items():
                    if (verdict == "full") != (healthy[element] == "full"):
                        table = on if verdict == "full" else off
                        table[element] = table.get(element, 0) + 1

        assert (on, off) == (shown.wrongly_on, shown.wrongly_off), one.words
    assert compared >= 5
