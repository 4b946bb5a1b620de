"""Textbook circuits worked by hand, and what every circuit has to keep: Kirchhoff's laws and the balance of power.

Method of the hand calculations: Ohm's law, voltage divider, mesh and nodal equations as in any electrical textbook.
"""

from __future__ import annotations

import random

import pytest
from hypothesis import HealthCheck, given, settings

from panelwright.circuit import Circuit
from panelwright.electrics import Network, Position, Solution
from tests.electrics.families import COIL_OHMS, LAMP_OHMS, Workshop, random_closed
from tests.electrics.reading import on_the_bench
from tests.electrics.tangles import tangles


def test_two_coils_in_series_share_the_volts() -> None:
    """Voltage divider: equal coils get 12 V each of 24 V, and neither surely picks up."""
    shop = Workshop()
    shop.rung("+", ("K1.coil", "K2.coil"), "-")
    solution = Network(shop.circuit()).solve(Position())

    assert [solution.load(f"K{n}.coil").acting_v for n in (1, 2)] == pytest.approx([12, 12])
    assert [solution.load(f"K{n}.coil").verdict for n in (1, 2)] == ["partial", "partial"]
    assert solution.amps("K1.coil").dc == pytest.approx(24 / (2 * COIL_OHMS))


def test_a_lamp_in_series_with_a_coil() -> None:
    """Voltage divider with 650 and 1200 ohm: 24 x 650 / 1850 = 8.432 V on the coil."""
    shop = Workshop()
    shop.rung("+", ("H1.lamp", "K1.coil"), "-")
    solution = Network(shop.circuit()).solve(Position())

    assert solution.load("K1.coil").acting_v == pytest.approx(8.432, abs=5e-4)
    assert solution.load("H1.lamp").acting_v == pytest.approx(15.568, abs=5e-4)


def test_a_lost_common_feeds_a_coil_back_through_a_lamp() -> None:
    """With the common return open, K1 and H1 side by side come in series with K2 (voltage divider by hand)."""
    shop = Workshop()
    shop.rung("+", ("S1.no", "K1.coil"), "@N")
    shop.rung("+", "H1.lamp", "@N")
    shop.rung("@N", "S2.nc", "-")
    shop.rung("@N", "K2.coil", "-")
    network = Network(shop.circuit())
    healthy, lost = network.solve(Position(frozenset({"S2.11-12"}))), network.solve(Position(frozenset({"S1.13-14"})))
    parallel = 1 / (1 / COIL_OHMS + 1 / LAMP_OHMS)

    assert healthy.load("H1.lamp").acting_v == 24
    assert lost.load("K2.coil").acting_v == pytest.approx(24 * COIL_OHMS / (COIL_OHMS + parallel))


def test_a_bridge_of_five_resistances() -> None:
    """Unbalanced bridge, node equations by hand: 100, 200, 300, 400 ohm and 50 ohm across, on 10 V.

    (10 - u) / 100 = u / 300 + (u - v) / 50 and (10 - v) / 200 + (u - v) / 50 = v / 400 give u = 7.2581, v = 7.0968.
    """
    shop = Workshop(volts=10)
    for start, tag, ohms, end in (
        ("+", "K1", 100, "@U"),
        ("+", "K2", 200, "@V"),
        ("@U", "K3", 300, "-"),
        ("@V", "K4", 400, "-"),
        ("@U", "K5", 50, "@V"),
    ):
        shop.rung(start, f"{tag}.coil.{ohms}", end)
    solution = Network(shop.circuit()).solve(Position())

    assert solution.volts("@U").dc == pytest.approx(7.2581, abs=5e-5)
    assert solution.volts("@V").dc == pytest.approx(7.0968, abs=5e-5)
    assert solution.amps("K5.coil").dc == pytest.approx((7.2581 - 7.0968) / 50, rel=1e-3)


def test_an_ac_coil_has_an_impedance() -> None:
    """Impedance of resistance and reactance in series: I = U / sqrt(R^2 + X^2)."""
    shop = Workshop(volts=120, hertz=60)
    shop.rung("+", "K1.coil", "-")
    solution = Network(shop.circuit()).solve(Position())

    assert solution.amps("K1.coil").ac_effective == pytest.approx(120 / (COIL_OHMS**2 + (COIL_OHMS / 2) ** 2) ** 0.5)


def test_line_and_phase_volts_of_a_three_phase_supply() -> None:
    """Lines are sqrt 3 times phases apart and follow one another by 120 degrees (textbook)."""
    bench = on_the_bench(
        """
panel "Mains"
  symbols IEC
supplies
  L   mains  400 V 50 Hz  rails L1 L2 L3 N PE
devices on plate
  S1  pushbutton  green  1 NO
  K1  contactor  3 poles  coil 230 V 50 Hz
rungs from L1 to N
  S1.no  K1.coil
"""
    )
    solution = bench.solve("S1")
    lines = [solution.volts(*pair).ac[0][1] for pair in (("L1", "L2"), ("L2", "L3"), ("L3", "L1"))]

    assert [abs(line) for line in lines] == pytest.approx([400, 400, 400])
    assert abs(sum(lines)) == pytest.approx(0, abs=1e-9)
    assert solution.load("K1.coil").acting_v == pytest.approx(230.94, abs=5e-3)


def test_a_flyback_diode_takes_no_part_until_it_is_reversed() -> None:
    """The right way round it blocks; the wrong way round it is as good as a short."""
    text = """
panel "Valve"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on plate
  S1  pushbutton  green  1 NO
  K1  relay  2 CO  coil 24 V dc
  V1  diode
rungs from + to -
  S1.no  ( K1.coil | V1.{ends} )
"""
    right, wrong = (on_the_bench(text.format(ends=ends)).solve("S1") for ends in ("K-A", "A-K"))

    assert right.load("K1.coil").acting_v == 24
    assert wrong.load("K1.coil").verdict == "none"
    assert wrong.volts("K1.A1").dc == pytest.approx(0.7, abs=0.2)
    assert wrong.overloads[0].element == "G1.out"


def test_what_hangs_on_a_diode_has_volts_in_its_forward_direction_alone() -> None:
    """Behind the cathode a meter shows the rail less a drop; before the anode it shows nothing that is defined."""
    text = """
panel "Indicator"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on plate
  S1  pushbutton  green  1 NO
  K1  relay  2 CO  coil 24 V dc
  V1  diode
rungs from + to -
  V1.{ends}  @5  S1.no  K1.coil
"""
    forward, backward = (on_the_bench(text.format(ends=ends)).solve() for ends in ("A-K", "K-A"))

    assert forward.volts("@5").dc == pytest.approx(23.3)
    assert backward.volts("@5").floating


def test_wires_carry_what_the_parts_behind_them_take() -> None:
    """The chain of the return carries the sum of what is behind it; the last wire only its own part."""
    bench = on_the_bench(
        """
panel "Lamps"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on plate
  H1  lamp  white  24 V dc
  H2  lamp  white  24 V dc
  H3  lamp  white  24 V dc
rungs from + to -
  H1
  H2
  H3
"""
    )
    solution = bench.solve()
    one = solution.amps("H1.lamp").dc
    node = bench.network.node("-")
    carried = sorted(round(abs(solution.amps_in_wire(*wire).dc) / one, 6) for wire in bench.network.wires[node])

    assert sum(carried) >= 3
    assert set(carried) <= {1, 2, 3}
    assert sum(abs(solution.amps_in_wire(*w).dc) for w in bench.network.wires[node] if "G1.-" in w) == pytest.approx(
        3 * one
    )


def powers(circuit: Circuit, solution: Solution, hertz: float) -> tuple[complex, complex]:
    """Complex power given by the supplies and taken by everything else, at one frequency."""
    elements, flow = solution._elements, solution._settling.flows[hertz]
    given, taken = 0j, 0j
    for element in elements.all():
        level = solution.amps(element.id)
        amps = dict(level.ac).get(hertz, 0j) if hertz else complex(level.dc)
        power = (flow.volts[element.a] - flow.volts[element.b]) * amps.conjugate()
        if element.id in elements.feeds:
            given -= power
        else:
            taken += power
    return given, taken


@settings(deadline=None, max_examples=60, derandomize=True, suppress_health_check=list(HealthCheck))
@given(tangles())
def test_currents_sum_to_zero_and_powers_balance(case: tuple[Circuit, frozenset[str]]) -> None:
    """Kirchhoff's current law at every node, and power given equals power taken, at every frequency."""
    circuit, closed = case
    solution = Network(circuit).solve(Position(closed))
    for hertz in solution._settling.flows:
        into: dict[int, complex] = {}
        largest = 1e-6
        for element in solution._elements.all():
            level = solution.amps(element.id)
            amps = dict(level.ac).get(hertz, 0j) if hertz else complex(level.dc)
            into[element.a] = into.get(element.a, 0j) - amps
            into[element.b] = into.get(element.b, 0j) + amps
            largest = max(largest, abs(amps))
        given, taken = powers(circuit, solution, hertz)

        assert max(abs(amps) for amps in into.values()) <= 1e-9 * largest
        assert abs(given - taken) <= 1e-9 * max(1.0, abs(taken))


def test_the_same_position_gives_the_same_answer_whatever_was_asked_before() -> None:
    """Nothing of one position is left in the next."""
    shop = Workshop()
    shop.rung("+", ("S1.no", ["K1.coil", "H1.lamp"]), "@N")
    shop.rung("@N", ["S2.nc", "K2.coil"], "-")
    circuit, rng = shop.circuit(), random.Random(2)
    network = Network(circuit)
    positions = [Position(random_closed(circuit, rng)) for _ in range(30)]
    first = [network.solve(p).volts("@N") for p in positions]

    assert first == [Network(circuit).solve(p).volts("@N") for p in reversed(positions)][::-1]
