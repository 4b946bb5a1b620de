"""The kinds of faults, and the fault of ISO 13849-2 annex D that each stands for."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of fault.

    `group`: "breaks", "wired wrong" or "in between". `says`: a sentence of the panel file that puts one in.
    `annex`: fault of ISO 13849-2 annex D by table, "none" where it has none; `left_out_when`: when the standard lets
    it be left out. `values`: figures it is put in with, `figures` their source.
    """

    name: str
    title: str
    group: str
    says: str
    annex: str
    left_out_when: str = ""
    values: Mapping[str, Any] = field(default_factory=dict)
    figures: str = ""

    def value(self, name: str) -> float:
        """One figure. Raises KeyError."""
        return float(self.values[name])


@dataclass(frozen=True, slots=True)
class NotListed:
    """A fault of the annex that no fault list has, and why."""

    annex: str
    why: str


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(files(__package__).joinpath("kinds.toml").read_text(encoding="utf-8"))


@cache
def kinds() -> dict[str, Kind]:
    """All kinds by name, in the order in which they are listed."""
    return {row["name"]: Kind(**row) for row in _table()["kind"]}


def not_listed() -> tuple[NotListed, ...]:
    """What annex D has and a fault list leaves out."""
    return tuple(NotListed(**row) for row in _table()["not_listed"])


def standard() -> tuple[str, str]:
    """The source of the mapping, and how far it can be trusted."""
    row = _table()["standard"]
    return row["source"], row["trust"]
