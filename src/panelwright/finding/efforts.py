"""What each kind of test costs and what is dangerous in it: rows of `efforts.toml`."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from ..circuit import Circuit
from .places import place_of

LIVE_PARTS, MOVES = 1, 2  # hazards


@dataclass(frozen=True, slots=True)
class Effort:
    """`minutes` for one test of a kind. `hazard`: 1 before live parts, 2 something may move, else 0."""

    minutes: float
    hazard: int
    danger: str = ""


@cache
def _rows() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = tomllib.loads(files(__package__).joinpath("efforts.toml").read_text("utf-8"))
    return found


@cache
def effort_of(kind: str) -> Effort:
    """The row of a kind. Raises KeyError."""
    return Effort(**_rows()[kind])


def minutes(kind: str, *more: str) -> float:
    """Of a kind, with what the row `way` adds ("door", "next_to", "load_current"). Raises KeyError."""
    return float(effort_of(kind).minutes + sum(_rows()["way"][word] for word in more))


def way_to(circuit: Circuit, terminal: str) -> float:
    """Minutes more for where a terminal or device is."""
    way = _rows()["way"]
    return float(way.get(place_of(circuit, terminal), way["elsewhere"]))


def kinds_of_tests() -> tuple[str, ...]:
    """The rows that are kinds of tests."""
    return tuple(kind for kind, row in _rows().items() if "minutes" in row)


def hazard_factors() -> tuple[float, ...]:
    """How many times the minutes count, by hazard."""
    return tuple(_rows()["hazard"]["factor"])


def cost_of(least: float, hazard: int, changes_over: bool) -> float:
    """Minutes and danger in one figure. `changes_over`: the power has to be cut for it, or put on again."""
    return float((least + changes_over * _rows()["way"]["change_over"]) * hazard_factors()[hazard])
