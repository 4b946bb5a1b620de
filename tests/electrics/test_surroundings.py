"""What volts depend on: contacts that are said not to matter are moved, and nothing changes."""

from __future__ import annotations

import random

import pytest

from panelwright.electrics import Network, Position, surroundings_of
from tests.electrics.families import Workshop, mesh, random_closed


@pytest.mark.parametrize("seed", range(60))
def test_contacts_further_away_change_no_volts(seed: int) -> None:
    """Any tangle of contacts and loads: with what is beside a load standing still, its volts stand still."""
    rng = random.Random(seed)
    points = rng.randrange(2, 6)
    circuit = mesh(points, rng.randrange(2, 3 * points), rng.randrange(1, 8), seed)
    network = Network(circuit)
    contacts = [f"{device.tag}.{contact.name}" for device in circuit.devices for contact in device.contacts]
    loads = [f"{device.tag}.{load.name}" for device in circuit.devices for load in device.loads]
    for load in loads:
        around = surroundings_of(network, load)
        here = random_closed(circuit, rng)
        solution = network.solve(Position(here))
        still = around.in_position(Position(here))
        assert still <= around.switches
        for _ in range(4):
            there = network.solve(
                Position(frozenset(one for one in contacts if (one in here if one in still else rng.random() < 0.5)))
            )
            if not solution.shorts and not there.shorts:
                assert there.load(load).acting_v == pytest.approx(solution.load(load).acting_v, abs=1e-6)


def test_a_rail_lets_nothing_through() -> None:
    """Two rungs between the same rails do not matter to each other."""
    shop = Workshop()
    shop.rung("+", ("S1.no", "K1.coil"), "-")
    shop.rung("+", ("S2.no", "K2.coil", "S3.no"), "-")
    network = Network(shop.circuit())

    assert surroundings_of(network, "K1.coil").switches == {"S1.13-14"}
    assert surroundings_of(network, "K2.coil").switches == {"S2.13-14", "S3.13-14"}
