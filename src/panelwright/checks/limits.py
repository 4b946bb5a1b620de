"""The limits that checks go by: rows of `limits.csv`, with their sources."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from ..catalog.tables import FactorRow, read_table

FILE = Path(__file__).parent / "limits.csv"


@cache
def limits() -> dict[str, FactorRow]:
    """Every limit by its name. Raises: TableError when the file is wrong."""
    return {row.name: row for row in read_table(FILE, FactorRow)}


def limit(name: str) -> float:
    """The value of a limit, in the unit that its row says. Raises: KeyError."""
    return limits()[name].value
