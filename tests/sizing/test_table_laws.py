"""What has to hold in every table (laws.toml): columns that rise and fall down the rows, and how columns go together.

A new table brings its law there, or the reason why it has none.
"""

from __future__ import annotations

import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path

import msgspec
import pytest

from panelwright.sizing.conductors import awg_area_mm2
from panelwright.sizing.tables import FOLDER

from .csv_cells import TABLES, cells

NEMA = {"00": 0.0, **{str(size): size + 1.0 for size in range(10)}}


class Law(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The law of a table; names of columns in one text, as the head of laws.toml explains."""

    says: str = ""
    rises: str = ""
    falls: str = ""
    strictly: str = ""
    each: str = ""
    gauges: str = ""
    nema: str = ""
    across: tuple[str, ...] = ()
    only: str = ""
    room: float = 0.0
    none: str = ""

    @property
    def ordered(self) -> list[str]:
        """Columns that rise or fall."""
        return [*self.rises.split(), *self.falls.split()]


FILE = Path(__file__).parent / "laws.toml"
LAWS = msgspec.convert(tomllib.loads(FILE.read_text(encoding="utf-8")), dict[str, Law])


def test_every_table_has_a_law_or_a_reason() -> None:
    """And nothing is declared for a table that is gone."""
    assert {path.stem for path in TABLES} == {*LAWS}
    assert all(bool(law.none) != bool(law.ordered or law.across) for law in LAWS.values())


@pytest.mark.parametrize("name", [name for name, law in LAWS.items() if law.ordered])
def test_columns_rise_and_fall_as_declared(name: str) -> None:
    """More power, metal, warmth or company down the rows, and what follows from it in the other columns."""
    law = LAWS[name]
    rows = [row for row in cells(FOLDER / f"{name}.csv") if re.match(law.only, next(iter(row.values())))]
    groups: dict[tuple[str, ...], list[dict[str, str]]] = defaultdict(list)
    for row in rows:
        groups[tuple(row[column] for column in law.each.split())].append(row)
    firmly = law.ordered if law.strictly == "all" else law.strictly.split()
    for column in law.ordered:
        for group in groups.values():
            values = [figure(law, column, row[column]) for row in group if row[column]]

            assert [] == [*against(values, falling=column in law.falls.split(), strictly=column in firmly)], column


@pytest.mark.parametrize("name", [name for name, law in LAWS.items() if law.across])
def test_columns_go_together_as_declared(name: str) -> None:
    """From left to right in each row, over cells that the table gives."""
    law = LAWS[name]
    for row in cells(FOLDER / f"{name}.csv"):
        if re.match(law.only, next(iter(row.values()))):
            for columns in law.across:
                values = [figure(law, column, row[column]) for column in columns.split() if row[column]]

                assert all(left <= right * (1 + law.room) for left, right in pairwise(values)), (row, columns)


def figure(law: Law, column: str, cell: str) -> float:
    """A cell as a figure that grows with what it stands for: gauges by their cross-section."""
    if column in law.gauges.split():
        return awg_area_mm2(cell)
    return NEMA[cell] if column in law.nema.split() else float(cell)


def against(values: Iterable[float], *, falling: bool, strictly: bool) -> Iterable[tuple[float, float]]:
    """Neighbours that run against the law."""
    for before, after in pairwise(values):
        step = before - after if falling else after - before
        if step < 0 or (strictly and step == 0):
            yield before, after
