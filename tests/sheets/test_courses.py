"""The timing diagram of a run."""

from __future__ import annotations

from panelwright.behaviour import Run
from panelwright.circuit import Do
from panelwright.sheets.courses import course_drawing
from panelwright.sheets.svg import write_svg
from tests.panels import well_pump


def test_a_run_draws_itself() -> None:
    """One line for each device that moved, one sentence for each thing done."""
    run = Run(well_pump()).do(Do("press", ("S2",))).advance(1.0)
    svg = write_svg(course_drawing(run.trace, title="Start"), "light")

    assert all(f">{tag}<" in svg for tag in ("S2", "K1", "H1", "H2"))
    assert "S2 pressed: K1 pulls in through S1 and S2" in svg.replace("\n", " ")
