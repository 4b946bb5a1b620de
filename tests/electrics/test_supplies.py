"""Supplies: earthed or floating, shared, fed from a primary, limited, shorted."""

from __future__ import annotations

import pytest

from panelwright.electrics import Joined, Meter, SupplyAt
from tests.electrics.reading import on_the_bench

COIL = """
panel "Vent"
  symbols IEC
supplies
  G1  dc supply  24 V  {amps} A  rails + -  {earth}
devices on plate
  F1  fuse  2 A
  S1  pushbutton  green  1 NO  "Open"
  K1  relay  2 CO  coil 24 V dc  "Vent"
  H1  lamp  white  24 V dc  "Open"
rungs from + to -
  F1  @1
rungs from @1 to -
  S1.no  K1.coil  "Vent"
  K1.no  H1
"""


def test_a_floating_supply_has_no_volts_to_earth() -> None:
    """Between its rails 24 V, to earth nothing that is defined; a meter on it reads 0 V."""
    bench = on_the_bench(COIL.format(amps="2.5", earth="floating"))
    solution = bench.solve()
    metered = bench.network.edited([Meter("+", "earth", 10e6)]).solve(bench.position())

    assert solution.volts("+", "-").dc == 24
    assert solution.volts("+", "earth").floating
    assert metered.volts("+", "earth").dc == pytest.approx(0, abs=1e-6)


def test_one_earth_fault_on_a_floating_supply_changes_nothing_and_two_do() -> None:
    """Common practice, no source: an unearthed control circuit survives its first earth fault."""
    bench = on_the_bench(COIL.format(amps="2.5", earth="floating"))
    one = bench.network.edited([Joined("K1.A1", "earth")]).solve(bench.position())
    two = bench.network.edited([Joined("K1.A1", "earth"), Joined("@1", "earth")]).solve(bench.position())

    assert one.load("K1.coil").verdict == "none"
    assert one.volts("-", "earth").dc == 0
    assert two.load("K1.coil").verdict == "full"


def test_an_earth_fault_behind_the_contact_of_an_earthed_supply_blows_the_fuse() -> None:
    """The fault is a short over the fuse as soon as the button is pressed; a 2.5 A supply may not clear 2 A."""
    bench = on_the_bench(COIL.format(amps="2.5", earth="earthed at -"))
    faulty = bench.network.edited([Joined("K1.A1", "earth")])
    rest, pressed = faulty.solve(bench.position()), faulty.solve(bench.position("S1"))
    (short,) = pressed.shorts

    assert rest.shorts == ()
    assert (short.source, short.fuse) == ("G1.out", "F1.fuse")
    assert "G1.earth" in short.path
    assert not short.surely_clears
    assert pressed.blows == "F1.fuse"
    assert pressed.load("K1.coil").verdict == "none"


def test_a_larger_supply_clears_the_same_fuse() -> None:
    """With 10 A behind it the 2 A fuse surely opens."""
    bench = on_the_bench(COIL.format(amps="10", earth="earthed at -"))
    (short,) = bench.network.edited([Joined("@1", "-")]).solve(bench.position()).shorts

    assert short.surely_clears


def test_a_dc_supply_holds_its_current_under_overload() -> None:
    """1 A through 4 ohm: the volts sag to 4.4 V (1.1 times the rating), nothing is shorted."""
    bench = on_the_bench(COIL.format(amps="1", earth="earthed at -"))
    solution = bench.network.edited([Joined("+", "-", 4)]).solve(bench.position("S1"))

    assert solution.amps("G1.out").dc == pytest.approx(-1.1)
    assert solution.volts("+", "-").dc == pytest.approx(4.4, rel=0.02)
    assert solution.shorts == ()
    assert [overload.element for overload in solution.overloads] == ["G1.out"]


def test_a_weak_supply_leaves_the_coil_in_doubt() -> None:
    """15 V on a 24 V relay is between its release and its operate volts."""
    bench = on_the_bench(COIL.format(amps="2.5", earth="earthed at -"))
    weak = bench.network.edited([SupplyAt("G1", 15)]).solve(bench.position("S1"))

    assert weak.load("K1.coil").verdict == "partial"
    assert weak.load("K1.coil").acting_v == 15


FED = """
panel "Cold store"
  symbols IEC
supplies
  L   mains  400 V 50 Hz  rails L1 L2 L3 PE
  T1  control transformer  400 V / 230 V  160 VA  rails X1 X2  earthed at X2
  G1  dc supply  24 V  2.5 A  primary 230 V 50 Hz  rails + -  earthed at -
devices on plate
  Q1  disconnect  2 poles  16 A
  F1  breaker  2 poles  2 A
  F2  fuse  1 A
  F3  fuse  2 A
  S1  pushbutton  green  1 NO
  K1  contactor  3 poles  1 NO  coil 230 V 50 Hz
  H1  lamp  white  24 V dc
power paths from L1 L2
  Q1.poles  F1.poles  T1.primary
rungs from X1 to X2
  F2  @10
rungs from @10 to X2
  S1.no  K1.coil
  G1.primary
rungs from + to -
  F3  H1
"""


def test_a_transformer_and_a_dc_supply_live_from_the_mains() -> None:
    """With the disconnect off nothing has volts; with it on both do, and the powers add up."""
    bench = on_the_bench(FED)
    off, on = bench.solve("S1", off=("Q1",)), bench.solve("S1")
    given = sum(
        (solution_volts(on, feed) * on.amps(feed).ac[0][1].conjugate()).real for feed in ("L.out:L1", "L.out:L2")
    )

    assert off.load("K1.coil").verdict == off.load("H1.lamp").verdict == "none"
    assert on.load("K1.coil").verdict == on.load("H1.lamp").verdict == "full"
    assert 215 < on.load("K1.coil").acting_v < 230  # inside a loaded transformer some volts drop
    assert on.load("H1.lamp").acting_v == 24
    assert -given >= (on.load("K1.coil").acting_v ** 2 / 4000)
    assert on.settled


def solution_volts(solution, feed: str) -> complex:  # type: ignore[no-untyped-def]
    """Volts across one phase of the mains, from line to neutral point."""
    elements = solution._elements
    node, star = elements.feeds[feed].a, elements.feeds[feed].b
    return solution._between(node, star).ac[0][1]  # type: ignore[no-any-return]


def test_losing_the_mains_takes_everything_behind_it() -> None:
    """A supply that is off, or a lost line, leaves the fed ones without volts."""
    bench = on_the_bench(FED)
    assert bench.solve("S1", off=("L",)).load("H1.lamp").verdict == "none"


def test_a_shorted_transformer_is_found_with_its_fuse() -> None:
    """A transformer has a resistance inside, and is still shorted."""
    bench = on_the_bench(FED)
    solution = bench.network.edited([Joined("K1.A1", "K1.A2")]).solve(bench.position("S1"))

    assert [(s.source, s.fuse) for s in solution.shorts] == [("T1.out", "F2.fuse")]
    assert solution.shorts[0].surely_clears


def test_two_phases_joined_are_a_short_over_their_breaker() -> None:
    """Joined behind the breaker, both phases feed the fault."""
    bench = on_the_bench(FED)
    solution = bench.network.edited([Joined(*bench.network.elements.ends["T1.primary"])]).solve(bench.position())

    assert {s.source for s in solution.shorts} <= {"L.out:L1", "L.out:L2"}
    assert solution.shorts[0].fuse.startswith("F1.")


SHARED = """
panel "Two supplies, one return"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + M  earthed at M
  G2  dc supply  12 V  2.5 A  rails P M
devices on plate
  S1  selector  OFF ON  starts at OFF
  K1  relay  2 CO  coil 24 V dc
  K2  relay  2 CO  coil 12 V dc
rungs from + to M
  K1.coil
rungs from P to M
  K2.coil
rungs from + to P
  S1.ON
"""


def test_two_supplies_on_one_return_and_set_against_each_other() -> None:
    """Each gives its own coil its own volts; joined at their plus sides they are against one another."""
    bench = on_the_bench(SHARED)
    apart, against = bench.solve(), bench.solve(at={"S1": "ON"})

    assert [apart.load(f"K{n}.coil").acting_v for n in (1, 2)] == [24, 12]
    assert against.shorts
    assert set(against.shorts[0].against) | {against.shorts[0].source} == {"G1.out", "G2.out"}
