"""Published worked examples: the answer printed there, ours beside it. Each names where it was read.

A trap is an example whose printed answer is wrong; the right one is expected.
"""

from __future__ import annotations

from math import sqrt

import pytest

from panelwright.catalog import read_quantity
from panelwright.circuit import Quantity
from panelwright.sizing import (
    AskedWrongly,
    Region,
    branch_limit,
    by_code_letter,
    drop_v,
    fan_cfm,
    feeder_load,
    line_of,
    mttfd_band,
    mttfd_years,
    nema_size,
    operations_per_year,
    overload_row,
    protector_limit,
    region_called,
    rise_f,
    smallest_conductor,
    synchronous_amps,
    table_amps,
    typical_b10d,
    usual_site,
)
from panelwright.sizing.answers import Working
from panelwright.sizing.conductors import sizes
from panelwright.sizing.drops import Line, awg_line
from panelwright.sizing.heat import outside_area_ft2

from .motor_panels import one, simple


def code(name: str) -> Region:
    """A code by its name."""
    found = region_called(name)
    assert found is not None
    return found


NEC, MACHINES = code("NEC 2023"), code("IEC 60204-1:2016")
THREE = sqrt(3)


def awg(needed_a: float, terminals_c: float) -> str:
    """The smallest THHN copper conductor at 30 C with these terminals."""
    return smallest_conductor(needed_a, NEC, usual_site(NEC, terminals_c=terminals_c)).name


def size(text: str) -> Quantity:
    """A conductor as typed."""
    found = read_quantity(text)
    assert found is not None
    return found


def test_seven_and_a_half_hp_at_230_v() -> None:
    """22 A; 27.5 A needs 10 AWG at 60 C and at 75 C; 55 A goes up to a 60 A breaker. (forums.mikeholt.com 15136)"""
    amps = table_amps(7.5, 230)

    assert 22 == amps
    assert ["10 AWG", "10 AWG"] == [awg(1.25 * amps, celsius) for celsius in (60, 75)]
    assert 60 == branch_limit(amps, "inverse_time_breaker", NEC).size_a


def test_five_hp_at_208_v() -> None:
    """16.7 A; 12 AWG; fuse 29.2 -> 30 A, breaker 41.75 -> 45 A, 50.1 A with both readings. (mikeholt.com 7308)"""
    amps = table_amps(5, 208)
    fuse = branch_limit(amps, "nontime_delay_fuse", NEC)

    assert 16.7 == amps
    assert "12 AWG" == awg(1.25 * amps, 75)
    assert 30 == branch_limit(amps, "time_delay_fuse", NEC).size_a
    assert 45 == branch_limit(amps, "inverse_time_breaker", NEC).size_a
    assert 50.1 == pytest.approx(fuse.product_a)
    assert (50, 60) == (fuse.under_a, fuse.size_a)


def test_ten_and_five_hp_at_460_v() -> None:
    """Protectors 21.84 and 12.92 A; 17.5 A needs 14 AWG at 75 C; breaker 35 A exactly. (electriciantalk.com)"""
    ten, five = table_amps(10, 460), table_amps(5, 460)

    assert (14, 7.6) == (ten, five)
    assert 21.84 == pytest.approx(protector_limit(ten)[0])
    assert 12.92 == pytest.approx(protector_limit(five)[0])
    assert "14 AWG" == awg(1.25 * ten, 75)
    assert 35 == branch_limit(ten, "inverse_time_breaker", NEC).size_a


@pytest.mark.parametrize(
    ("hp", "device", "amps", "rating"),
    [
        (15, "nontime_delay_fuse", 21, 70),
        (25, "inverse_time_breaker", 34, 90),
        (30, "time_delay_fuse", 40, 70),
        (50, "nontime_delay_fuse", 65, 200),
        (75, "inverse_time_breaker", 96, 250),
    ],
)
def test_five_motors_at_460_v_with_mixed_devices(hp: float, device: str, amps: float, rating: float) -> None:
    """Motor installation by article 430, a lesson. (slideplayer.com/slide/702697)"""
    found = table_amps(hp, 460)

    assert amps == found
    assert rating == branch_limit(found, device, NEC).size_a


def test_a_feeder_of_two_motors() -> None:
    """27 x 1.25 + 14 = 47.75 A: 8 AWG at 75 C. (a code question on several motors)"""
    load = feeder_load([14, 27])

    assert 47.75 == load
    assert "8 AWG" == awg(load, 75)


def test_a_disconnect_of_ten_hp_at_208_v() -> None:
    """30.8 x 1.15 = 35.4 A: a 60 A switch of 10 hp; 179 A with the rotor held. (forums.mikeholt.com 83410)"""
    found = one(simple("10 hp  208 V  30 A", fuse="60 A slow", mains="208 V 60 Hz"), "M1", "disconnect")

    assert "at least 35.42 A and 10 hp: 60 A switch" == found.choice
    assert any("179 A" in working.text for working in found.workings)


def test_locked_rotor_by_code_letter() -> None:
    """20 hp, 460 V, code G: 157.9 A, printed 158. (thebuildingcodeforum.com 35488)"""
    found = by_code_letter(20, 460, "G")

    assert found is not None
    assert 158 == pytest.approx(found[0], rel=0.01)


def test_the_larger_overload_of_a_motor_with_service_factor_1_12() -> None:
    """130 % and not 140 %: the service factor is below 1.15. (ecmweb.com, overload device code quiz)"""
    row = overload_row(1.12, None)

    assert (115, 130) == (row.percent, row.larger_percent)


@pytest.mark.parametrize(
    ("volts", "amps", "heater", "wire", "nema"), [(230, 42, 48.3, "6 AWG", "2"), (460, 21, 24.15, "10 AWG", "2")]
)
def test_a_chart_row_of_fifteen_hp(volts: float, amps: float, heater: float, wire: str, nema: str) -> None:
    """Current, heater at 115 %, wire at 75 C, NEMA size. (elliottelectric.com full-load currents)"""
    found = table_amps(15, volts)
    contactor = nema_size(15, volts)

    assert amps == found
    assert heater == pytest.approx(found * overload_row(None, None).percent / 100)
    assert wire == awg(1.25 * found, 75)
    assert contactor is not None
    assert nema == contactor[0]


def test_twenty_hp_at_230_v_needs_4_awg() -> None:
    """Trap: a distributor's chart prints 6 AWG (65 A) where 67.5 A are needed. (solutions.borderstates.com)"""
    assert "4 AWG" == awg(1.25 * table_amps(20, 230), 75)


def test_a_feeder_load_of_three_motors() -> None:
    """34 + 27 + 14 + 8.5 = 83.5 A. (Philippine code 2017 appendix D10, studylib.net/doc/26040592)"""
    motors = [table_amps(hp, 460) for hp in (25, 20, 10)]

    assert 83.5 == pytest.approx(feeder_load(motors))


def test_drop_of_16_awg_at_24_v_dc() -> None:
    """4 A over 100 ft of stranded 16 AWG: 3.99 V, printed 4.0; 16.6 % of 24 V. (electrician2.com lpage135)"""
    line = line_of(size("16 AWG"), dc=True, celsius=75.0)
    assert line is not None
    volts = drop_v(4, 30.48, line, times=2)

    assert 3.99 == pytest.approx(volts, rel=0.01)
    assert 16.6 == pytest.approx(100 * volts / 24, rel=0.01)


@pytest.mark.parametrize(("times", "volts", "percent"), [(2.0, 14.76, 3.1), (THREE, 12.78, 2.7)])
def test_drop_by_effective_impedance(times: float, volts: float, percent: float) -> None:
    """2/0 copper in steel, 65 A, 1000 ft, 480 V, power factor 0.85. (lornmac.com voltage drop by Table 9)"""
    line = awg_line("2/0", "steel")
    assert line is not None
    found = drop_v(65, 304.8, line, times=times, power_factor=0.85)

    assert volts == pytest.approx(found, rel=0.01)
    assert percent == pytest.approx(100 * found / 480, abs=0.05)


def test_drop_in_si_units_at_20_c() -> None:
    """20 A over 30.48 m of 3.31 mm2 at 0.017241 ohm mm2/m: 6.35 V, printed 6.4. (voltagedropcalculator.net)"""
    line = Line(0.017241 / 3.31, 0.0, Working(""))

    assert 6.35 == pytest.approx(drop_v(20, 30.48, line, times=2), rel=0.01)


def test_drop_of_25_mm2_with_reactance() -> None:
    """Trap: 11.8 V is printed; R 0.87 and X 0.08 ohm/km at 0.85 give 11.5 V, 2.87 %. (a page on cable sizing)"""
    volts = drop_v(84.9, 100, Line(0.87e-3, 0.08e-3, Working("")), times=THREE, power_factor=0.85)

    assert 11.5 == pytest.approx(volts, abs=0.05)
    assert 2.87 == pytest.approx(100 * volts / 400, abs=0.01)


def test_12_awg_at_75_c_in_an_ambient_of_40_c() -> None:
    """25 x 0.88 = 22 A. (wiresizes.com, NEC Table 310.16)"""
    site = usual_site(NEC, ambient_c=40, terminals_c=75, insulation="THWN")
    found = smallest_conductor(22, NEC, site)

    assert ("12 AWG", 22) == (found.name, pytest.approx(found.amps))


def test_nine_thhn_conductors_at_45_c() -> None:
    """Trap: 17.2 A is printed with the factor of 75 C; THHN is for 90 C: 30 x 0.70 x 0.87 = 18.3 A. (a wiring page)"""
    site = usual_site(NEC, ambient_c=45, terminals_c=75, loaded=9)
    found = smallest_conductor(18, NEC, site)

    assert "12 AWG" == found.name
    assert 18.27 == pytest.approx(found.amps)


@pytest.mark.parametrize(
    ("area", "at_40", "at_50"), [("1.5 mm2", 13, 11), ("2.5 mm2", 17, 14), ("4 mm2", 23, 19), ("6 mm2", 30, 24)]
)
def test_pvc_copper_by_method_b2(area: str, at_40: float, at_50: float) -> None:
    """The publisher rounds: 17.4 x 0.82 = 14.3 is 14. (compressor instruction book, easymanua.ls)"""
    found = [
        next(one.amps for one in sizes(1, MACHINES, usual_site(MACHINES, ambient_c=ambient)) if one.name == area)
        for ambient in (40, 50)
    ]

    assert (at_40, at_50) == tuple(pytest.approx(amps, abs=1.0) for amps in found)


# Capacities of method B2 by ambient, printed in a compressor instruction book: easymanua.ls, page 192.
B2_BY_AMBIENT = """
mm2 30 40 45 50 55
4 27 23 21 19 16
6 34 30 27 24 21
10 46 40 36 33 28
16 62 54 49 44 38
25 80 70 63 57 49
35 99 86 78 70 60
50 118 103 93 84 72
70 149 130 118 106 91
95 179 156 141 127 109
120 206 179 163 146 126
"""


def test_pvc_copper_by_method_b2_at_every_ambient() -> None:
    """All fifty cells, to the ampere, by IEC 60364-5-52 Tables B.52.4 and B.52.14."""
    head, *lines = (line.split() for line in B2_BY_AMBIENT.strip().splitlines())
    region = code("IEC 60364")
    for at, ambient in enumerate(head[1:], 1):
        amps = {one.area_mm2: one.amps for one in sizes(1, region, usual_site(region, ambient_c=float(ambient)))}

        assert [int(line[at]) for line in lines] == [round(amps[float(line[0])]) for line in lines]


# Capacities of methods B2 and C by ambient in small sizes: easymanua.ls, page 92; 17.5 A is printed 17.
SMALL_BY_AMBIENT = """
method mm2 30 40 45 50 55
B2 1.5 15 13 12 11 9
B2 2.5 20 17 16 14 12
C 1.5 17 15 14 12 11
C 2.5 24 21 19 17 15
C 4 32 28 25 23 20
C 6 41 36 32 29 25
C 10 57 50 45 40 35
C 16 76 66 60 54 46
C 25 96 84 76 68 59
C 35 119 104 94 84 73
"""


@pytest.mark.parametrize("line", SMALL_BY_AMBIENT.strip().splitlines()[1:])
def test_pvc_copper_by_methods_b2_and_c_in_small_sizes(line: str) -> None:
    """Each of the fifty cells within the ampere to which they are rounded there, some down and some up."""
    method, area, *printed = line.split()
    region = code("IEC 60364")
    for ambient, amps in zip((30, 40, 45, 50, 55), printed, strict=True):
        site = usual_site(region, ambient_c=float(ambient), method=method)
        found = next(one.amps for one in sizes(1, region, site) if one.area_mm2 == float(area))

        assert abs(found - int(amps)) < 1


def test_rise_of_a_sealed_box_of_48_by_36_by_16_in() -> None:
    """300 W: 42.7 ft2, 7.0 W/ft2, about 30 F off the chart. (elliottelectric.com heat dissipation guide)"""
    area = outside_area_ft2(48, 36, 16)

    assert 42 == pytest.approx(area, rel=0.05)
    assert 7.1 == pytest.approx(300 / area, rel=0.05)
    assert 30 == pytest.approx(rise_f(300, area), rel=0.05)


def test_rise_of_1200_w_in_55_6_ft2() -> None:
    """89.2 F, printed 90. (support.automationdirect.com, enclosure environment)"""
    assert 90 == pytest.approx(rise_f(1200, 55.6), rel=0.05)


def test_fan_for_500_w_at_15_k() -> None:
    """Trap: 30.9 cfm comes from a BTU/h factor with watts; 3.16 x 500 / 27 = 58.5 cfm. (parkermotion.com FAQ 821)"""
    assert 58.5 == pytest.approx(fan_cfm(500, 27), rel=0.01)


def test_mttfd_of_a_contact_that_works_every_20_s() -> None:
    """1 577 880 operations a year, 126.75 years, counted as 100: high. (drive installation guide, manualshive.com)"""
    per_year = operations_per_year(20)

    assert 1_577_880 == pytest.approx(per_year)
    assert 126.75 == pytest.approx(mttfd_years(20_000_000, per_year), abs=0.01)
    assert "high" == mttfd_band(100)


@pytest.mark.parametrize(("power_factor", "amps"), [(1.0, 52), (0.9, 57.2), (0.8, 65)])
def test_synchronous_motors_by_power_factor(power_factor: float, amps: float) -> None:
    """50 hp at 460 V: 52 A, times 1.1 at 0.9 and 1.25 at 0.8. (NEC 2008 Table 430.250, scribd.com/doc/250218196)"""
    assert amps == pytest.approx(synchronous_amps(50, 460, power_factor=power_factor))


def test_typical_operations_of_a_button() -> None:
    """From memory of ISO 13849-1 Table C.1: a push-button 100 000; an unknown part is refused with those known."""
    assert 100_000 == typical_b10d("push-button").operations
    with pytest.raises(AskedWrongly, match="emergency stop device"):
        typical_b10d("lever")
