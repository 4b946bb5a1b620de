"""Notebooks show a circuit as its drawing."""

from pathlib import Path

import panelwright as pw

PUMP = Path("examples/orchard/well-pump.panel")


def test_a_circuit_shows_itself_as_its_drawing():
    """What a notebook asks for is the drawing, fonts included."""
    circuit = pw.read_file(PUMP).circuit

    assert circuit._repr_svg_() == pw.draw(circuit)._repr_svg_()
    assert "Pump run" in circuit._repr_svg_() or "K1" in circuit._repr_svg_()


def test_a_file_without_rungs_shows_nothing():
    """A notebook then falls back to the plain text."""
    assert pw.read('panel "Nothing yet"').circuit._repr_svg_() is None
