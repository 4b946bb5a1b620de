"""One motor after the other: what is chosen for it, and how that compares with the file."""

from __future__ import annotations

import pytest

import panelwright as pw
from panelwright.sizing.routes import routes_of

from .motor_panels import HEAD, PATH, STARTER, one, sheet, simple


def test_the_table_and_not_the_nameplate_sizes_conductors() -> None:
    """NEC 430.6(A)(1): 7.6 A from the table though the plate says 6.5 A; the overload goes by the plate."""
    found = simple("5 hp  460 V  6.5 A  service factor 1.15", overload="7 A to 11 A  set 8.1 A")

    assert 7.6 == one(found, "M1", "full-load current").value
    assert 8.125 == pytest.approx(one(found, "M1", "overload setting").value)
    assert not found.shortfalls


def test_a_slow_motor_goes_by_its_nameplate() -> None:
    """NEC 430.6(A)(1): below 1200 rpm the table does not hold."""
    found = simple("5 hp  460 V  9.1 A  890 rpm")

    assert 9.1 == one(found, "M1", "full-load current").value


def test_a_large_fuse_and_a_high_setting_fall_short() -> None:
    """The sheet says which, and above what."""
    found = simple("5 hp  460 V  7.6 A", fuse="30 A slow", overload="7 A to 11 A  set 10 A")

    assert ["branch device", "overload setting"] == [answer.question for answer in found.shortfalls]
    fitted = one(found, "M1", "branch device").fitted
    assert fitted is not None
    assert ("F1 fuse 30 A", "above 15 A, the largest that is allowed") == (fitted.text, fitted.why)


def test_star_delta_shares_are_found_from_the_drawing() -> None:
    """Line and delta contactor and the relay in the winding 0.58, star contactor a third, fuses all of it."""
    circuit = pw.read_file("examples/circuits/c31-star-delta.panel").circuit
    (route,) = routes_of(pw.wire(circuit))

    assert {"K1": 0.333, "K2": 0.577, "K3": 0.577, "F5": 0.577, "F1": 1.0, "Q1": 1.0} == {
        stop.device.tag: stop.share for stop in route.stops
    }


def test_a_reversing_neighbour_is_not_on_the_way() -> None:
    """Two motors from one bus: the other's reversing contactors join its phases, and still do not feed this one."""
    devices = """  F1  fuse  3 poles  16 A
  F2  fuse  3 poles  16 A
  Q1  contactor  3 poles  coil 24 V dc
  Q2  contactor  3 poles  coil 24 V dc
  Q3  contactor  3 poles  coil 24 V dc
"""
    motors = "  M1  three-phase motor  3 kW  400 V\n  M2  three-phase motor  3 kW  400 V"
    paths = "  @P  F1.poles  Q1.poles  M1\n  F0.poles  @P\n  @P  F2.poles  @R\n  @R  Q2.poles  @M\n"
    paths += "  @R  Q3.poles  swap L1 L3  @M\n  @M  M2"
    text = HEAD.format(
        symbols="IEC", rules="rules IEC 60204-1", mains="400 V 50 Hz", motors=motors, wire="2.5 mm2",
        devices="  F0  fuse  3 poles  32 A\n" + devices, site="  ambient 40 C", paths=paths,
    )  # fmt: skip
    first, second = routes_of(pw.wire(pw.read(text).circuit))

    assert {"F0", "F1", "Q1"} == first.tags
    assert {"F0", "F2", "Q2", "Q3"} == second.tags


def test_editions_have_their_own_numbers() -> None:
    """The same table, under the number of the edition that the heading names."""
    rules = {}
    for edition in ("2008", "2017", "2023"):
        workings = one(simple("5 hp  460 V", rules=f"rules NEC {edition}"), "M1", "branch conductor").workings
        rules[edition] = workings[1].rule

    assert {
        "2008": "NEC Table 310.16",
        "2017": "NEC Table 310.15(B)(16)",
        "2023": "NEC Table 310.16",
    } == rules


def test_a_code_that_is_not_known_is_said() -> None:
    """The usual one is taken, and the sheet says that it was; a slip is answered with what is near."""
    slip = simple("5 hp  460 V", rules="rules NEC 2032").taken[0]
    other = simple("5 hp  460 V", rules="rules of the house, NEC too").taken[0]

    assert slip.startswith('"rules NEC 2032" is not known here; write rules NEC 202')
    assert other.startswith('"rules of the house, NEC too" is not known here (NEC 2023, ')


def test_iec_goes_by_the_nameplate_and_by_guide_values() -> None:
    """IEC 60947-4-1 annex G: 3 kW at 400 V is 6.5 A; the plate says 6.8 A and holds."""
    said = {"rules": "rules IEC 60204-1", "mains": "400 V 50 Hz", "wire": "2.5 mm2", "site": "  ambient 40 C"}
    plate = simple("3 kW  400 V  6.8 A", fuse="16 A gG", overload="5.5 A to 8 A  set 6.8 A", **said)
    guide = simple("3 kW  400 V", fuse="16 A gG", overload="5.5 A to 8 A  set 6.5 A", **said)

    assert 6.8 == one(plate, "M1", "full-load current").value
    assert 6.5 == one(guide, "M1", "full-load current").value
    assert one(guide, "M1", "full-load current").remembered


@pytest.mark.parametrize(("ambient", "wires"), [("40 C", "2.5 mm2"), ("60 C", "6 mm2")])
def test_a_warm_place_asks_for_more_copper(ambient: str, wires: str) -> None:
    """17 A by method B2: 2.5 mm2 carries 17.4 A at 40 C; at 60 C 6 mm2 carries 30 x 0.58 = 17.4 A. (Table 6, D.1)"""
    found = simple("7.5 kW  400 V  17 A", fuse="35 A gG", overload="15 A to 20 A  set 17 A", rules="rules IEC 60204-1",
                   mains="400 V 50 Hz", wire="2.5 mm2", site=f"  ambient {ambient}")  # fmt: skip

    assert wires == one(found, "M1", "branch conductor").choice


def test_a_jogged_motor_needs_a_larger_contactor() -> None:
    """NEMA ICS 2: 10 hp at 460 V is size 1 at full voltage, size 2 for jogging."""
    plain, jogged = (one(simple(f"10 hp  460 V  {word}"), "Q1", "contactor").choice for word in ("", "jogging"))

    assert ("NEMA size 1", "NEMA size 2") == (plain, jogged)


def test_a_large_device_on_small_wire_is_explained() -> None:
    """14 AWG behind a 35 A breaker looks wrong and is right for a motor: NEC 240.4(G)."""
    devices = STARTER.format(fuse="15 A slow", overload="12 A to 18 A").replace(
        "F1  fuse  3 poles  15 A slow", "F1  breaker  3 poles  35 A"
    )
    found = sheet(devices, "  M1  three-phase motor  10 hp  460 V", PATH, site="  terminals 75 C")
    answer = one(found, "M1", "branch conductor")

    assert "14 AWG copper" == answer.choice
    assert "NEC 240.4(G)" in " ".join(answer.warnings)


def test_a_conductor_carries_what_its_overload_relay_lets_flow() -> None:
    """IEC: 13 A of motor on 1.5 mm2 (13.1 A), but a relay set to 15 A asks for 2.5 mm2. (Ib <= In <= Iz)"""
    found = simple("5.5 kW  400 V  13 A", fuse="32 A gG", overload="11 A to 16 A  set 15 A", rules="rules IEC 60204-1",
                   mains="400 V 50 Hz", wire="1.5 mm2", site="  ambient 40 C")  # fmt: skip
    answer = one(found, "M1", "branch conductor")

    assert "2.5 mm2" == answer.choice
    assert answer.fitted is not None
    assert answer.fitted.fits is False


@pytest.mark.parametrize(
    ("motor", "amps", "fuse"),
    [
        ("single-phase motor  1 hp  115 V", 16, 30),  # Table 430.248; 175 % = 28 A
        ("single-phase motor  5 hp  230 V", 28, 50),  # 49 A
        ("dc motor  5 hp  240 V dc", 20, 30),  # Table 430.247; 150 % for dc
        ("wound-rotor motor  10 hp  460 V", 14, 25),  # Table 430.250; 150 % = 21 A
    ],
)
def test_other_motors_have_their_own_tables_and_percentages(motor: str, amps: float, fuse: float) -> None:
    """NEC Tables 430.247, 430.248 and 430.52."""
    poles = 3 if "wound" in motor else 2
    rails = "L1 L2 L3" if poles == 3 else "P N" if "dc" in motor else "L1 L2"
    text = f"""panel "Test"
  symbols NA
  rules NEC 2023
supplies
  L  mains  480 V 60 Hz  rails L1 L2 L3
  G1  dc supply  240 V  40 A  rails P N
devices on plate
  F1  fuse  {poles} poles  {fuse} A  slow
devices in field
  M1  {motor}
power paths from {rails}
  F1.poles  M1
"""
    reading = pw.read(text)
    found = pw.size(reading.circuit)

    assert reading.ok
    assert amps == one(found, "M1", "full-load current").value
    assert fuse == one(found, "M1", "branch device").value


def test_a_protective_conductor_need_not_be_larger_than_the_line_conductors() -> None:
    """35 A device: row 60 A, 10 AWG; the circuit is on 14 AWG, and so is its protective conductor. NEC 250.122(A)"""
    devices = STARTER.format(fuse="15 A slow", overload="12 A to 18 A").replace(
        "F1  fuse  3 poles  15 A slow", "F1  breaker  3 poles  35 A"
    )
    motor = "  M1  three-phase motor  10 hp  460 V"
    answer = one(sheet(devices, motor, PATH, wire="14 AWG", site="  terminals 75 C"), "M1", "protective conductor")

    assert "14 AWG copper" == answer.choice
    assert "device of 35 A: row 60 A, 10 AWG" == answer.workings[0].text


def test_overloads_of_small_motors_may_be_left_to_other_means() -> None:
    """NEC 430.32(B) and (D), up to 1 hp."""
    small, large = (one(simple(f"{hp} hp  460 V  2 A"), "M1", "overload setting").warnings for hp in (1, 1.5))

    assert (1, 0) == (len(small), len(large))


def test_a_site_at_freezing_is_taken_at_its_word() -> None:
    """0 C is a temperature and not a missing one: 25 A x 1.15 of 14 AWG THHN up to 10 C. (NEC Table 310.15(B)(1)(1))"""
    workings = one(simple("5 hp  460 V", site="  ambient 0 C"), "M1", "branch conductor").workings

    assert "25 A x 1.15 (0 C) = 28.75 A" in [working.text for working in workings]


def test_a_motor_breaker_alone_is_no_branch_device_in_north_america() -> None:
    """Unless listed as a self-protected combination controller; under IEC it is the usual one."""
    devices = "  Q2  motor breaker  3 poles  7 A to 11 A  set 7.6 A\n  Q1  contactor  3 poles  coil 24 V dc\n"
    said = {"rules": "rules IEC 60204-1", "mains": "400 V 50 Hz", "wire": "2.5 mm2", "site": "  ambient 40 C"}
    motor, path = "  M1  three-phase motor  5 hp  460 V  7.6 A", "  Q2.poles  Q1.poles  M1"
    american = one(sheet(devices, motor, path), "M1", "branch device").fitted
    other = one(
        sheet(devices, "  M1  three-phase motor  4 kW  400 V  7.6 A", path, **said), "M1", "branch device"
    ).fitted

    assert american is not None
    assert other is not None
    assert (None, True) == (american.fits, other.fits)


def test_power_factor_and_efficiency_tell_the_current() -> None:
    """3 kW at 400 V, 0.82, 86 %: 3000 / (1.732 x 400 x 0.82 x 0.86) = 6.14 A; better than a guide value."""
    found = simple("3 kW  400 V  power factor 0.82  efficiency 86 %", fuse="16 A gG", overload="5.5 A to 8 A",
                   rules="rules IEC 60204-1", mains="400 V 50 Hz", wire="2.5 mm2", site="  ambient 40 C")  # fmt: skip

    assert 3000 / (3**0.5 * 400 * 0.82 * 0.86) == pytest.approx(one(found, "M1", "full-load current").value or 0)


def test_a_disconnect_breaks_the_current_of_a_held_rotor() -> None:
    """10 hp at 208 V: 179 A, NEC Table 430.251(B); the horsepower rating covers it. (forums.mikeholt.com 83410)"""
    found = simple("10 hp  208 V", mains="208 V 60 Hz", wire="8 AWG", overload="28 A to 40 A")
    texts = [working.text for working in one(found, "M1", "disconnect").workings]

    assert "rated in horsepower: breaks 179 A with the rotor held" in texts


def test_a_metric_wire_under_the_nec_is_counted_as_the_gauge_below() -> None:
    """2.5 mm2 has less copper than 12 AWG (3.31 mm2): it counts as 14 AWG, and the sheet says so."""
    fitted = one(simple("5 hp  460 V", wire="2.5 mm2"), "M1", "branch conductor").fitted

    assert fitted is not None
    assert ("wires 2.5 mm2", True, "carries 15 A here, counted as 14 AWG") == (fitted.text, fitted.fits, fitted.why)


def test_a_motor_without_horsepower_gets_no_size_by_horsepower() -> None:
    """Two speeds, currents alone: contactors by amperes, starting current by factor, and not by the first table row."""
    found = pw.size(pw.read_file("examples/circuits/c14-two-speed-ventilator.panel").circuit)
    contactor, disconnect = one(found, "K2", "contactor"), one(found, "M1.high", "disconnect")

    assert "horsepower-rated for the motor, 9.6 A at least" == contactor.choice
    assert "rated in horsepower: breaks 69.12 A with the rotor held" in [step.text for step in disconnect.workings]


def test_the_sizes_of_ac_3_do_not_hold_for_a_motor_that_is_jogged() -> None:
    """IEC 60947-4-1: AC-4 breaks the starting current; a contactor rated in AC-3 cannot be told to bear that."""
    said = {"rules": "rules IEC 60204-1", "mains": "400 V 50 Hz", "wire": "2.5 mm2"}
    devices = STARTER.format(fuse="16 A gG", overload="5.5 A to 8 A  set 6.8 A").replace("24 V dc", "24 V dc  12 A")
    runs, jogs = (
        one(sheet(devices, f"  M1  three-phase motor  3 kW  400 V  6.8 A{jogging}", PATH, **said), "Q1", "contactor")
        for jogging in ("", "  jogging")
    )

    assert ("6.8 A at least in AC-3, usual size 7 A", "6.8 A at least in AC-4") == (runs.choice, jogs.choice)
    assert runs.fitted is not None
    assert jogs.fitted is not None
    assert (True, None) == (runs.fitted.fits, jogs.fitted.fits)
    assert "jogged, it breaks the starting current: 7.2 x 6.8 A each time" == jogs.workings[1].text
