"""Performance levels: what a risk asks for, what a structure comes to."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwright.sizing.performance import (
    CATEGORIES,
    LEVELS,
    average_coverage,
    coverage_band,
    performance_level,
    required_level,
    sil_of,
)
from panelwright.sizing.tables import OutsideTable


@pytest.mark.parametrize(
    ("category", "coverage", "years", "level"),
    [("1", 0.0, 30, "c"), ("2", 0.9, 12, "c"), ("3", 0.6, 12, "c"), ("3", 0.9, 5, "c")],
)
def test_ways_to_level_c(category: str, coverage: float, years: float, level: str) -> None:
    """Four entries of ISO 13849-1 Table 6 that were read in a catalogue of safety parts."""
    assert level == performance_level(category, coverage, years).level


def test_two_contactors_that_watch_each_other() -> None:
    """Category 4 with 99 % and 100 years is e, SIL 3; with 90 % it is none: ISO 13849-1 Table 6 (from memory)."""
    assert ("e", 3) == (performance_level("4", 0.99, 100).level, sil_of("e"))
    with pytest.raises(OutsideTable, match="category 4 asks for a diagnostic coverage of high and an MTTFD of high"):
        performance_level("4", 0.9, 100)


@given(st.sampled_from(CATEGORIES), st.floats(0, 1), st.floats(0, 1), st.floats(0.5, 120), st.floats(0.5, 120))
def test_more_coverage_or_a_longer_life_is_never_less(
    category: str, found: float, more: float, years: float, longer: float
) -> None:
    """In the same category; beyond what it counts nothing changes."""

    def order(coverage: float, life: float) -> int:
        try:
            return LEVELS.index(performance_level(category, coverage, life).level)
        except OutsideTable:
            return -1

    assert order(min(found, more), min(years, longer)) <= order(max(found, more), max(years, longer))


@given(st.integers(1, 2), st.integers(1, 2), st.integers(1, 2))
def test_more_risk_never_asks_for_less(severity: int, exposure: int, avoiding: int) -> None:
    """ISO 13849-1 annex A, from memory: from a for the least to e for the most."""
    level = required_level(severity, exposure, avoiding).level

    assert all(
        level <= required_level(*larger).level
        for larger in ((2, exposure, avoiding), (severity, 2, avoiding), (severity, exposure, 2))
    )
    assert ("a", "e") == (required_level(1, 1, 1).level, required_level(2, 2, 2).level)


def test_coverage_of_a_channel_is_weighed_by_failures() -> None:
    """(0.99/20 + 0.6/100) / (1/20 + 1/100) = 0.925: the part that fails often counts most. Hand arithmetic."""
    assert 0.925 == pytest.approx(average_coverage([(0.99, 20), (0.6, 100)]))
    assert ("medium", "none") == (coverage_band(0.925), coverage_band(0.59))
    with pytest.raises(ValueError, match="each part is"):
        average_coverage([(0.99, 0)])
