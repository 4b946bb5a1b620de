"""Power drawings: every pole with its terminals, wires that hang together, nothing on top of anything."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from geometry import overlaps, texts, torn_nets

from panelwright.api import read_file
from panelwright.circuit import PathUse
from panelwright.sheets import power_drawing
from panelwright.sheets.display import walk
from panelwright.wiring import Wiring, wire

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def plans() -> dict[str, Wiring]:
    """The wiring plans of all example panels that have power paths."""
    found = {}
    for path in sorted(EXAMPLES.rglob("*.panel")):
        circuit = read_file(path).circuit
        if circuit is not None and circuit.power_paths:
            found[path.stem] = wire(circuit)
    return found


@pytest.mark.parametrize("upright", [True, False])
@pytest.mark.parametrize("standard", ["IEC", "NA"])
def test_nothing_overlaps_on_any_example(standard: str, upright: bool) -> None:
    """Texts, symbols and wires keep clear; each net is one piece."""
    for name, plan in plans().items():
        drawing = power_drawing(plan.circuit, standard=standard, upright=upright, numbers=plan.numbers)
        assert drawing is not None

        assert overlaps(drawing) == [], name
        assert torn_nets(drawing) == [], name


def test_every_pole_and_lead_is_drawn() -> None:
    """Each part used on a path is an element of the drawing, and each mark is written."""
    for name, plan in plans().items():
        drawing = power_drawing(plan.circuit, numbers=plan.numbers)
        assert drawing is not None
        elements = {g.element for _, groups in walk(drawing.items) for g in groups if g.element}
        said = " ".join(t.text for t, _ in texts(drawing))
        for path in plan.circuit.power_paths:
            for item in path.items:
                if isinstance(item, PathUse):
                    pairs = item.pairs
                    wanted = {f"{item.device}.{n}" for n in item.names if n and len(pairs) > 1}
                    assert wanted <= elements, name
                    assert all(mark in said for pair in pairs for mark in pair), name


def test_exchanged_wires_cross() -> None:
    """A reversing starter shows that two wires change places and one does not."""
    plan = plans()["c12-hoist-interlocked"]
    drawing = power_drawing(plan.circuit, numbers=plan.numbers)
    assert drawing is not None
    sloping = [
        item
        for item, _ in walk(drawing.items)
        if type(item).__name__ == "Line"
        and item.look == "wire"
        and any(a[0] != b[0] and a[1] != b[1] for a, b in zip(item.points, item.points[1:], strict=False))
    ]

    assert len(sloping) == 2


def test_circuit_without_power_has_no_power_drawing() -> None:
    """None rather than an empty sheet."""
    circuit = read_file(EXAMPLES / "orchard/well-pump.panel").circuit
    assert circuit is not None

    assert power_drawing(wire(circuit).circuit) is None
