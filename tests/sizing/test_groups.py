"""Several motors behind one branch device."""

from __future__ import annotations

import pytest

from panelwright.sizing import SizingSheet, region_called
from panelwright.sizing.groups import group_limit, small_group_device
from panelwright.sizing.protection import branch_limit

from .motor_panels import one, sheet

QUESTION = "device of a group"


def group(rules: str, motors: list[str], fuse: str, mains: str, wire: str) -> SizingSheet:
    """Motors behind one set of fuses, each with its contactor and overload relay."""
    numbers = range(1, len(motors) + 1)
    devices = f"  F1  fuse  3 poles  {fuse}\n" + "".join(f"  Q{n}  contactor  3 poles  coil 24 V dc\n" for n in numbers)
    paths = "  F1.poles  @P\n" + "".join(f"  @P  Q{n}.poles  M{n}\n" for n in numbers)
    lines = "\n".join(f"  M{n}  three-phase motor  {text}" for n, text in zip(numbers, motors, strict=True))
    return sheet(devices, lines, paths, rules=rules, mains=mains, wire=wire)


NEC = {"rules": "rules NEC 2023", "mains": "480 V 60 Hz", "wire": "12 AWG"}


def test_the_limit_of_a_listed_group() -> None:
    """NEC 430.53(C)(4), from memory: 430.52 for the largest, the currents of the others added, rounded down.

    5 hp at 460 V 7.6 A, time-delay fuse 175 %: 13.3, so 15 A; with 4.8 A and 2.1 A 21.9 A: 20 A.
    """
    region = region_called("NEC 2023")
    assert region is not None
    total, size = group_limit(branch_limit(7.6, "time_delay_fuse", region), [4.8, 2.1])

    assert 21.9 == pytest.approx(total)
    assert 20 == size


@pytest.mark.parametrize(
    ("hp", "amps", "volts", "expected"),
    [([1, 0.5], [2.1, 1.1], 480, 15), ([0.5, 0.25], [5.8, 5.8], 115, 20), ([1.5, 1], [3.0, 2.1], 480, None),
     ([0.75, 0.5], [6.4, 4.4], 115, None)],
)  # fmt: skip
def test_groups_of_small_motors(hp: list[float], amps: list[float], volts: float, expected: float | None) -> None:
    """NEC 430.53(A), from memory: up to 1 hp and 6 A each; 20 A up to 125 V, 15 A up to 600 V."""
    assert expected == small_group_device(hp, amps, volts)


@pytest.mark.parametrize(
    ("fuse", "fits"), [("6 A slow", True), ("15 A slow", None), ("20 A slow", None), ("25 A slow", False)]
)
def test_a_shared_fuse_is_judged_for_the_group(fuse: str, fits: bool | None) -> None:
    """1 hp alone may have 6 A (2.1 x 1.75 = 3.7 A); the listed group 20 A; above it falls short."""
    found = group(motors=["5 hp  460 V", "3 hp  460 V", "1 hp  460 V"], fuse=fuse, **NEC)
    answer, single = one(found, "F1", QUESTION), one(found, "M3", "branch device")

    assert answer.fitted is not None
    assert fits is answer.fitted.fits
    assert single.fitted is not None
    assert single.fitted.fits is None


def test_an_iec_group_bears_the_start_of_the_largest() -> None:
    """2 x 6.8 A + 3.4 A = 17 A: 20 A gG; 16 A cannot be told."""
    found = group(
        "rules IEC 60204-1", ["3 kW  400 V  6.8 A", "1.5 kW  400 V  3.4 A"], "16 A gG", "400 V 50 Hz", "2.5 mm2"
    )
    answer = one(found, "F1", QUESTION)

    assert "20 A gG" == answer.choice
    assert answer.fitted is not None
    assert answer.fitted.fits is None
