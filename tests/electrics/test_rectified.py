"""Diodes on ac, against the textbook means of rectified sine waves."""

from __future__ import annotations

import math

import pytest

from tests.electrics.reading import Bench, on_the_bench

HALF_WAVE = """
panel "Half wave"
  symbols IEC
supplies
  T1  control transformer  230 V / 24 V  5000 VA  rails X1 X2  earthed at X2
devices on plate
  V1  diode
  K1  relay  2 CO  coil 24 V dc
  H1  lamp  red  LED  24 V dc
rungs from X1 to X2
  V1.A-K  K1.coil
  H1
"""
BRIDGE = """
panel "Full wave"
  symbols IEC
supplies
  T1  control transformer  230 V / 24 V  5000 VA  rails X1 X2  earthed at X2
devices on plate
  V1  diode
  V2  diode
  V3  diode
  V4  diode
  K1  relay  2 CO  coil 24 V dc
rungs from X1 to @P
  V1.A-K
rungs from X2 to @P
  V2.A-K
rungs from @N to X1
  V3.A-K
rungs from @N to X2
  V4.A-K
rungs from @P to @N
  K1.coil
"""
PEAK_V = 24 * math.sqrt(2)


def mean_above(drop_v: float) -> float:
    """Mean over half a cycle of what a sine of PEAK_V has above a drop (textbook integral)."""
    start = math.asin(drop_v / PEAK_V)
    return (2 * PEAK_V * math.cos(start) - drop_v * (math.pi - 2 * start)) / math.pi


@pytest.fixture(scope="module", name="half")
def half_wave_bench() -> Bench:
    """One diode before a coil."""
    return on_the_bench(HALF_WAVE)


def test_half_wave_mean(half: Bench) -> None:
    """Mean of one half wave a cycle: the coil gets 10 V of 24 V and is in doubt."""
    answer = half.solve().load("K1.coil")

    assert answer.acting_v == pytest.approx(mean_above(0.7) / 2, rel=3e-3)
    assert answer.verdict == "partial"


def test_full_wave_mean() -> None:
    """Mean of both half waves, less two diodes: enough for the relay to be sure."""
    answer = on_the_bench(BRIDGE).solve().load("K1.coil")

    assert answer.acting_v == pytest.approx(mean_above(1.4), rel=3e-3)


def test_a_polarised_lamp_on_ac_glows_for_half_of_the_time(half: Bench) -> None:
    """A dc lamp on ac gets a mean of 0.45 of the volts (textbook: sqrt 2 / pi)."""
    answer = half.solve().load("H1.lamp")

    assert answer.acting_v == pytest.approx(24 * math.sqrt(2) / math.pi, rel=3e-3)
    assert answer.verdict == "partial"


def test_the_effective_value_of_a_half_wave(half: Bench) -> None:
    """Mean and harmonics together: a half wave has 1 / sqrt 2 of the effective value of the whole."""
    assert half.solve().amps("H1.lamp").effective == pytest.approx(
        24 / math.sqrt(2) / half.wiring.circuit.by_tag["H1"].loads[0].ohms, rel=3e-3
    )


def test_a_dc_lamp_beside_an_ac_circuit_is_left_alone() -> None:
    """Only what has ac across a diode is followed through its cycle."""
    bench = on_the_bench(
        """
panel "Both"
  symbols IEC
supplies
  T1  control transformer  400 V / 230 V  250 VA  rails X1 X2  earthed at X2
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on plate
  H1  lamp  red  LED  24 V dc
  K1  contactor  3 poles  coil 230 V 50 Hz
rungs from X1 to X2
  K1.coil
rungs from + to -
  H1
"""
    )
    solution = bench.solve()

    assert solution.volts("H1.X1").dc == 24
    assert solution.volts("H1.X1").ac_effective == 0
    assert solution.load("K1.coil").verdict == "full"
