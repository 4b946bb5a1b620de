"""Results of a test sheet judged; a failed line goes to the search for its cause with all that was read."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..wiring import Wiring
from .evidence import UNITS, Differs, Evidence, Reading, Seen, values_agree
from .meters import meter_called
from .search import Search
from .sheet import Sheet, SheetLine

GOOD = ("ok", "yes", "y", "x", "pass", "passed", "tick", "good", "right")
BAD = ("no", "n", "fail", "failed", "bad", "wrong")
LIMIT = re.compile(r"at (?P<side>least|most) (?P<value>[\d.]+) (?P<unit>\w+)")
VALUE = re.compile(r"(?P<beyond>>?)\s*(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>[A-Za-zΩω]*)")


@dataclass(frozen=True, slots=True)
class Judged:
    """One line with its result: `verdict` "passed", "failed", "not done" or "not understood"."""

    number: int
    line: SheetLine
    result: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Judgement:
    """A sheet judged. `search`: what the failed lines say of the cause, None when nothing failed."""

    lines: tuple[Judged, ...]
    search: Search | None

    @property
    def failed(self) -> tuple[Judged, ...]:
        """Lines that failed."""
        return tuple(one for one in self.lines if one.verdict == "failed")

    @property
    def not_done(self) -> tuple[Judged, ...]:
        """Lines without a result, or with one that says nothing."""
        return tuple(one for one in self.lines if one.verdict in ("not done", "not understood"))


def judge(wiring: Wiring, sheet: Sheet, results: Mapping[int, str]) -> Judgement:
    """Results by line number ("ok", "24 V", "open", "0.3") against what was expected.

    Lines that passed count as evidence too. Numbers that the sheet does not have are taken for nothing.
    """
    judged = tuple(
        Judged(number, line, results.get(number, ""), verdict_on(line, results.get(number, "")))
        for number, line in enumerate(sheet.lines, 1)
    )
    if not any(one.verdict == "failed" for one in judged):
        return Judgement(judged, None)
    pieces = [piece for one in judged if one.verdict in ("failed", "passed") for piece in _evidence(one)]
    return Judgement(judged, replace(Search.of(wiring, new=True), evidence=tuple(dict.fromkeys(pieces))))


def verdict_on(line: SheetLine, result: str) -> str:
    """What a result makes of one line: see `Judged`."""
    word = result.strip().lower()
    if not word:
        return "not done"
    if _is_good(line, word):
        return "passed"
    if word in BAD:
        return "failed"
    if line.kind in ("ohms", "volts"):
        value, known = _typed(line, word)
        if not known:
            return "not understood"
        unit = "ohm" if line.kind == "ohms" else "V"
        return "passed" if values_agree(unit, value, line.value) or _is_enough(line, value) else "failed"
    return _within(line.expect, result.strip()) if line.kind == "tick" else "failed"


def _is_good(line: SheetLine, word: str) -> bool:
    """Whether somebody only says that it is right, or writes down what the sheet wants."""
    return word in GOOD or word == line.expect.lower()


def _is_enough(line: SheetLine, value: float | None) -> bool:
    """Whether a coil's volts, lower than they should be, are still those that the sheet allows."""
    limit = LIMIT.search(line.expect)
    if limit is None or value is None or line.value is None:
        return False
    return float(limit["value"]) <= abs(value) <= abs(line.value)


def _within(expect: str, result: str) -> str:
    """Verdict on a value where the sheet names a limit alone: "at least 1 Mohm", "at most 0.1 ohm", "at most 3.4 A"."""
    limit, value = LIMIT.fullmatch(expect), VALUE.fullmatch(result)
    if limit is None or value is None or (value["beyond"] and limit["side"] == "most"):
        return "not understood"
    unit, factor = UNITS[limit["unit"].lower()]
    name, scale = UNITS.get(value["unit"].lower(), ("", 1.0)) if value["unit"] else (unit, factor)
    if name != unit:
        return "not understood"
    if value["unit"].startswith("m") and factor == 1:
        scale = 1e-3  # a tester of bonds shows thousandths of an ohm; one of insulation never does
    read, bound = float(value["value"].replace(",", ".")) * scale, float(limit["value"]) * factor
    return "passed" if (read >= bound if limit["side"] == "least" else read <= bound) else "failed"


def _typed(line: SheetLine, word: str) -> tuple[float | None, bool]:
    if word in ("open", "ol", "o.l", "o.l.", "silent", "infinite"):
        return None, True
    if word in ("beeps", "beep"):
        return 0.0, True
    number, _, unit = word.partition(" ")
    if not unit:
        digits = number.rstrip("abcdefghijklmnopqrstuvwxyzω")
        number, unit = digits, number[len(digits) :]
    name, factor = UNITS.get(unit.split(" ")[0], ("ohm" if line.kind == "ohms" else "V", 1.0))
    try:
        return float(number.replace(",", ".")) * factor, name == ("ohm" if line.kind == "ohms" else "V")
    except ValueError:
        return 0.0, False


def _evidence(one: Judged) -> list[Evidence]:
    line = one.line
    if line.situation is None:
        return []
    if line.kind in ("ohms", "volts"):
        word = one.result.strip().lower()
        if word in BAD:
            return []
        value = line.value if _is_good(line, word) else _typed(line, word)[0]
        unit = "ohm" if line.kind == "ohms" else "V"
        return [
            Reading(
                line.a, line.b, unit, value, line.situation, meter_called("digital"), f"line {one.number}: {one.result}"
            )
        ]
    if line.kind == "look" and one.verdict == "passed":
        return [Seen(state, line.situation, f"line {one.number}") for state in line.seen]
    if line.kind == "look" and line.seen:
        return [Differs(line.seen, line.situation, f"line {one.number}: {one.result}")]
    return []
