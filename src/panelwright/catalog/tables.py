"""Tables in CSV files, each row with its source and how far it was checked.

A file begins with remarks (`# `): what the table is, its edition, where it was read, traps met. Then the column
names, with units in them. An empty cell is a value that the table does not give.
"""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TypeVar

import msgspec

from .shelf import Row


class TableError(ValueError):
    """A table file is wrong. `path` is the file."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(f"{path.name}: {what}")
        self.path = path


class TableRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A row of a table; subclasses name the columns. `source` and `trust` stand in every row."""

    @property
    def cited(self) -> str:
        """Its source as words in a sentence, with how far it was checked unless it was seen."""
        return self.source if self.trust in ("seen", self.source) else f"{self.source}, {self.trust}"


class FactorRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A number that stands in a rule by itself; `says` what it is for."""

    name: str
    value: float
    says: str


R = TypeVar("R", bound=TableRow)


def read_table(path: Path, kind: type[R]) -> tuple[R, ...]:
    """The rows of a table file. Raises: TableError for unknown columns, missing sources and cells that do not read."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    heads, *cells = list(csv.reader(lines))
    rows = []
    for number, row in enumerate(cells, 1):
        if len(row) != len(heads):
            raise TableError(path, f"row {number} has {len(row)} cells, the head has {len(heads)}")
        filled = {head: cell for head, cell in zip(heads, row, strict=True) if cell != ""}
        try:
            rows.append(msgspec.convert(filled, kind, strict=False))
        except msgspec.ValidationError as wrong:
            raise TableError(path, f"row {number}: {wrong}") from None
    return tuple(rows)


def remarks(path: Path) -> str:
    """What the head of a table says about it."""
    text = path.read_text(encoding="utf-8")
    return "\n".join(line[2:] for line in text.splitlines() if line.startswith("#"))
