"""The limits that checks and sizing go by, once."""

from __future__ import annotations

import pytest

from panelwright.checks.limits import limits
from panelwright.sizing.factors import FILES, FactorRow, factor
from panelwright.sizing.tables import rows_of

# Typed again: coils at electrical-engineering-portal.com on long control lines, 50 VA in the 2017 text of 430.72(C) at
# docketalarm.com; the others from memory of IEC 60204-1 and common practice.
TYPED = {
    "coil least": 0.85, "coil most": 1.1, "control volts 50 Hz": 230, "control volts 60 Hz": 277,
    "control volts dc": 220, "overload needed": 500, "small transformer": 50, "supply reserve": 0.25,
}  # fmt: skip


def test_limits_are_those_of_the_standards() -> None:
    """Each with a source; sizing goes by the same rows."""
    assert TYPED == {name: row.value for name, row in limits().items()}
    assert all(row is factor(name) for name, row in limits().items())


@pytest.mark.parametrize("table", FILES)
def test_no_limit_stands_in_two_files(table: str) -> None:
    """A name means one number."""
    assert not {row.name for row in rows_of(table, FactorRow)} & {*limits()}
