"""SVG text: well formed, styled by classes alone, readable without colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest
from circuit_words import ALL, WELL_PUMP

from panelwright.sheets.display import Arc, Circle, Drawing, Group, Jump, Line, Rect, Text, turned
from panelwright.sheets.rungs import rung_drawing
from panelwright.sheets.style import LINES, STATES, TEXTS, THEMES
from panelwright.sheets.svg import page_css

SVG = "{http://www.w3.org/2000/svg}"


def test_no_style_attribute_anywhere() -> None:
    """The page forbids style attributes; a drawing for it has no style element either."""
    for theme in ("light", "dark", "print", None):
        text = rung_drawing(WELL_PUMP, live=True).svg(theme)

        assert not re.search(r"\sstyle=", text)
        assert text.count("<style>") == (0 if theme is None else 1)


def test_svg_is_well_formed_and_says_what_it_shows() -> None:
    """Title and description for those who cannot see it; characters of XML are escaped."""
    drawing = Drawing(10, 10, (Text(1, 5, 'A<B & "C"', "tag"),), "One & two", "A <small> drawing.")
    root = ET.fromstring(drawing.svg())

    assert root.find(f"{SVG}title").text == "One & two"
    assert root.find(f"{SVG}desc").text == "A <small> drawing."
    assert root.find(f"{SVG}text").text == 'A<B & "C"'


def test_elements_and_nets_can_be_found() -> None:
    """Each element and net of the circuit is one or more groups with its id."""
    root = ET.fromstring(rung_drawing(WELL_PUMP, live=True).svg(None))
    elements = {g.get("data-element") for g in root.iter(f"{SVG}g")} - {None}
    nets = {g.get("data-net") for g in root.iter(f"{SVG}g")} - {None}

    assert elements == set(WELL_PUMP.elements) - {"G1.dc"}
    assert nets == {"+", "-", "S1.12", "S2.14", "K1.24", "K1.32"}


def test_every_class_has_a_look() -> None:
    """No item refers to a class that the style sheet does not know."""
    css = page_css()
    for circuit in ALL:
        root = ET.fromstring(rung_drawing(circuit, live=True).svg(None))
        for node in root.iter():
            if node.tag in (f"{SVG}path", f"{SVG}circle", f"{SVG}rect", f"{SVG}text"):
                name = (node.get("class") or "").split()[0]
                assert name in LINES or name in TEXTS
                assert f".{name}{{" in css


def test_print_needs_no_colour() -> None:
    """In print everything is black, grey or white, and each live state differs from the others by its lines."""
    assert all(len(set(re.findall("..", colour[1:]))) == 1 for colour in THEMES["print"].values())
    widths = {
        state: STATES[state]["wire"].get("width_mm", LINES["wire"].width_mm) for state in ("live", "partial", "dead")
    }

    assert len({*widths.values(), LINES["wire"].width_mm}) == 4


@pytest.mark.parametrize(
    ("item", "expected"),
    [
        (Line(((0, 0), (5, 0), (5, 2), (6, 3))), '<path class="wire" d="M0 0H5V2L6 3"/>'),
        (Line(((0, 0), (1, 1), (0, 2)), "solid", True), '<path class="solid" d="M0 0L1 1L0 2z"/>'),
        (Arc(0, 0, 2, 90, 270), '<path class="symbol" d="M0 2A2 2 0 0 1 0 -2"/>'),
        (Circle(1, 2, 0.5, "dot"), '<circle class="dot" cx="1" cy="2" r="0.5"/>'),
        (Rect(0, 0, 2, 3, "body", 1), '<rect class="body" x="0" y="0" width="2" height="3" rx="1"/>'),
        (turned("K1.3", 1, 2, "far-end"), '<text class="far-end" x="1" y="2" transform="rotate(-90 1 2)">K1.3</text>'),
        (
            Group((), element="K1.coil", net="4", states=("live",)),
            '<g class="live" data-element="K1.coil" data-net="4">\n</g>',
        ),
        (Jump((), "sheet-2"), '<a href="#sheet-2">\n</a>'),
    ],
)
def test_items_are_written(item: object, expected: str) -> None:
    """Each kind of item as SVG."""
    assert expected in Drawing(10, 10, (item,)).svg(None)  # type: ignore[arg-type]
