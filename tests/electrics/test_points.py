"""Many positions at once give what one position at a time gives."""

from __future__ import annotations

import random

import numpy as np
import pytest

from panelwright.circuit import Circuit
from panelwright.electrics import Network, Position
from panelwright.electrics.points import PointSolver
from tests.electrics.families import bridged, mesh, reversing, sequence
from tests.electrics.reading import on_the_bench

PANELS: list[Circuit] = [
    reversing(8),
    sequence(12),
    bridged(8, 6, 3),
    mesh(9, 18, 14, 4),
    mesh(6, 8, 20, 7),
    mesh(9, 18, 14, 5, 120, 60),
]


def compare(network: Network, points: int, seed: int) -> int:
    """Compare every defined volt; returns how many positions took the quick lane."""
    solver = PointSolver(network)
    rng = random.Random(seed)
    closed = np.array([[rng.random() < 0.5 for _ in solver.contacts] for _ in range(points)], np.bool_)
    answer = solver.solve(closed)
    for row, held in enumerate(closed):
        shut = frozenset(c for c, on in zip(solver.contacts, held, strict=True) if on)
        flow = network.solve(Position(shut))._settling.flows[solver.hertz]
        for node, (volts, section) in enumerate(zip(flow.volts, flow.section, strict=True)):
            got = answer.volts[row, node]
            if section != flow.section[answer.reference]:
                assert np.isnan(got)
            else:
                assert got == pytest.approx(volts - flow.volts[answer.reference], abs=1e-9)
    return int((~answer.one_by_one).sum())


@pytest.mark.parametrize("circuit", PANELS, ids=range(len(PANELS)))
def test_many_positions_equal_one_at_a_time(circuit: Circuit) -> None:
    """Also where loads come in series, sections float and supplies are shorted."""
    assert compare(Network(circuit), 60, 1) > 10


def test_a_panel_with_diodes_limits_and_polarised_lamps() -> None:
    """Ordinary positions of an ordinary panel take the quick lane."""
    bench = on_the_bench(
        """
panel "Valves"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on plate
  S1  pushbutton  green  1 NO
  S2  pushbutton  red  1 NC
  H1  lamp  green  LED  24 V dc
  K1  relay  2 CO  coil 24 V dc  with diode
rungs from + to -
  S2.nc  ( S1.no | K1.no )  K1.coil
  K1.no  H1
"""
    )

    assert compare(bench.network, 32, 2) > 20


def test_a_floating_supply_is_measured_from_its_own_rail() -> None:
    """Without an earth the second terminal of the first supply is the reference."""
    bench = on_the_bench(
        """
panel "Floating"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  floating
devices on plate
  S1  pushbutton  green  1 NO
  K1  relay  2 CO  coil 24 V dc
rungs from + to -
  S1.no  K1.coil
"""
    )
    solver = PointSolver(bench.network)
    answer = solver.solve(np.ones((1, len(solver.contacts)), np.bool_))

    assert answer.volts[0, bench.network.node("+")] == 24


def test_a_wrong_number_of_columns_is_refused() -> None:
    """The shape that is needed is in the message."""
    with pytest.raises(ValueError, match="one column a contact is needed"):
        PointSolver(Network(sequence(2))).solve(np.zeros((3, 1), np.bool_))
