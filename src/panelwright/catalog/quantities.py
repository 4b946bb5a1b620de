"""Numbers with their units, as technicians type them.

`read_quantity` takes one quantity; `measure_at` finds one in a row of words, with the unit joined or apart.
Factors: SI; horsepower 745.7 W, foot 0.3048 m, AWG by the geometric series of ASTM B258 (from memory).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import pi

from ..circuit import CurrentKind, Quantity

NUMBER = re.compile(r"\d+(?:\.\d+)?|\.\d+")
COMMA_NUMBER = re.compile(r"(\d+),(\d+)")
JOINED = re.compile(r"(?P<number>\d+(?:[.,]\d+)?|\.\d+)(?P<unit>[A-Za-zµμΩ°%].*)?", re.DOTALL)
WITHIN = re.compile(r"(?P<whole>\d+)(?P<letter>[kKMRrΩ])(?P<part>\d+)")  # 4k7, 2R2

FOOT_M, INCH_M = 0.3048, 0.0254  # exact since 1959
WATTS_PER_HP = 745.7  # mechanical horsepower, 550 ft lbf/s
KCMIL_M2 = 5.067e-7  # 1000 circular mils: pi/4 x (0.0254 mm) squared each

_EXACT = {  # spelling -> (SI unit, factor); where a capital letter makes a difference
    "mV": ("V", 1e-3), "kV": ("V", 1e3), "V": ("V", 1.0),
    "A": ("A", 1.0), "mA": ("A", 1e-3), "kA": ("A", 1e3), "uA": ("A", 1e-6), "µA": ("A", 1e-6),
    "W": ("W", 1.0), "mW": ("W", 1e-3), "kW": ("W", 1e3), "MW": ("W", 1e6),
    "VA": ("VA", 1.0), "kVA": ("VA", 1e3), "MVA": ("VA", 1e6),
    "Hz": ("Hz", 1.0), "kHz": ("Hz", 1e3),
    "s": ("s", 1.0), "ms": ("s", 1e-3), "min": ("s", 60.0), "h": ("s", 3600.0),
    "ohm": ("ohm", 1.0), "Ω": ("ohm", 1.0), "kohm": ("ohm", 1e3), "kΩ": ("ohm", 1e3), "k": ("ohm", 1e3),
    "mohm": ("ohm", 1e-3), "mΩ": ("ohm", 1e-3), "Mohm": ("ohm", 1e6), "MΩ": ("ohm", 1e6),
    "m": ("m", 1.0), "mm": ("m", 1e-3), "cm": ("m", 1e-2), "km": ("m", 1e3), "ft": ("m", FOOT_M), "in": ("m", INCH_M),
    "mm2": ("m2", 1e-6), "mm²": ("m2", 1e-6), "kcmil": ("m2", KCMIL_M2),
    "F": ("F", 1.0), "mF": ("F", 1e-3), "uF": ("F", 1e-6), "µF": ("F", 1e-6), "nF": ("F", 1e-9), "pF": ("F", 1e-12),
    "hp": ("W", WATTS_PER_HP), "%": ("%", 1.0), "C": ("C", 1.0), "°C": ("C", 1.0), "rpm": ("rpm", 1.0),
    "mH": ("H", 1e-3), "H": ("H", 1.0),
}  # fmt: skip
_ANY_CASE = {  # spelling in small letters -> exact spelling
    "v": "V", "volt": "V", "volts": "V", "kv": "kV", "a": "A", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "ka": "kA", "w": "W", "watt": "W", "watts": "W", "kw": "kW", "va": "VA", "kva": "kVA", "hz": "Hz", "cps": "Hz",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "msec": "ms", "mins": "min", "minute": "min",
    "minutes": "min", "hour": "h", "hours": "h", "ohms": "ohm", "kohms": "kohm", "feet": "ft", "foot": "ft",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "inch": "in", "inches": "in", "uf": "uF", "nf": "nF",
    "pf": "pF", "ma": "mA", "mv": "mV", "horsepower": "hp", "sq.mm": "mm2", "mcm": "kcmil", "percent": "%",
}  # fmt: skip
_CURRENT: dict[str, CurrentKind] = {"ac": "ac", "dc": "dc", "~": "ac", "=": "dc", "⎓": "dc", "ac/dc": "either"}


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity found in a row of words: with `current` when "ac" or "dc" stood behind it.

    `words`: how many words it took. `comma`: the number as typed, when it had a decimal comma; else "".
    """

    quantity: Quantity
    words: int
    current: CurrentKind | None = None
    comma: str = ""


@cache
def unit_of(spelling: str) -> tuple[str, float] | None:
    """SI unit and factor of a unit as typed ("kohm", "SEC"), or None."""
    plain = spelling.replace("μ", "µ").replace("²", "2")
    for candidate in (plain, _ANY_CASE.get(plain.lower(), ""), plain.lower()):
        if candidate in _EXACT:
            return _EXACT[candidate]
    return None


def is_number(text: str) -> bool:
    """Whether the word is a number and nothing else, decimal comma included."""
    return bool(NUMBER.fullmatch(text) or COMMA_NUMBER.fullmatch(text))


def awg_area_m2(gauge: int) -> float:
    """Cross-section of a wire of that gauge; 0 is 1/0, -1 is 2/0. Source: ASTM B258 (from memory)."""
    diameter_m = 0.127e-3 * 92 ** ((36 - gauge) / 39)
    return float(pi / 4 * diameter_m**2)


def read_quantity(text: str) -> Quantity | None:
    """The one quantity that `text` is ("24 V", "24VDC", "14 AWG", "4k7 ohm", "1/2 hp"), else None.

    A decimal comma or a number without a unit is not a quantity.
    """
    words = text.replace("/", " / ").split() if "/" in text and "ac/dc" not in text.lower() else text.split()
    found = measure_at(words, 0)
    if found is None or found.words != len(words) or found.comma:
        return None
    return Quantity(found.quantity.value, found.quantity.unit, text.strip())


def measure_at(words: Sequence[str], start: int) -> Measure | None:
    """The quantity that begins at `words[start]`, or None. Fractions stand as three words: 1, /, 2."""
    if start >= len(words):
        return None
    if within := _within(words, start):
        return within
    joined = JOINED.fullmatch(words[start])
    if joined is None:
        return None
    number, unit, end = joined["number"], joined["unit"] or "", start + 1
    comma = number if "," in number else ""
    value = float(number.replace(",", "."))
    fraction = 1.0
    if not unit and words[end : end + 1] == ["/"] and len(words) > end + 1:
        below = JOINED.fullmatch(words[end + 1])
        if below is None or "," in below["number"]:
            return None
        fraction, unit, end = float(below["number"]), below["unit"] or "", end + 2
    if not unit and end < len(words):
        unit, end = words[end], end + 1
    found = _valued(value, fraction, unit)
    if found is None:
        return None
    amount, si, current = found
    if si == "V" and current is None and end < len(words) and words[end].lower() in _CURRENT:
        current, end = _CURRENT[words[end].lower()], end + 1
        if [word.lower() for word in words[end : end + 2]] in (["/", "dc"], ["or", "dc"], ["/", "ac"], ["or", "ac"]):
            current, end = "either", end + 2
    return Measure(Quantity(amount, si, " ".join(words[start:end])), end - start, current, comma)


def _valued(value: float, fraction: float, unit: str) -> tuple[float, str, CurrentKind | None] | None:
    """Value in SI, unit, and ac or dc if the unit carries it; None when this is no unit."""
    if unit.upper() == "AWG":
        gauge = 1.0 - value if fraction == 0.0 else value  # 2/0 is gauge -1
        return (awg_area_m2(int(gauge)), "m2", None) if gauge == int(gauge) and -4 < gauge <= 40 else None
    current: CurrentKind | None = None
    low = unit.lower()
    for ending in ("dc", "ac"):
        if low in (f"v{ending}", f"kv{ending}", f"mv{ending}", f"v{ending}."):
            unit, current = unit[: low.index("v") + 1], _CURRENT[ending]
    known = unit_of(unit)
    if known is None or fraction == 0.0 or (fraction != 1.0 and unit.lower() not in ("hp", "horsepower", "in", "inch")):
        return None
    return value / fraction * known[1], known[0], current


def _within(words: Sequence[str], start: int) -> Measure | None:
    """`4k7 ohm`, `2R2`: the letter stands where the decimal point would."""
    match = WITHIN.fullmatch(words[start])
    if match is None:
        return None
    factor = {"k": 1e3, "K": 1e3, "M": 1e6}.get(match["letter"], 1.0)
    end = start + 1
    if end < len(words) and (known := unit_of(words[end])) is not None and known == ("ohm", 1.0):
        end += 1
    value = float(f"{match['whole']}.{match['part']}") * factor
    return Measure(Quantity(value, "ohm", " ".join(words[start:end])), end - start)
