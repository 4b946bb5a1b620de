"""The meters that readings can be taken with: rows of `meters.toml`."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Meter:
    """`reads`: "volts", "ohms". `ohms`: inner resistance on volts; with `ohms_per_volt` it follows from the range.

    `least_v`: below it the meter shows nothing. `threshold_ohms`: a buzzer sounds below it, 0 for no buzzer.
    `source` and `trust`: where the figures come from.
    """

    name: str
    says: str
    source: str
    trust: str
    also: tuple[str, ...] = ()
    reads: tuple[str, ...] = ("volts",)
    ohms: float = 0.0
    ohms_per_volt: float = 0.0
    ranges_v: tuple[float, ...] = ()
    least_v: float = 0.0
    threshold_ohms: float = 0.0
    lamp: bool = False

    def inner_ohms(self, volts: float) -> float:
        """Resistance between the leads while `volts` are to be read, on the smallest range that holds them."""
        if not self.ohms_per_volt:
            return self.ohms
        return self.ohms_per_volt * next((r for r in self.ranges_v if r >= volts), self.ranges_v[-1])


class UnknownMeter(ValueError):
    """No row has this name."""


@cache
def meters() -> dict[str, Meter]:
    """Every meter by name, in file order."""
    rows = tomllib.loads(files(__package__).joinpath("meters.toml").read_text(encoding="utf-8"))["meter"]
    return {row["name"]: _meter(row) for row in rows}


def _meter(row: dict[str, Any]) -> Meter:
    values: dict[str, Any] = {key: tuple(value) if isinstance(value, list) else value for key, value in row.items()}
    return Meter(**values)


def meter_called(name: str) -> Meter:
    """The meter of a name or one of its other names. Raises UnknownMeter with the nearest."""
    wanted = name.strip().lower()
    for meter in meters().values():
        if wanted in (meter.name, *meter.also):
            return meter
    near = get_close_matches(wanted, [n for m in meters().values() for n in (m.name, *m.also)], 1)
    mend = f"did you mean {near[0]}?" if near else f"known: {', '.join(meters())}"
    raise UnknownMeter(f"there is no meter called {name}; {mend}")
