"""Tables of sizing as text, for tests that look at every cell."""

from __future__ import annotations

import csv
from pathlib import Path

from panelwright.sizing.tables import FOLDER

TABLES = sorted(FOLDER.glob("*.csv"))
WORDS = ("says", "use", "source", "trust")  # columns of words about a row, no figures


def cells(path: Path) -> list[dict[str, str]]:
    """The rows of a table as text."""
    lines = (line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    return list(csv.DictReader(lines))


def number(cell: str) -> str | float:
    """A number as a number; other words as they stand."""
    try:
        return float(cell)
    except ValueError:
        return cell
