"""The section `sizing`: what each line says, in the units that were typed, and that tidying keeps it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwright.circuit import SiteLine
from panelwright.language import read, write


def site(lines: str) -> dict[str, SiteLine]:
    """The lines by what they speak of; the text has to be right."""
    reading = read(f'panel "Test"\nsizing\n{lines}\n')

    assert [] == [problem.message for problem in reading.problems if problem.severity == "mistake"]
    return {line.name: line for line in reading.circuit.site}


@pytest.mark.parametrize(
    ("typed", "celsius"), [("40 C", 40), ("40C", 40), ("40 °C", 40), ("104 F", 40), ("-25 C", -25), ("14 F", -10)]
)
def test_temperatures_are_celsius_inside_and_as_typed_outside(typed: str, celsius: float) -> None:
    """104 F is 40 C and is shown as 104 F; a cold store may be below freezing."""
    reading = read(f'panel "Test"\nsizing\n  ambient {typed}\n')
    found = [(line.text, line.quantity.value) for line in reading.circuit.site if line.quantity]

    assert [(typed, pytest.approx(celsius))] == found


@pytest.mark.parametrize(
    ("typed", "name"),
    [("THWN-2", "THHN"), ("thhn", "THHN"), ("RHW", "THW"), ("MTW", "MTW"), ("PVC", "PVC"), ("EPR", "XLPE")],
)
def test_an_insulation_goes_by_any_of_its_names(typed: str, name: str) -> None:
    """What was typed stays; the row that it belongs to is found."""
    line = site(f"  insulation {typed}")["insulation"]

    assert (typed, (name,)) == (line.text, line.words)


@pytest.mark.parametrize(
    ("typed", "height_m", "words"),
    [
        ("800 x 600 x 250 mm", 0.8, ()),
        ("800x600x250 mm painted-steel", 0.8, ("painted-steel",)),
        ("48 x 36 x 16 in painted steel against a wall", 1.2192, ("painted-steel", "against-a-wall")),
        (
            "2 x 0.8 x 0.6 m stainless steel in a row against a wall",
            2.0,
            ("stainless-steel", "in-a-row-against-a-wall"),
        ),
    ],
)
def test_an_enclosure_has_sides_material_and_standing(typed: str, height_m: float, words: tuple[str, ...]) -> None:
    """In millimetres, metres or inches; the words with blanks or hyphens."""
    line = site(f"  enclosure {typed}")["enclosure"]

    assert height_m == pytest.approx(line.size_m[0])
    assert words == line.words


def test_everything_can_be_said_at_once() -> None:
    """One line each, in any order; a colon behind the heading is allowed as everywhere."""
    found = site(
        "  bundled 9\n  voltage drop at most 4 %\n  inside at most 50 C\n  terminals 75 C\n  method E\n  ambient 35 C"
    )

    amounts = [line.quantity.value for line in found.values() if line.quantity]

    assert [9, 4, 50, 75, 35] == amounts
    assert ("E",) == found["method"].words


def test_tidying_keeps_the_section() -> None:
    """The canonical layout says the same, remarks included."""
    reading = read(
        'panel "Test"\nsizing\n   ambient   104 F   # by the kiln\n enclosure 24 x 20 x 8 in   painted steel\n'
    )
    again = read(write(reading.document))

    assert reading.circuit.site == again.circuit.site
    assert "# by the kiln" in write(reading.document)


@given(st.text(alphabet=st.characters(codec="ascii", exclude_characters='"#\n\r'), max_size=40))
def test_nothing_that_is_typed_there_raises(typed: str) -> None:
    """Whatever stands under the heading is read or reported."""
    for name in ("ambient", "insulation", "method", "bundled", "voltage drop", "enclosure", "terminals", ""):
        read(f'panel "Test"\nsizing\n  {name} {typed}\n')
