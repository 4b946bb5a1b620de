"""What the tables of motor branches come to: ceilings of fuses and breakers, NEMA sizes by amperes."""

from __future__ import annotations

import pytest

from panelwright.sizing import OutsideTable, branch_limit, region_called, smallest_for_drop, usual_site
from panelwright.sizing.site import drop_limit
from panelwright.sizing.torque import slot_torque_nm, socket_torque_nm

from .motor_panels import PATH, STARTER, one, sheet

NEC = region_called("NEC 2023")
assert NEC is not None


@pytest.mark.parametrize(
    ("amps", "device", "ceiling"),
    [(100, "nontime_delay_fuse", 400), (180, "nontime_delay_fuse", 600), (210, "nontime_delay_fuse", 630),
     (240, "time_delay_fuse", 540), (300, "time_delay_fuse", 600), (400, "time_delay_fuse", 1200),
     (100, "inverse_time_breaker", 400), (120, "inverse_time_breaker", 360)],
)  # fmt: skip
def test_a_fuse_stays_in_its_class_up_to_its_ceiling(amps: float, device: str, ceiling: float) -> None:
    """400 and 225 % up to fuses of 600 A, 300 % above; breakers by the motor. NEC 2008 430.52(C)(1) exception 2."""
    assert ceiling == branch_limit(amps, device, NEC).ceiling_a


@pytest.mark.parametrize(
    ("motor", "ceiling"), [("three-phase", 1300), ("three-phase design B energy efficient", 1700), ("dc", 1300)]
)
def test_an_instantaneous_trip_breaker_may_go_to_1300_or_1700_percent(motor: str, ceiling: float) -> None:
    """NEC 430.52(C)(3) exception 1: 1300 %, design B energy efficient 1700 % (community.nfpa.org/thread/37132)."""
    assert ceiling == branch_limit(100, "instantaneous_trip_breaker", NEC, motor).ceiling_a


def test_a_nema_size_is_judged_by_its_amperes_where_horsepower_does_not_rate_it() -> None:
    """A slow motor of no said power takes 26 A: size 0 carries 18, size 1 27 (en.wikipedia.org/wiki/NEMA_size)."""
    motor = "  M1  three-phase motor  460 V  26 A  890 rpm"
    found = [
        one(sheet(STARTER.format(fuse="60 A slow", overload="20 A to 30 A  set 26 A").replace("dc", f"dc  {size}"),
                  motor, PATH), "Q1", "contactor").fitted
        for size in ("size 0", "size 1")
    ]  # fmt: skip

    assert [("Q1 NEMA size 0, 18 A", False), ("Q1 NEMA size 1, 27 A", True)] == [
        (fitted.text, fitted.fits) for fitted in found if fitted is not None
    ]
    assert all("NEMA ICS 2" in fitted.why for fitted in found if fitted is not None)


def test_a_run_that_loses_too_much_names_the_conductor_it_needs() -> None:
    """4 A over 100 ft at 24 V dc, at most 3 %: 0.9 ohm/kft, so 8 AWG (0.778) and not 10 AWG (1.24). NEC Table 8."""
    assert NEC is not None
    found = smallest_for_drop(4, 30.48, 0.03 * 24, NEC, usual_site(NEC), times=2, dc=True)

    assert "8 AWG" == found.name
    with pytest.raises(OutsideTable, match="keeps the drop"):
        smallest_for_drop(4, 30.48, 0.001, NEC, usual_site(NEC), times=2, dc=True)


def test_a_remembered_limit_says_so() -> None:
    """IEC 60204-1 12.5 asks for 5 %, from memory; the note of NEC 210.19 for 3 %, seen."""
    assert ["from memory", "seen"] == [
        drop_limit(region).trust for name in ("IEC 60204-1", "NEC") if (region := region_called(name)) is not None
    ]


def test_small_screws_and_sockets_have_torques_of_their_own() -> None:
    """7 and 12 lb-in are 0.79 and 1.36 N m; a 4 mm socket 100 lb-in, 11.3 N m. NEC Annex I (thenecwiki.com)."""
    assert (0.79, 1.36) == tuple(pytest.approx(slot_torque_nm(4, wide=wide), abs=0.005) for wide in (False, True))
    assert 11.3 == pytest.approx(socket_torque_nm(4), abs=0.01)
    with pytest.raises(OutsideTable, match="ends at slots"):
        slot_torque_nm(7, wide=True)
    with pytest.raises(OutsideTable, match="no socket of 10 mm"):
        socket_torque_nm(10)


@pytest.mark.parametrize(("kw", "amps", "asked"), [("0.4 kW", "1.2 A", False), ("0.6 kW", "1.6 A", True)])
def test_iec_asks_for_an_overload_relay_above_half_a_kilowatt(kw: str, amps: str, asked: bool) -> None:
    """IEC 60204-1 7.3.1 (from memory); the NEC's 1 hp is another limit."""
    devices = "  F1  fuse  3 poles  4 A\n  Q1  contactor  3 poles  coil 24 V dc  9 A"
    found = sheet(devices, f"  M1  three-phase motor  400 V  {kw}  {amps}", "  F1.poles  Q1.poles  M1",
                  rules="rules IEC 60204-1", mains="400 V 50 Hz", wire="2.5 mm2")  # fmt: skip

    assert asked == any(answer.question == "overload setting" for answer in found.shortfalls)
