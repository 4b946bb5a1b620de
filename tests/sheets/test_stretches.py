"""A long panel in stretches: nothing lost, nothing twice, numbers of the whole."""

from __future__ import annotations

import re

import pytest

from panelwright.language import read
from panelwright.sheets.rungs import rung_drawing, rung_stretches
from panelwright.wiring import wire
from tests.bench.conftest import ORCHARD


@pytest.mark.parametrize("upright", [False, True])
def test_stretches_together_draw_every_part_once(upright: bool) -> None:
    """Each part, each line number and each reference of the whole stands in exactly one stretch."""
    wiring = wire(read((ORCHARD / "lift-station.panel").read_text(encoding="utf-8")).circuit)
    whole = rung_drawing(wiring.circuit, upright=upright, numbers=wiring.numbers).svg(None)
    stretches = rung_stretches(wiring.circuit, 8)
    drawings = [
        rung_drawing(wiring.circuit, upright=upright, numbers=wiring.numbers, stretch=one).svg(None)
        for one in stretches
    ]

    assert len(stretches) > 2
    for pattern in ('data-element="([^"]*)"', 'class="line-number[^>]*>([^<]*)', 'class="reference[^>]*>([^<]*)'):
        apart = [found for drawing in drawings for found in re.findall(pattern, drawing)]
        assert sorted(re.findall(pattern, whole)) == sorted(apart)
