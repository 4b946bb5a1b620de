"""What cables do that no drawing shows: rows of `cables.toml`."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files


@cache
def _value(name: str) -> float:
    rows = tomllib.loads(files(__package__).joinpath("cables.toml").read_text(encoding="utf-8"))
    return float(rows[name]["value"])


def conductor_ohms(length_m: float, area_m2: float) -> float:
    """Resistance of one copper conductor."""
    return length_m / (_value("conductivity") * area_m2)


def core_farads(length_m: float) -> float:
    """Capacitance between two cores of a multicore cable that lie beside each other over this length."""
    return length_m * _value("capacitance")
