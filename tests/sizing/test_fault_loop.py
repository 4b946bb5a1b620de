"""Earth faults and short circuits behind the branch device, under IEC rules."""

from __future__ import annotations

from math import isclose

import pytest

from panelwright.sizing import SizingSheet
from panelwright.sizing.conductor_ohms import _area_row
from panelwright.sizing.factors import factor
from panelwright.sizing.fault_loop import longest_loop_m, opens_at, supply_loop_ohms

from .motor_panels import one, sheet, simple

FAULT = "400 V 50 Hz  fault current 6 kA"

# IEC 60204-1:2016 Table 10 (from memory): ohms of the supply, mm2, rating A, longest metres with gG in 5 s,
# gG in 0.4 s, B curve, C curve; 400 V three-phase, protective conductor as large as the line conductors.
TABLE_10 = [
    (0.5, 1.5, 16, 97, 53, 76, 30),
    (0.5, 2.5, 20, 115, 57, 94, 34),
    (0.5, 4, 25, 135, 66, 114, 35),
    (0.4, 6, 32, 145, 59, 133, 40),
    (0.3, 10, 50, 125, 41, 132, 33),
    (0.2, 16, 63, 175, 73, 179, 55),
]


@pytest.mark.parametrize(("supply", "area", "rating", "slow", "quick", "b", "c"), TABLE_10)
def test_lengths_of_iec_60204_1_table_10(
    supply: float, area: float, rating: float, slow: float, quick: float, b: float, c: float
) -> None:
    """The printed lengths come out within 1.5 m or 5 %, with the resistance of IEC 60228 class 2 at 95 C."""
    row = _area_row(area)
    assert row is not None
    warm = 1 + factor("alpha copper").value * (factor("fault loop celsius").value - 20)
    loop = 2 * (row.cu12_ohm_km or 0) / 1000 * warm
    cases = (("gG", 5.0, slow), ("gG", 0.4, quick), ("B curve", 0.4, b), ("C curve", 0.4, c))
    found = [longest_loop_m(230, opens_at(rating, sort, time).amps, supply, loop) for sort, time, _ in cases]

    assert supply == supply_loop_ohms(rating).ohms
    assert [(sort, printed) for sort, _, printed in cases] == [
        (sort, printed)
        for (sort, _, printed), metres in zip(cases, found, strict=True)
        if isclose(metres, printed, rel_tol=0.05, abs_tol=1.5)
    ]


CABLE = """  F1  breaker  3 poles  16 A  {curve}
  X1  terminal strip  3 terminals
cables
  W1  cable  4 G 2.5 mm2  {length}  from X1 to M1
"""


def panel(curve: str, length: str, loop: str = "", rules: str = "rules IEC 60204-1") -> SizingSheet:
    """One motor behind a breaker and a cable."""
    text = CABLE.format(curve=curve, length=length)
    mains = f"400 V 50 Hz  {loop}"
    return sheet(text, "  M1  three-phase motor  3 kW  400 V  6.8 A", "  F1.poles  X1.1-2-3  M1", rules=rules,
                 mains=mains, wire="2.5 mm2")  # fmt: skip


QUESTION = "longest run for earth faults"


def test_a_long_run_on_a_slow_curve_falls_short() -> None:
    """C 16 A: 160 A at once, Zs at most 230.9 / 160 = 1.44 ohm; 60 m of 2.5 mm2 and 0.5 ohm are more."""
    slow, quick = (one(panel(curve, "60 m"), "M1", QUESTION) for curve in ("C curve", "B curve"))

    assert slow.falls_short
    assert any("residual-current" in warning for warning in slow.warnings)
    assert not quick.falls_short


def test_a_measured_loop_takes_the_place_of_the_taken_one() -> None:
    """(1.443 - 0.2) ohm instead of (1.443 - 0.5) ohm; the sheet names the line of the file."""
    taken, measured = (one(panel("C curve", "60 m", said), "M1", QUESTION) for said in ("", "loop impedance 0.2 ohm"))

    assert pytest.approx((230.94 / 160 - 0.2) / (230.94 / 160 - 0.5), rel=1e-3) == measured.value / taken.value  # type: ignore[operator]
    assert "supply L: 0.2 ohm" in [working.text for working in measured.workings]
    assert not measured.falls_short


def test_both_readings_of_the_time_are_given_for_fuses() -> None:
    """0.4 s, and 5 s as a stationary machine by IEC 60204-1; IEC 60364 has no such reading up to 32 A."""
    said = {"mains": FAULT, "wire": "2.5 mm2", "fuse": "16 A gG"}
    machine = one(simple("3 kW  400 V  6.8 A", rules="rules IEC 60204-1", **said), "M1", QUESTION)
    house = one(simple("3 kW  400 V  6.8 A", rules="rules IEC 60364", **said), "M1", QUESTION)

    assert machine.value is not None
    assert [True] == [other.value is not None and other.value > machine.value for other in machine.also]
    assert () == house.also
    assert machine.value == house.value


def test_the_fuse_lets_less_through_than_the_conductor_bears() -> None:
    """(115 x 2.5) squared = 82 656 A2s by IEC 60364-4-43; 16 A gG lets 1210 A2s through by IEC 60269 (from memory)."""
    found = one(simple("3 kW  400 V  6.8 A", rules="rules IEC 60204-1", mains=FAULT, wire="2.5 mm2", fuse="16 A gG"),
                "M1", "let-through energy")  # fmt: skip

    assert 82656.25 == found.value
    assert found.fitted is not None
    assert ("F1 16 A", True) == (found.fitted.text, found.fitted.fits)
    assert "at 6 kA the conductor bears that for 2.3 ms" in [working.text for working in found.workings]


def test_what_no_standard_says_is_left_to_the_maker() -> None:
    """A D curve has no energy-limiting class: compare with the data of the breaker."""
    found = one(panel("D curve", "10 m", "fault current 6 kA"), "M1", "let-through energy")

    assert found.fitted is not None
    assert (None, "compare with what its maker prints") == (found.fitted.fits, found.fitted.why)


def test_a_thin_conductor_is_told_which_size_bears_the_short_circuit() -> None:
    """C 16 A, class 3 at 6 kA lets 42 kA2s through: root of 42 000 over 115 is 1.78 mm2, so 2.5 mm2."""
    text = panel("C curve", "10 m", "fault current 6 kA")
    thin = sheet(CABLE.format(curve="C curve", length="10 m").replace("4 G 2.5", "4 G 1.5"),
                 "  M1  three-phase motor  3 kW  400 V  6.8 A", "  F1.poles  X1.1-2-3  M1",
                 rules="rules IEC 60204-1", mains=FAULT, wire="2.5 mm2")  # fmt: skip
    good, poor = (one(found, "M1", "let-through energy") for found in (text, thin))

    assert () == good.also
    assert ["2.5 mm2"] == [other.choice for other in poor.also]
    assert poor.fitted is not None
    assert poor.fitted.fits is None


def test_a_motor_without_protective_conductor_is_told() -> None:
    """The size is answered; what the file lacks is named with the line to write."""
    found = one(simple("3 kW  400 V  6.8 A", rules="rules IEC 60204-1", mains=FAULT, wire="2.5 mm2", fuse="16 A gG"),
                "M1", "protective conductor")  # fmt: skip

    assert "2.5 mm2 copper" == found.choice
    assert found.fitted is not None
    assert (None, "the file leads none to M1; write one: PE  M1.PE") == (found.fitted.fits, found.fitted.why)


def test_a_fuse_whose_kind_is_not_said_is_taken_as_gg_and_that_is_said() -> None:
    """A rating of "16 A" alone counts as gG; "16 A fast" goes by its maker's curve and is not reckoned."""
    said = {"rules": "rules IEC 60204-1", "mains": FAULT, "wire": "2.5 mm2"}
    sheets = (simple("3 kW  400 V  6.8 A", fuse=fuse, **said) for fuse in ("16 A", "16 A gG"))
    plain, marked = (one(found, "M1", QUESTION) for found in sheets)
    fast = simple("3 kW  400 V  6.8 A", fuse="16 A fast", **said)

    assert plain.value == marked.value
    assert ["the kind of F1 is not said: taken as gG"] == [w for w in plain.warnings if w not in marked.warnings]
    assert () == fast.about("M1", QUESTION)


def test_the_conductor_chosen_by_its_load_is_told_of_the_short_circuit() -> None:
    """0.75 mm2 carries 6.8 A; behind C 16 A at 6 kA a short circuit asks for 2.5 mm2, behind 16 A gG for no more."""
    breaker = one(panel("C curve", "10 m", "fault current 6 kA"), "M1", "branch conductor")
    fuse = one(simple("3 kW  400 V  6.8 A", rules="rules IEC 60204-1", mains=FAULT, wire="2.5 mm2", fuse="16 A gG"),
               "M1", "branch conductor")  # fmt: skip

    assert ("0.75 mm2", "0.75 mm2") == (breaker.choice, fuse.choice)
    assert any("from 2.5 mm2 on" in warning for warning in breaker.warnings)
    assert not any("short circuit" in warning for warning in fuse.warnings)
