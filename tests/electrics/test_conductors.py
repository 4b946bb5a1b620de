"""Wires with a resistance, and coils with their armature open, against Ohm's law by hand."""

from __future__ import annotations

import pytest

import panelwright as pw
from panelwright.electrics import Conductors, Network, Taking, operated, position_of
from panelwright.wiring import wire

PANEL = """panel "Two lamps on a long line"

supplies
  G1  dc supply  24 V  5 A  rails + -

devices on plate
  X1  terminal strip  8 terminals

devices in field
  R1  resistor  12 ohm  100 W
  R2  resistor  12 ohm  100 W

rungs from + to -
  X1.1  R1  X1.3
  X1.1  R2  X1.3
"""


def test_wires_in_series_and_a_fork_share_the_drop_as_ohm_says() -> None:
    """1 ohm to the fork carries both currents: 24 V over 1 ohm and two branches of 12 ohm, one with 1 ohm of wire."""
    network = Network(wire(pw.read(PANEL).circuit))
    plus = network.wires[network.node("X1.1")]
    feed = next(ends for ends in plus if "G1.+" in ends)
    branch = next(ends for ends in plus if "R1" in "".join(ends) and ends != feed)
    solution = network.edited([Conductors(((feed, 1.0), (branch, 1.0)))]).solve(position_of(network.circuit, {}))

    fork = 1 / (1 / 12 + 1 / 13) if any(end.startswith("X1.1") for end in branch) else 1 / (2 / 12)
    assert solution.volts("X1.1", "X1.3").dc == pytest.approx(24 * fork / (1 + fork))
    assert solution.amps(branch_load(branch)).dc == pytest.approx(solution.volts("X1.1", "X1.3").dc / 13)


def branch_load(branch: tuple[str, str]) -> str:
    """The resistor at the end of a wire."""
    return next(end.split(".")[0] for end in branch if end.startswith("R")) + ".resistor"


def test_an_open_armature_takes_its_inrush() -> None:
    """120 V across 72 ohm and 165 ohm reactance: 0.667 A; E = I Z."""
    text = """panel "One coil"
  symbols NA

supplies
  T1  control transformer  480 V / 120 V  500 VA  rails X1 X2

devices
  1M  contactor  3 poles  coil 120 V 60 Hz

rungs from X1 to X2
  1M.coil
"""
    network = Network(wire(pw.read(text.replace("devices\n", "devices on plate\n")).circuit))
    solution = network.edited([Taking("1M.coil", 72.0, 165.0)]).solve(position_of(network.circuit, operated()))

    feed = network.elements.feeds["T1.out"]
    assert abs(solution.amps("1M.coil").ac_effective) == pytest.approx(120 / abs(complex(72 + feed.ohms, 165)))
