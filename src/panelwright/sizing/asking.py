"""What single questions may be asked with: a wrong value is answered with what, where, why and how to mend it.

@asked(needed_a=NOT_NEGATIVE, region=A_REGION)
def smallest_conductor(needed_a: float, region: Region, ...) -> Conductor: ...
"""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from numbers import Real
from typing import ParamSpec, TypeVar

from .regions import Region, regions

P = ParamSpec("P")
R = TypeVar("R")


class AskedWrongly(ValueError):
    """A single question was asked with a value that has no answer. The message says where, what, why and the mend."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What a value has to be. `why` and `mend` finish the message; `mend` may look at the argument and its value."""

    holds: Callable[[object], bool]
    why: str
    mend: Callable[[str, object], str]


def asked(**rules: Rule) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """A function whose arguments are looked at first. Raises (when called): AskedWrongly."""

    def looked_at(function: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(function)

        @functools.wraps(function)
        def ask(*args: P.args, **kwargs: P.kwargs) -> R:
            bound = signature.bind(*args, **kwargs)
            for name, rule in rules.items():
                if name in bound.arguments and not rule.holds(bound.arguments[name]):
                    raise wrongly(function.__name__, name, bound.arguments[name], rule)
            return function(*args, **kwargs)

        return ask

    return looked_at


def wrongly(where: str, name: str, value: object, rule: Rule) -> AskedWrongly:
    """The error for a value that a rule does not hold for."""
    return AskedWrongly(f"{where}: {name} is {_shown(value)}; {rule.why}. {rule.mend(name, value)}.")


def _shown(value: object) -> str:
    text = value.name if isinstance(value, Region) else repr(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


# ---- rules
def _number(value: object) -> bool:
    return isinstance(value, Real) and not isinstance(value, bool) and not math.isnan(value)


EXAMPLES = {
    "a": "7.5", "amps": "7.5", "v": "120", "volts": "400", "hp": "5", "va": "150", "m": "25", "metres": "25",
    "mm2": "2.5", "c": "40", "celsius": "70", "watts": "50", "ohms": "650", "hertz": "50", "factor": "0.85",
    "share": "0.2", "loaded": "3", "percent": "5", "m2": "1.2", "ft2": "12", "years": "30", "s": "10",
}  # fmt: skip


def number(holds: Callable[[float], bool], why: str) -> Rule:
    """A number of some sort. A text with a unit is not one, and is told so."""

    def mend(name: str, value: object) -> str:
        example = f"{name}={EXAMPLES.get(name.rpartition('_')[2], '1')}"
        return f"Give the number alone, without quotes and unit: {example}" if isinstance(value, str) else (
            f"Give for example {example}")  # fmt: skip

    return Rule(lambda value: _number(value) and holds(float(value)), why, mend)  # type: ignore[arg-type]


POSITIVE = number(lambda value: 0 < value < math.inf, "it has to be a number above 0")
NOT_NEGATIVE = number(lambda value: 0 <= value < math.inf, "it has to be a number that is not below 0")
A_SHARE = number(lambda value: 0 <= value <= 1, "it is a share, from 0 to 1")
CELSIUS = number(lambda value: -90 <= value <= 200, "it is a temperature of -90 to 200 C")


def one_of(names: Iterable[object], *, none: bool = False) -> Rule:
    """One of some values; `none`: or None. The mend names the nearest, else all."""
    known = tuple(names)

    def mend(_: str, value: object) -> str:
        lower = {str(name).lower(): str(name) for name in known}
        near = [lower[one] for one in get_close_matches(str(value).lower(), lower, 1)]
        listed = ", ".join(map(str, known))
        return f"Did you mean {near[0]!r}? There are {listed}" if near else f"There are {listed}"

    return Rule(lambda value: value in known or (none and value is None), "it is none of those that are known", mend)


def every(rule: Rule) -> Rule:
    """A list of values, each as the rule wants it."""

    def holds(value: object) -> bool:
        return isinstance(value, Iterable) and not isinstance(value, str) and all(map(rule.holds, value))

    return Rule(holds, f"each in the list: {rule.why}", lambda name, _: f"Give for example {name}=[7.5, 4]")


def or_none(rule: Rule) -> Rule:
    """None, or as the rule wants it."""
    return Rule(lambda value: value is None or rule.holds(value), rule.why, rule.mend)


def _regions(family: str = "") -> str:
    names = ", ".join(region.name for region in regions() if family in ("", region.family))
    return f"Take it from region_called, which knows {names}"


A_REGION = Rule(lambda value: isinstance(value, Region), "it has to be a code of rules", lambda *_: _regions())
NEC_REGION = Rule(
    lambda value: isinstance(value, Region) and value.family == "NEC",
    "only the NEC has this rule",
    lambda *_: _regions("NEC"),
)
