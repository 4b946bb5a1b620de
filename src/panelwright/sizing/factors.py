"""The single numbers that stand in rules (1.25 times the motor current), each with its clause."""

from __future__ import annotations

from functools import cache

from ..catalog.shelf import Trust
from ..catalog.tables import FactorRow
from ..checks.limits import limits
from .answers import Working
from .tables import TableRow, rows_of

FILES = ("factors", "control_factors", "feeder_factors")


def factor(name: str) -> FactorRow:
    """The factor of that name, those that the checks go by included. Raises: KeyError."""
    return _factors()[name]


@cache
def _factors() -> dict[str, FactorRow]:
    return {**limits(), **{row.name: row for table in FILES for row in rows_of(table, FactorRow)}}


def step(text: str, row: TableRow, rule: str = "") -> Working:
    """A line of arithmetic that rests on a row of a table; `rule` when the edition has it under another number."""
    return Working(text, rule or row.source, row.source, row.trust)


def worst(*rows: TableRow) -> Trust:
    """The least trust of several rows."""
    order: tuple[Trust, ...] = ("seen", "common practice", "seen in part", "from memory")
    return max((row.trust for row in rows), key=order.index)


__all__ = ["FILES", "FactorRow", "factor", "step", "worst"]
