"""The words of the section `sizing` with their figures: insulations, ways of laying, enclosures."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import TypeVar

import msgspec

from .shelf import Row, plain

FILE = Path(__file__).parent / "site.toml"


class NamedRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Whatever a line can name."""

    name: str
    also: tuple[str, ...] = ()


class InsulationRow(NamedRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """An insulation, and the conductor temperature that it bears for good."""

    celsius: float


class MethodRow(NamedRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A reference method of laying."""

    says: str


class MaterialRow(NamedRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A wall of an enclosure, and the heat it lets through for a square metre and kelvin; `others` print that."""

    w_m2_k: float
    others: str = ""


class StandingRow(NamedRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """How an enclosure stands. Its cooling surface: hw x height x width + hd x height x depth + wd x width x depth."""

    says: str
    hw: float
    hd: float
    wd: float


class SiteWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The file."""

    about: str
    insulation: tuple[InsulationRow, ...]
    method: tuple[MethodRow, ...]
    material: tuple[MaterialRow, ...]
    standing: tuple[StandingRow, ...]


@cache
def site_words() -> SiteWords:
    """Every word that the section can have."""
    return msgspec.convert(tomllib.loads(FILE.read_text(encoding="utf-8")), SiteWords)


N = TypeVar("N", bound=NamedRow)


def named(rows: Iterable[N], text: str) -> N | None:
    """The row that goes by this name, capitals and hyphens aside; None if none does."""
    wanted = plain(text)
    return next((row for row in rows if wanted in (plain(row.name), *map(plain, row.also))), None)
