"""A quantity as somebody typed it, with its value in SI units."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Quantity:
    """`value` is in the SI unit named by `unit` ("V", "A", "ohm", "s", "W", "VA", "Hz", "m", "m2", "F", "%", "C",
    "rpm"; "" for a bare number).

    `text` is what was typed ("14 AWG", "300 ms"); it is shown again and never converted.
    """

    value: float
    unit: str
    text: str
