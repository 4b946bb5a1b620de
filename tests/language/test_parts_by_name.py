"""Parts that are called by name in a rung, whatever the name looks like."""

from __future__ import annotations

from panelwright.language import read

PANEL = """panel "Sensor and selector"
supplies
  G1  dc supply  24 V  1 A  rails + -  floating
devices on door
  SA1  selector  OFF ON
  B1  three-wire sensor  24 V dc
  K1  relay  1 CO  coil 24 V dc
rungs from + to -
  B1.supply
  B1.out  K1.coil
"""


def test_a_part_called_supply_may_begin_a_line() -> None:
    """`B1.supply` alone on its line is a rung, not a misspelt heading."""
    reading = read(PANEL)

    assert () == reading.problems
    assert ["supply", "out"] == [rung.body.items[0].name or rung.body.items[0].part for rung in reading.circuit.rungs]


def test_contacts_of_a_selector_are_called_by_position() -> None:
    """It has no rest, so make and break would mean nothing."""
    (problem,) = read(PANEL + "  SA1.no  K1.coil\n").problems

    assert ("PW102", "write SA1.ON.") == (problem.code, problem.mend)
