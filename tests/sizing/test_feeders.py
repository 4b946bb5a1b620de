"""What is ahead of the branch devices: conductor, device and disconnect for several motors."""

from __future__ import annotations

import pytest

from panelwright.sizing import SizingSheet
from panelwright.sizing.feeder_disconnect import equivalent_hp

from .motor_panels import one, sheet


def three(rules: str, motors: list[str], fuse: str, mains: str, wire: str, ahead: str = "") -> SizingSheet:
    """Motors behind fuses of their own, all behind the devices `ahead` (tags F0, Q0)."""
    numbers = range(1, len(motors) + 1)
    devices = ahead + "".join(
        f"  F{n}  fuse  3 poles  {fuse}\n  Q{n}  contactor  3 poles  coil 24 V dc\n" for n in numbers
    )
    tags = [line.split()[0] for line in ahead.splitlines()]
    paths = "".join(f"  {'  '.join(f'{tag}.poles' for tag in tags)}  @P\n" if tags else "")
    paths += "".join(f"  {'@P  ' if tags else ''}F{n}.poles  Q{n}.poles  M{n}\n" for n in numbers)
    lines = "\n".join(f"  M{n}  three-phase motor  {text}" for n, text in zip(numbers, motors, strict=True))
    return sheet(devices, lines, paths, rules=rules, mains=mains, wire=wire)


HP = ["25 hp  460 V", "20 hp  460 V", "10 hp  460 V"]
NEC = {"rules": "rules NEC 2023", "fuse": "60 A slow", "mains": "480 V 60 Hz", "wire": "3 AWG"}
KW = ["3 kW  400 V  6.8 A", "3 kW  400 V  6.8 A"]
IEC = {"rules": "rules IEC 60204-1", "fuse": "16 A gG", "mains": "400 V 50 Hz", "wire": "2.5 mm2"}


def test_one_switch_for_three_motors() -> None:
    """NEC 430.110(C): 1.15 x (34 + 27 + 14) A; locked 183 + 145 + 81 = 409 A, as one motor of 60 hp."""
    found = one(three(motors=HP, ahead="  Q0  disconnect  3 poles  100 A\n", **NEC), "L", "feeder disconnect")

    assert "100 A switch, rated for 60 hp" == found.choice
    assert 1.15 * 75 == pytest.approx(found.value or 0)
    assert found.fitted is not None
    assert found.fitted.fits


def test_the_horsepower_of_several_motors() -> None:
    """Tables 430.250 and 430.251(B) at 460 V: 75 A running asks for 60 hp (77 A), 400 A held for 60 hp (435 A)."""
    assert 60 == equivalent_hp(75, 300, 480)
    assert 60 == equivalent_hp(14, 400, 480)
    assert equivalent_hp(5000, 5000, 480) is None


def test_a_small_switch_for_all_falls_short() -> None:
    """Below 115 % of the currents."""
    assert one(three(motors=HP, ahead="  Q0  disconnect  3 poles  60 A\n", **NEC), "L", "feeder disconnect").falls_short


def test_wires_to_one_branch_device_may_be_thinner_as_taps() -> None:
    """NEC 430.28: own 1.25 x 34 = 42.5 A; a tenth of 125 A is less, a third of the feeder's 85 A too: 6 AWG at 60 C."""
    found = one(three(motors=HP, **NEC), "L", "feeder conductor")

    assert ["6 AWG copper", "6 AWG copper"] == [other.choice for other in found.also[1:]]
    assert ["up to 10 ft", "up to 25 ft"] == [other.why[:11] for other in found.also[1:]]


def test_aluminium_is_offered_beside_a_thick_copper_feeder() -> None:
    """83.5 A in the 60 C column of NEC Table 310.16: 3 AWG copper (85 A), 1 AWG aluminium (85 A)."""
    found = one(three(motors=HP, **NEC), "L", "feeder conductor")

    assert ("3 AWG copper", "1 AWG aluminium") == (found.choice, found.also[0].choice)


def test_the_fuse_ahead_bears_a_start_and_opens_last() -> None:
    """2 x 6.8 + 6.8 = 20.4 A, and 1.6 x 16 A = 25.6 A so that the branch fuse opens first: 32 A gG."""
    found = three(motors=KW, **IEC)
    device, conductor = (one(found, "L", question) for question in ("feeder device", "feeder conductor"))

    assert 32 == device.value
    assert any("papers of the panel" in warning for warning in device.warnings)
    assert any("32 A ahead" in other.why for other in conductor.also)


def test_a_device_of_the_file_is_compared_and_not_with_the_conductor() -> None:
    """The conductor is compared with the wires, the fuses with the fuse, the switch with the switch."""
    ahead = "  Q0  disconnect  3 poles  10 A\n  F0  fuse  3 poles  32 A gG\n"
    found = three(motors=KW, ahead=ahead, **IEC)
    fitted = {q: one(found, "L", f"feeder {q}").fitted for q in ("conductor", "device", "disconnect")}

    assert {"conductor": "wires 2.5 mm2", "device": "F0 32 A", "disconnect": "Q0 10 A"} == {
        question: there.text for question, there in fitted.items() if there is not None
    }
    assert [True, True, False] == [there.fits for there in fitted.values() if there is not None]


def test_the_switch_breaks_a_held_rotor_among_running_motors() -> None:
    """IEC 60204-1 5.3.3: 7.2 x 6.8 A held and 6.8 A running."""
    found = one(three(motors=KW, ahead="  Q0  disconnect  3 poles  25 A\n", **IEC), "L", "feeder disconnect")

    assert "breaks 55.76 A: M1 with its rotor held 48.96 A, the others running" == found.workings[1].text
