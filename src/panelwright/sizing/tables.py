"""Tables of codes and standards: CSV files beside this module."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar, cast

from ..catalog.tables import TableError, TableRow, read_table, remarks

FOLDER = Path(__file__).parent / "tables"


class OutsideTable(ValueError):
    """A table ends before what is asked of it. The message says which and where."""


R = TypeVar("R", bound=TableRow)


_read: dict[tuple[str, type[TableRow]], tuple[TableRow, ...]] = {}


def rows_of(name: str, kind: type[R]) -> tuple[R, ...]:
    """The rows of `tables/NAME.csv`, in file order, read once. Raises: TableError when the file is wrong."""
    if (name, kind) not in _read:
        _read[name, kind] = read_table(FOLDER / f"{name}.csv", kind)
    return cast("tuple[R, ...]", _read[name, kind])


def remarks_of(name: str) -> str:
    """What the head of a table says about it."""
    return remarks(FOLDER / f"{name}.csv")


__all__ = ["FOLDER", "OutsideTable", "TableError", "TableRow", "read_table", "remarks_of", "rows_of"]
