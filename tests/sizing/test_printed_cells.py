"""Every cell that was read in a published copy, typed a second time from that copy (printed.toml), against the tables.

Both ways: what was typed again stands in the table, and what a table grades as seen was typed again.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from panelwright.sizing.tables import FOLDER

from .csv_cells import TABLES, WORDS, cells, number

FILE = Path(__file__).parent / "printed.toml"


@dataclass(frozen=True, slots=True)
class Copy:
    """Cells of one table read in one published copy; the first `key` columns find a row."""

    table: str
    read: str
    columns: tuple[str, ...]
    key: int
    within: float
    rows: tuple[tuple[str, ...], ...]


def copies() -> Iterator[Copy]:
    """Every copy of the file."""
    for said in tomllib.loads(FILE.read_text(encoding="utf-8"))["reading"]:
        heads = tuple(head for head in cells(FOLDER / f"{said['table']}.csv")[0] if head not in WORDS)
        rows = tuple(tuple(line.split(",")) for line in said["rows"].strip().splitlines())
        columns = tuple(said.get("columns", heads))
        yield Copy(said["table"], said["read"], columns, said.get("key", 1), said.get("within", 0.0), rows)


COPIES = tuple(copies())


def typed(table: str) -> set[tuple[int, str]]:
    """(row, column) of every cell of a table that was typed again."""
    rows = cells(FOLDER / f"{table}.csv")
    found = set()
    for copy in COPIES:
        if copy.table == table:
            for line in copy.rows:
                at = row_of(rows, copy, line)
                found |= {(at, column) for column in copy.columns}
    return found


def row_of(rows: list[dict[str, str]], copy: Copy, line: tuple[str, ...]) -> int:
    """Number of the one row that the first cells of a typed line find; where they find several, all cells do."""
    for length in (copy.key, len(line)):
        wanted = [(column, number(cell)) for column, cell in zip(copy.columns[:length], line, strict=False)]
        found = [at for at, row in enumerate(rows) if all(number(row[column]) == cell for column, cell in wanted)]
        if len(found) == 1:
            return found[0]
    raise AssertionError(f"{copy.table}: {len(found)} rows are {','.join(line)}")


@pytest.mark.parametrize("copy", COPIES, ids=lambda copy: copy.table)
def test_typed_cells_stand_in_the_table(copy: Copy) -> None:
    """Each cell as it was read, or as near as its publisher rounds."""
    rows = cells(FOLDER / f"{copy.table}.csv")
    assert copy.read
    for line in copy.rows:
        assert len(copy.columns) == len(line)
        row = rows[row_of(rows, copy, line)]
        for column, cell in zip(copy.columns, line, strict=True):
            wanted = number(cell)
            if copy.within and isinstance(wanted, float):
                wanted = pytest.approx(wanted, rel=copy.within)

            assert wanted == number(row[column]), f"{','.join(line)}: {column}"


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.stem)
def test_what_is_graded_seen_was_typed_again(path: Path) -> None:
    """`seen`: every cell of the row; `seen in part`: a cell that is no key; the other grades: none."""
    found = typed(path.stem)
    for at, row in enumerate(cells(path)):
        filled = [column for column, cell in row.items() if column not in WORDS and cell]
        again = [column for column in filled if (at, column) in found]
        if row["trust"] == "seen":
            assert filled == again, row
        elif row["trust"] == "seen in part":
            assert len(again) > 1 or len(filled) == 1, row
        else:
            assert not again, row
