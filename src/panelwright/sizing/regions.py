"""Codes of rules by region and edition: which family of tables holds, and under which number an edition has a rule."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Literal

import msgspec

from ..catalog.shelf import Row
from ..circuit import Circuit

FILE = Path(__file__).parent / "regions.toml"
Family = Literal["NEC", "IEC"]


class RegionRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A code as written in the file."""

    name: str
    says: str
    family: Family | Literal[""] = ""
    like: str = ""
    also: tuple[str, ...] = ()
    clauses: dict[str, str] = msgspec.field(default_factory=dict)
    tables: dict[str, str] = msgspec.field(default_factory=dict)


class RegionFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The file."""

    about: str
    region: tuple[RegionRow, ...]


@dataclass(frozen=True, slots=True)
class Region:
    """A code in one edition. `taken`: why it was taken when the file does not name it, else ""."""

    name: str
    family: Family
    says: str
    clauses: tuple[tuple[str, str], ...]
    tables: tuple[tuple[str, str], ...]
    taken: str = ""

    def clause(self, rule: str) -> str:
        """The number under which this edition has a rule. Raises: KeyError for a rule that it does not have."""
        return dict(self.clauses)[rule]

    def table(self, question: str) -> str:
        """The table or factor by which this code answers a question. Raises: KeyError for one that it does not have."""
        return dict(self.tables)[question]


@cache
def regions() -> tuple[Region, ...]:
    """Every code that there are rules for."""
    found: dict[str, Region] = {}
    for row in _rows():
        before = found.get(row.like)
        family = row.family or (before.family if before else "IEC")
        clauses = {**dict(before.clauses if before else ()), **row.clauses}
        tables = {**dict(before.tables if before else ()), **row.tables}
        found[row.name] = Region(row.name, family, row.says, tuple(clauses.items()), tuple(tables.items()))
    return tuple(found.values())


def region_called(text: str) -> Region | None:
    """The code meant by "NEC 2023", "EN 60204-1", or None."""
    wanted = _plain(text)
    for row, region in zip(_rows(), regions(), strict=True):
        if wanted in (_plain(row.name), *map(_plain, row.also)):
            return region
    return None


def region_of(circuit: Circuit) -> Region:
    """The code that a panel is under: what its heading says, else the usual one for its symbols, said as taken."""
    said = circuit.heading.rules
    if said and (found := region_called(said)) is not None:
        return found
    usual = region_called("NEC" if circuit.heading.symbols == "NA" else "IEC 60204-1")
    assert usual is not None
    names = [region.name for region in regions()]
    near = get_close_matches(said, names, 1)
    meant = f"; write rules {near[0]}?" if near else f" ({', '.join(names)})"
    why = f'"rules {said}" is not known here{meant}' if said else 'the file has no line "rules ..." under panel'
    return replace(usual, taken=f"{why}; {usual.name} was taken, as its symbols are {circuit.heading.symbols}")


def _plain(text: str) -> str:
    return " ".join(text.upper().replace(",", " ").replace("(", " ").replace(")", " ").split())


@cache
def _rows() -> tuple[RegionRow, ...]:
    return msgspec.convert(tomllib.loads(FILE.read_text(encoding="utf-8")), RegionFile).region
