"""The current that surely opens a fuse, against the conventional fusing currents of gG fuses."""

from __future__ import annotations

import pytest

from panelwright.catalog.tables import read_table
from panelwright.electrics.shorts import FUSING, FusingRow, fusing_amps


@pytest.mark.parametrize(
    ("rating_a", "amps"), [(2, 4.2), (4, 8.4), (6, 11.4), (10, 19), (12, 22.8), (16, 25.6), (20, 32), (100, 160)]
)
def test_conventional_fusing_current(rating_a: float, amps: float) -> None:
    """2.1 times up to 4 A, 1.9 below 16 A, 1.6 from there. (IEC 60269-1 and 60269-2, from memory)"""
    assert amps == pytest.approx(fusing_amps(rating_a))


def test_larger_fuses_open_at_a_smaller_multiple_and_the_last_row_has_no_end() -> None:
    """Ratings rise, multiples fall, and none is below what a fuse must carry, 1.25 times. (IEC 60269-1, from memory)"""
    rows = read_table(FUSING, FusingRow)
    ratings = [row.rated_max_a for row in rows]
    times = [row.times for row in rows]

    assert sorted(ratings) == ratings
    assert sorted(times, reverse=True) == times
    assert times[-1] > 1.25
    assert ratings[-1] == float("inf")
