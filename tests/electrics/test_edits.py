"""Faults and meters as edits of a network."""

from __future__ import annotations

import math

import pytest

from panelwright.electrics import (
    Exchanged,
    InSeries,
    Joined,
    Lifted,
    Moved,
    Opened,
    Shorted,
    SupplyAt,
    UnknownPlace,
    WireOpened,
)
from tests.electrics.reading import Bench, on_the_bench

PUMP = """
panel "Well pump"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  red    1 NC     "Stop"
  S2  pushbutton  green  1 NO     "Start"
  H1  lamp        green  24 V dc  "Running"
devices on plate
  K1  relay  2 CO  coil 24 V dc  "Pump run"
rungs from + to -
  S1.nc  @2
  @2  S2.no  @3
  @2  K1.no  @3
  @3  K1.coil
  K1.no  H1
"""


@pytest.fixture(scope="module", name="pump")
def pump_bench() -> Bench:
    """A start-stop circuit, wired."""
    return on_the_bench(PUMP)


def coil_ohms(bench: Bench) -> float:
    """Resistance of the coil of K1."""
    return bench.wiring.circuit.by_tag["K1"].loads[0].ohms


def test_an_open_coil_has_volts_and_no_amps(pump: Bench) -> None:
    """The meter shows full volts across it, yet it does nothing."""
    solution = pump.network.edited([Opened("K1.coil")]).solve(pump.position("S2"))

    assert solution.across("K1.coil").dc == 24
    assert solution.amps("K1.coil").dc == 0
    assert solution.load("K1.coil").verdict == "none"


def test_a_bridged_contact_lets_the_coil_in(pump: Bench) -> None:
    """With an idle resistance of 100 ohm the coil gets its share of a divider (Ohm's law)."""
    ohms = coil_ohms(pump)
    solution = pump.network.edited([Shorted("S2.13-14", 100)]).solve(pump.position())

    assert solution.load("K1.coil").acting_v == pytest.approx(24 * ohms / (ohms + 100))


def test_a_bad_joint_takes_its_share(pump: Bench) -> None:
    """A resistance between a terminal and its wires is in series with the part."""
    ohms = coil_ohms(pump)
    solution = pump.network.edited([InSeries("K1.A1", ohms)]).solve(pump.position("S2"))

    assert solution.load("K1.coil").acting_v == pytest.approx(12)
    assert solution.volts("@3").dc == 24


def test_a_lifted_lead_takes_only_its_own_part_away(pump: Bench) -> None:
    """The wires stay joined to one another, so that the rest of the net lives on."""
    solution = pump.network.edited([Lifted("K1.A1")]).solve(pump.position("S2"))

    assert solution.volts("@3").dc == 24
    assert solution.load("K1.coil").verdict == "none"


def test_a_lead_on_the_wrong_terminal(pump: Bench) -> None:
    """The wires of the coil landed on the lamp: the lamp lights with the button, the coil does nothing."""
    solution = pump.network.edited([Moved("K1.A1", "H1.X1")]).solve(pump.position("S2"))

    assert solution.load("H1.lamp").verdict == "full"
    assert solution.load("K1.coil").verdict == "none"


def test_exchanged_leads_on_one_part_reverse_it(pump: Bench) -> None:
    """A coil does not mind; its volts change sign."""
    solution = pump.network.edited([Exchanged("K1.A1", "K1.A2")]).solve(pump.position("S2"))

    assert solution.across("K1.coil").dc == -24
    assert solution.load("K1.coil").verdict == "full"


def test_an_open_wire_cuts_off_what_lies_behind_it(pump: Bench) -> None:
    """Every wire of the point 3 in turn: what it feeds is dead, and no wire is without effect."""
    node = pump.network.node("@3")
    effects = []
    for wire in pump.network.wires[node]:
        cut = pump.network.edited([WireOpened(wire)])
        answers = [cut.solve(pump.position(tag)).load("K1.coil").verdict for tag in ("S2", "K1")]
        effects.append(answers)

    assert len(effects) == 2
    assert all(answers != ["full", "full"] for answers in effects)


def test_edits_add_up_and_leave_the_network_as_it_was(pump: Bench) -> None:
    """`edited` twice is both edits; the first network still works."""
    twice = pump.network.edited([SupplyAt("G1", 12)]).edited([Joined("@2", "@3")])

    assert twice.solve(pump.position()).load("K1.coil").acting_v == 12
    assert pump.network.solve(pump.position()).load("K1.coil").acting_v == 0


@pytest.mark.parametrize(
    "edit",
    [
        Opened("K9.coil"),
        Shorted("K1.13-99"),
        Joined("K1.A1", "nowhere"),
        Lifted("K1.77"),
        InSeries("K1.77", 5),
        Exchanged("K1.A1", "K1.77"),
        Moved("K1.A1", "K1.77"),
        WireOpened(("K1.A1", "G1.+")),
        SupplyAt("G9", 5),
    ],
)
def test_an_edit_of_what_is_not_there_says_so(pump: Bench, edit) -> None:  # type: ignore[no-untyped-def]
    """The name that is unknown comes back with the error."""
    with pytest.raises(UnknownPlace, match="there is nothing called"):
        pump.network.edited([edit])


def test_places_that_are_not_there(pump: Bench) -> None:
    """Volts and amps of unknown names are errors, never zeros."""
    solution = pump.solve()
    for ask in (
        lambda: solution.volts("K1.77"),
        lambda: solution.amps("K1.77-78"),
        lambda: solution.across("M1"),
        lambda: solution.load("G1.out"),
        lambda: solution.amps_in_wire("K1.A1", "G1.+"),
        lambda: pump.network.node("@77"),
    ):
        with pytest.raises(UnknownPlace):
            ask()


LONG_LINE = """
panel "Far switch"
  symbols IEC
supplies
  T1  control transformer  400 V / 230 V  250 VA  rails X1 X2  earthed at X2
devices on plate
  K1  contactor  3 poles  coil 230 V 50 Hz
  S1  pushbutton  green  1 NO
rungs from X1 to X2
  S1.no  K1.coil
"""


def test_the_capacitance_of_a_long_line_bridges_an_open_switch() -> None:
    """Current through the capacitance: I = U x 2 pi f C for a reactance well above that of the coil (textbook)."""
    bench = on_the_bench(LONG_LINE)
    farads = 0.3e-6  # 1 km of control cable, common practice, no source
    solution = bench.network.edited([Joined("S1.13", "S1.14", farads=farads)]).solve(bench.position())
    coil = bench.network.elements.consumers["K1.coil"]
    total = 1 / coil.siemens(50) + 1 / (2j * math.pi * 50 * farads)

    assert solution.amps("K1.coil").effective == pytest.approx(230 / abs(total), rel=1e-2)
    assert solution.load("K1.coil").acting_v > 0
