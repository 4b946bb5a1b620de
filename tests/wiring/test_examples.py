"""Every example panel is wired completely."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwright.circuit import Circuit, PathUse
from panelwright.language import read
from panelwright.wiring import measures, wire
from panelwright.wiring.seats import seats_of

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.panel"))


def example(path: Path) -> Circuit:
    """The circuit of an example file."""
    return read(path.read_bytes(), path.name).circuit


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_use_is_a_part_of_its_device(path: Path) -> None:
    """Rungs and power paths alike; no example is short of contacts."""
    wiring = wire(example(path))
    elements = wiring.circuit.elements
    on_paths = {
        f"{item.device}.{name}"
        for power in wiring.circuit.power_paths
        for item in power.items
        if isinstance(item, PathUse)
        for name in item.names
        if name
    }

    assert set() == {seat.use.element for seat in seats_of(wiring.circuit)} - elements.keys()
    assert set() == on_paths - elements.keys()
    assert () == wiring.shortages


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_fewest_poles_and_conductors(path: Path) -> None:
    """Both figures meet their bounds."""
    wiring = wire(example(path))
    measured = measures(wiring)

    assert (wiring.poles_bound, measured.conductors_bound) == (wiring.poles_used, measured.conductors)
