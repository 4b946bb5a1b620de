"""Nets of an allotted circuit."""

from panelwright.circuit import net_of, nets_of
from tests.panels import well_pump


def test_well_pump_has_six_nets():
    """Two rails and four numbered wires; every terminal is on one of them."""
    nets = nets_of(well_pump())

    assert {n.id: len(n.terminals) for n in nets} == {"+": 3, "S1.12": 3, "S2.14": 3, "-": 4, "K1.8": 2, "K1.4": 2}


def test_the_coil_hangs_between_the_switched_side_and_the_return():
    """Coil 13 on the wire behind Start, 14 on the return."""
    nets = net_of(well_pump())

    assert nets["K1.13"] is nets["S2.14"]
    assert nets["K1.14"] is nets["G1.-"]
