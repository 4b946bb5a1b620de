"""A point must not look like a rail: two wires with one number."""

from __future__ import annotations

from panelwright import api

PANEL = """
panel "Pump"
supplies
  G1  dc supply  24 V  2.5 A  rails L1 N  earthed at N
devices on door
  S2  pushbutton  1 NO
devices on plate
  K1  relay  1 CO  coil 24 V dc
rungs from L1 to N
  S2.no  @{point}  K1.coil
"""


def test_a_point_with_the_name_of_a_rail_is_told() -> None:
    """Its wire would carry the rail's number, and whoever joins equal numbers bridges the start button."""
    assert ["PW031"] == [one.code for one in api.read(PANEL.format(point="L1")).problems]
    assert [] == [one.code for one in api.read(PANEL.format(point="5")).problems]
