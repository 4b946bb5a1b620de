"""What readings and sizing take cables for is the same."""

from __future__ import annotations

import pytest

from panelwright.catalog.cables import conductor_ohms, core_farads
from panelwright.sizing.factors import factor


def test_readings_and_sizing_know_the_same_cable() -> None:
    """The catalogue's capacitance and conductivity are those of the sizing tables."""
    assert core_farads(1000.0) == pytest.approx(factor("capacitance usual").value * 1e-6)
    assert conductor_ohms(1.0, 1e-6) == pytest.approx(1 / factor("copper conductivity").value)
