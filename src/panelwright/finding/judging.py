"""Results of a test sheet judged; a failed line goes to the search for its cause with all that was read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..wiring import Wiring
from .evidence import UNITS, Differs, Evidence, Reading, Seen, values_agree
from .meters import meter_called
from .search import Search
from .sheet import Sheet, SheetLine

GOOD = ("ok", "yes", "y", "x", "pass", "passed", "tick", "good", "right")
BAD = ("no", "n", "fail", "failed", "bad", "wrong")


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
        Judged(number, line, results.get(number, ""), _verdict(line, results.get(number, "")))
        for number, line in enumerate(sheet.lines, 1)
    )
    if not any(one.verdict == "failed" for one in judged):
        return Judgement(judged, None)
    pieces = [piece for one in judged if one.verdict in ("failed", "passed") for piece in _evidence(one)]
    return Judgement(judged, replace(Search.of(wiring, new=True), evidence=tuple(dict.fromkeys(pieces))))


def _verdict(line: SheetLine, result: str) -> str:
    word = result.strip().lower()
    if not word:
        return "not done"
    if word in GOOD:
        return "passed"
    if word in BAD:
        return "failed"
    if line.kind in ("ohms", "volts"):
        value, known = _typed(line, word)
        if not known:
            return "not understood"
        return "passed" if values_agree("ohm" if line.kind == "ohms" else "V", value, line.value) else "failed"
    return "not understood" if line.kind == "tick" else "failed"


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
        value = line.value if word in GOOD else _typed(line, word)[0]
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
