"""The checker itself: every kind of overlap that is planted is seen, and a clean drawing is clean."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from circuit_words import ALL, LIFT_STATION, WELL_PUMP
from geometry import overlaps, texts, torn_nets

from panelwright.sheets.display import Drawing, Group, Item, Line, Text, walk
from panelwright.sheets.rungs import rung_drawing


def with_item(drawing: Drawing, item: Item) -> Drawing:
    """The drawing with one more item."""
    return replace(drawing, items=(*drawing.items, item))


def test_planted_texts_are_seen() -> None:
    """A text moved onto another one or onto a stroke, a hundred times."""
    dice = Random(5)
    for circuit in ALL:
        drawing = rung_drawing(circuit)
        words = [t for t, _ in texts(drawing)]
        for _ in range(20):
            one = dice.choice(words)

            assert overlaps(with_item(drawing, replace(one, x=one.x + 0.4, y=one.y - 0.3)))


def test_planted_text_on_a_wire_is_seen() -> None:
    """A number that stands on its conductor."""
    drawing = rung_drawing(WELL_PUMP)
    wire = next(i for i, _ in walk(drawing.items) if isinstance(i, Line) and i.look == "wire")
    (x0, y0), (x1, y1) = wire.points
    planted = with_item(drawing, Text((x0 + x1) / 2, (y0 + y1) / 2 + 1, "7", "number", "middle"))

    assert any("on wire" in said or "on lead" in said for said in overlaps(planted))


def test_planted_wire_through_a_symbol_is_seen() -> None:
    """A conductor drawn across a coil."""
    drawing = rung_drawing(WELL_PUMP)
    boxes = [i for i, g in walk(drawing.items) if isinstance(i, Line) and i.look == "shade" and g[-1].element]
    x, y = boxes[0].points[0]
    planted = with_item(drawing, Group((Line(((x - 9, y - 1.1), (x + 9, y - 1.1)), "wire"),), net="99"))

    assert any(said.startswith("wire of 99 through") for said in overlaps(planted))


def test_planted_wires_on_one_line_are_seen() -> None:
    """Two nets on one straight line, and a symbol moved onto another one."""
    drawing = rung_drawing(LIFT_STATION)
    wire = next(i for i, _ in walk(drawing.items) if isinstance(i, Line) and i.look == "wire")

    assert any("on one line" in said for said in overlaps(with_item(drawing, Group((wire,), net="99"))))


@pytest.mark.parametrize("upright", [False, True])
def test_a_missing_wire_is_seen(upright: bool) -> None:
    """A net whose longest conductor is left out falls apart."""
    drawing = rung_drawing(WELL_PUMP, upright=upright)
    items = []
    for item in drawing.items:
        if isinstance(item, Group) and item.role == "net" and item.net == "S1.12":
            items.append(replace(item, items=tuple(i for i in item.items if not isinstance(i, Line))))
        else:
            items.append(item)

    assert torn_nets(drawing) == []
    assert torn_nets(replace(drawing, items=tuple(items))) == ["S1.12"]
