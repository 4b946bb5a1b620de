"""Writes docs/look-up/tables.md from the tables that sizing goes by."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from panelwright.catalog.tables import remarks
from panelwright.checks.limits import FILE as LIMITS
from panelwright.sizing.tables import FOLDER

HEAD = """# Tables of sizing

Written by `python3 dev.py docs` from the data files of sizing; do not edit.

What [sizing](../how/size.md) looks up, with the source of each row and how far it was checked:

- *seen*: read in a published copy, named in the remarks of the table;
- *seen in part*: some of it, or its neighbours;
- *from memory*: to be checked before anything is approved with it;
- *common practice*: no source.

An empty cell is a value that the table does not give.
Only the code that was adopted where you are, nameplates and makers' data decide.
"""


def tables_page() -> str:
    """The whole page."""
    paths = sorted([*FOLDER.glob("*.csv"), LIMITS])
    parts = [HEAD, *(f"- [{_title(path)}](#{_anchor(path)})" for path in paths)]
    for path in paths:
        parts += ["", *_table(path)]
    return "\n".join(parts).rstrip() + "\n"


def _title(path: Path) -> str:
    return path.stem.replace("_", " ")


def _anchor(path: Path) -> str:
    return path.stem.replace("_", "-")


def _table(path: Path) -> Iterator[str]:
    """Heading, remarks, rows."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    heads, *rows = list(csv.reader(lines))
    yield f"## {_title(path)}\n"
    yield from remarks(path).splitlines()
    yield ""
    yield f"| {' | '.join(head.replace('_', ' ') for head in heads)} |"
    yield f"|{' --- |' * len(heads)}"
    for row in rows:
        yield f"| {' | '.join(cell.replace('|', '/') for cell in row)} |"
