"""Quantities as they are typed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwright.catalog import read_quantity
from panelwright.circuit import Quantity

TYPED = {
    "24 V": (24, "V"), "24V": (24, "V"), "24 V dc": (24, "V"), "24VDC": (24, "V"), "120 VAC": (120, "V"),
    "24 volts": (24, "V"), "2.5 A": (2.5, "A"), "20 mA": (0.02, "A"), "1.5 kW": (1500, "W"), "150 VA": (150, "VA"),
    "1.5 kVA": (1500, "VA"), "300 ms": (0.3, "s"), "5 s": (5, "s"), "2 min": (120, "s"), "60 Hz": (60, "Hz"),
    "4k7 ohm": (4700, "ohm"), "4k7": (4700, "ohm"), "2R2": (2.2, "ohm"), "4.7 kohm": (4700, "ohm"),
    "650 Ω": (650, "ohm"), "2.5 mm2": (2.5e-6, "m2"), "1.5 mm²": (1.5e-6, "m2"), "300 ft": (91.44, "m"),
    "42 m": (42, "m"), "0.47 uF": (4.7e-7, "F"), "0.47 µF": (4.7e-7, "F"), "5 hp": (5 * 745.7, "W"),
    "1/2 hp": (745.7 / 2, "W"), "5 %": (5, "%"), ".5 s": (0.5, "s"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), TYPED.items())
def test_a_quantity_is_read_in_si_and_kept_as_typed(text: str, wanted: tuple[float, str]) -> None:
    """With the unit joined or apart, in the spellings of the trade."""
    found = read_quantity(text)
    assert isinstance(found, Quantity)

    assert (pytest.approx(wanted[0]), wanted[1], text) == (found.value, found.unit, found.text)


@pytest.mark.parametrize(
    "text", ["", "24", "2,5 A", "V", "24 V 5 A", "24 bananas", "1/0 hp", "14.5 AWG", "five s", "#14"]
)
def test_what_is_no_quantity_gives_none(text: str) -> None:
    """A bare number, a decimal comma, two quantities, an unknown unit."""
    assert read_quantity(text) is None


# NEC chapter 9 table 8, areas in mm2 as printed there.
AWG_MM2 = {"18 AWG": 0.823, "16 AWG": 1.31, "14 AWG": 2.08, "12 AWG": 3.31, "10 AWG": 5.261, "8 AWG": 8.367,
           "1/0 AWG": 53.49, "2/0 AWG": 67.43, "4/0 AWG": 107.2, "250 kcmil": 126.7}  # fmt: skip


@pytest.mark.parametrize(("text", "mm2"), AWG_MM2.items())
def test_wire_gauges_have_the_area_of_the_handbook(text: str, mm2: float) -> None:
    """To the last printed digit, nearly."""
    found = read_quantity(text)
    assert found is not None

    assert mm2 == pytest.approx(found.value * 1e6, rel=2e-3)


@given(st.text(alphabet="0123456789.,/ kKMmVvAaWwhpsHzΩµ-+%²dcDC", max_size=14))
def test_no_text_raises(text: str) -> None:
    """Whatever is typed, the answer is a quantity or None."""
    found = read_quantity(text)

    assert found is None or found.text == text.strip()
