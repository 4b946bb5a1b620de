"""Feeders, runs, heat, short-circuit rating: what is asked of a panel as a whole."""

from __future__ import annotations

import pytest

import panelwright as pw
from panelwright.sizing import region_called, usual_site
from panelwright.sizing.conductors import in_parallel
from panelwright.sizing.torque import torque_row

from .motor_panels import one, sheet, simple


def test_a_feeder_of_three_motors() -> None:
    """83.5 A as in the Philippine code 2017 appendix D10; device 90 + 27 + 14 = 131 A, rounded down to 125 A."""
    names = ("1", "2", "3")
    devices = "".join(
        f"  F{n}  breaker  3 poles  {amps} A\n  Q{n}  contactor  3 poles  coil 24 V dc\n"
        f"  F{n}1  overload relay  3 poles  1 A to 99 A\n"
        for n, amps in zip(names, (90, 70, 35), strict=True)
    )
    motors = "\n".join(f"  M{n}  three-phase motor  {hp} hp  460 V" for n, hp in zip(names, (25, 20, 10), strict=True))
    paths = "\n".join(f"  F{n}.poles  Q{n}.poles  F{n}1.poles  M{n}" for n in names)
    found = sheet(devices, motors, paths, wire="3 AWG")
    conductor = one(found, "L", "feeder conductor")

    assert "1.25 x 34 A + 27 A + 14 A = 83.5 A" == conductor.workings[0].text
    assert 125 == one(found, "L", "feeder device").value


def test_motors_that_never_run_together_are_not_added_up() -> None:
    """Walked over the reachable states: the washer's two motors exclude one another, the lift station's do not."""
    washer = pw.size(pw.read_file("examples/circuits/c17-two-stage-washer.panel").circuit)
    station = pw.size(pw.read_file("examples/orchard/lift-station.panel").circuit)
    texts = [one(found, "L", "feeder conductor").workings[0].text for found in (washer, station)]

    assert ["carries 5 A (M1)", "6.8 A (M1) + 6.8 A (M2) + 0.3 A (G1) = 13.9 A"] == texts


def test_an_ambient_beyond_the_table_is_said_and_the_rest_is_sized() -> None:
    """No figure is made up for air at 75 C under PVC."""
    found = simple("7.5 kW  400 V  17 A", fuse="35 A gG", rules="rules IEC 60204-1", mains="400 V 50 Hz",
                   wire="2.5 mm2", site="  ambient 75 C")  # fmt: skip
    answer = one(found, "M1", "branch conductor")

    assert ("", ("the table of ambients ends below 75 C.",)) == (answer.choice, answer.warnings)
    assert one(found, "M1", "branch device").answered


def test_a_motor_beyond_the_tables_is_said_and_the_rest_is_sized() -> None:
    """1000 A: no fuse or contactor of the tables, conductors in parallel; no traceback."""
    found = simple("560 kW  400 V  1000 A", rules="rules IEC 60204-1", mains="400 V 50 Hz", wire="2.5 mm2")

    assert 1000 == one(found, "M1", "full-load current").value
    assert "5 x 120 mm2 for each phase" == one(found, "M1", "branch conductor").choice
    assert one(found, "M1", "branch device").warnings


def test_the_weakest_part_rates_the_panel() -> None:
    """UL 508A SB4: what is not marked counts as the table says; a marked one as marked."""
    found = simple("5 hp  460 V", fuse="15 A slow withstands 100 kA", mains="480 V 60 Hz  fault current 22 kA")
    answer = one(found, "panel", "short-circuit rating")

    assert 5 == answer.value
    assert answer.fitted is not None
    assert answer.fitted.fits is False


def test_iec_asks_for_ratings_instead_of_assuming_them() -> None:
    """IEC has no table of values for unmarked parts."""
    found = simple("3 kW  400 V  6.8 A", rules="rules IEC 60204-1", mains="400 V 50 Hz", wire="2.5 mm2")

    assert "short-circuit rating of F2, Q1, F1" in [missing.what for missing in found.missing]


def test_a_warm_enclosure_gets_a_fan() -> None:
    """P / (k A) above what is allowed inside: the air that would carry the heat off is told in m3/h and cfm."""
    site = "  ambient 35 C\n  inside at most 36 C\n  enclosure 300 x 200 x 150 mm plastic in-a-row-against-a-wall"
    found = simple("5 hp  460 V", site=site)

    assert one(found, "enclosure", "temperature inside").falls_short
    assert "m3/h" == one(found, "enclosure", "air for a fan").unit


def test_a_lone_panel_without_motors_is_sized_too() -> None:
    """A control circuit alone: no power side, no crash."""
    found = pw.size(pw.read_file("examples/orchard/well-pump.panel").circuit)

    assert not [answer for answer in found.answers if answer.question == "branch conductor"]


def test_runs_in_series_are_added_and_each_winding_has_its_own() -> None:
    """30 m on 2.5 mm2 and 20 m on 1.5 mm2: 1.732 x 6.8 A x (R cos phi + X sin phi) of both, R hot by IEC 60228."""
    text = """panel "Test"
  rules IEC 60204-1
supplies
  L  mains  400 V 50 Hz  rails L1 L2 L3 PE  earthed at PE
places
  shed  "half way"
devices on plate
  F1  breaker  3 poles  16 A  C curve
  X1  terminal strip  3 terminals
devices in shed
  X2  terminal strip  3 terminals
devices in field
  M1  three-phase motor  3 kW  400 V  6.8 A  power factor 0.82
cables
  W1  cable  4 G 2.5 mm2  30 m  from X1 to X2
  W2  cable  4 G 1.5 mm2  20 m  from X2 to M1
power paths from L1 L2 L3
  F1.poles  X1.1-2-3  X2.1-2-3  M1
"""
    reading = pw.read(text)
    assert reading.ok
    answer = one(pw.size(reading.circuit), "M1", "voltage drop")
    cosine, sine, hot = 0.82, (1 - 0.82**2) ** 0.5, 1 + 0.00393 * 50
    runs = sum(metres / 1000 * (ohms * hot * cosine + 0.08 * sine) for metres, ohms in ((30, 7.98), (20, 13.3)))

    assert 3**0.5 * 6.8 * runs == pytest.approx(answer.value or 0)
    assert answer.choice.endswith("on W1 and W2")


def test_a_run_that_loses_too_much_says_how_long_it_may_be() -> None:
    """The length within the limit is in the unit that was typed."""
    text = pw.tidy(pw.read_file("examples/orchard/grader-conveyor.panel")).replace("120 ft", "900 ft")
    answer = one(pw.size(pw.read(text).circuit), "1MTR", "voltage drop")

    assert answer.falls_short
    assert "633 ft" == answer.also[0].choice


@pytest.mark.parametrize(
    ("area_mm2", "narrow", "wide"), [(3.31, 20, 35), (8.37, 25, 40), (21.2, 35, 45), (53.5, None, 50)]
)
def test_torques_by_conductor(area_mm2: float, narrow: float | None, wide: float) -> None:
    """12, 8, 4 and 1/0 AWG as printed in NEC Annex I Table I.1. (thenecwiki.com, annex I)"""
    row = torque_row(area_mm2)

    assert (narrow, wide) == (row.slot_narrow_lbin, row.slot_wide_lbin)


def test_no_conductor_below_1_0_is_laid_in_parallel() -> None:
    """766 A at 75 C: two of 600 kcmil (420 A each). NEC 310.10(G), Table 310.16"""
    nec = region_called("NEC 2023")
    assert nec is not None
    count, conductor = in_parallel(766, nec, usual_site(nec))

    assert (2, "600 kcmil", 420) == (count, conductor.name, conductor.amps)


def test_the_nameplate_of_the_panel() -> None:
    """Volts, phases, frequency, full-load current, largest motor: NEC 409.110, IEC 60204-1 16.4 (from memory)."""
    panels = [pw.read_file(f"examples/orchard/{name}.panel").circuit for name in ("lift-station", "grader-conveyor")]
    tags = ("L", "LV")
    plates = [one(pw.size(panel), tag, "nameplate of the panel") for panel, tag in zip(panels, tags, strict=True)]

    assert ["400 V, 3 phases, 50 Hz, full-load current 13.9 A, largest motor 3 kW, 6.8 A",
            "480 V, 3 phases, 60 Hz, full-load current 7.91 A, largest motor 5 hp, 7.6 A"] == [
                plate.choice for plate in plates]  # fmt: skip
