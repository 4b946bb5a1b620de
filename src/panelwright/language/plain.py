"""The short lists: heading facts, places, cables, wires, notes. Told by their words, without a grammar."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache

from panelwright.catalog import read_quantity
from panelwright.circuit import Cable, Heading, Mount, Note, Place, Problem, Quantity, Span, WireRule

from .lines import LINES_REMEMBERED, Line, outside_quotes

LANGUAGE = 1  # goes up when a file of before would be read with another meaning
_SCHEMES = ("running", "by rung", "by device end", "by other end", "by text")
_SETTINGS = ("symbols", "wire numbers", "rules", "revision", "date", "job", "drawn by", "checked by",
             "language")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Words:
    """A line as words, with its text in quotes taken off."""

    words: tuple[str, ...]
    columns: tuple[int, ...]
    text: str
    line: int

    def span(self, index: int) -> Span:
        """The place of a word."""
        if index >= len(self.words):
            end = self.columns[-1] + len(self.words[-1]) if self.words else 1
            return Span(self.line, end, 1)
        return Span(self.line, self.columns[index], len(self.words[index]))

    @property
    def whole(self) -> Span:
        """The place of all words."""
        if not self.words:
            return Span(self.line, 1, 1)
        last = self.columns[-1] + len(self.words[-1])
        return Span(self.line, self.columns[0], last - self.columns[0])


@lru_cache(maxsize=LINES_REMEMBERED)
def words_of(line: Line) -> Words:
    """The words of a line."""
    plain = outside_quotes(line.text)
    found = [(m.group(), m.start() + 1) for m in re.finditer(r'"_*(?:""_*)*"|[^\s"]+', plain)]
    text = ""
    if found and found[-1][0].startswith('"'):
        start = found[-1][1]
        text = line.text[start : start + len(found[-1][0]) - 2].replace('""', '"')
        found.pop()
    return Words(tuple(w for w, _ in found), tuple(c for _, c in found), text, line.number)


def _unknown(words: Words, index: int, what: str, known: tuple[str, ...]) -> Problem:
    word = words.words[index] if index < len(words.words) else ""
    near = get_close_matches(word, known, 1, 0.5)
    mend = (
        f"write {near[0]}."
        if near
        else f"write {known[0]}."
        if len(known) == 1
        else f"write one of {', '.join(known)}."
    )
    message = f'"{word}" is not understood here' if word else f"{what} ends too early"
    return Problem("PW020", message, f"{what} can have {', '.join(known)}.", mend, words.span(index))


def setting(heading: Heading, line: Line) -> tuple[Heading, Problem | None]:
    """One line under `panel`."""
    words = words_of(line)
    first, rest = words.words[0], " ".join(words.words[1:])
    value = words.text or rest
    if first == "language":
        return heading, _version(words, rest)
    if first == "symbols":
        if rest in ("IEC", "NA"):
            return replace(heading, symbols=rest), None
        return heading, _unknown(words, 1, "symbols", ("IEC", "NA"))
    if first == "wire" and words.words[1:2] == ("numbers",):
        scheme = " ".join(words.words[2:])
        if scheme in _SCHEMES:
            return replace(heading, wire_numbers=scheme), None
        return heading, _unknown(words, 2, "wire numbers", _SCHEMES)
    if first in ("rules", "revision", "date", "job"):
        return replace(heading, **{first: value}), None
    if first in ("drawn", "checked") and words.words[1:2] == ("by",):
        return replace(heading, **{f"{first}_by": words.text or " ".join(words.words[2:])}), None
    return heading, _unknown(words, 0, "the head of a panel", _SETTINGS)


def _version(words: Words, number: str) -> Problem | None:
    if not number.isdigit():
        return _unknown(words, 1, "language", (str(LANGUAGE),))
    if int(number) <= LANGUAGE:
        return None
    return Problem(
        "PW035", f"the file is written in language {number}; this program knows up to {LANGUAGE}",
        "statements that came later may be reported as mistakes.", "get a newer Panelwright.", words.span(1),
    )  # fmt: skip


def _number(text: str) -> float | None:
    return float(text) if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text) else None


def _millimetres(words: Words, start: int, count: int) -> tuple[list[float], int] | None:
    """`count` numbers joined by x, then mm; in metres, with the index behind."""
    values: list[float] = []
    index = start
    for number in range(count):
        if number:
            if words.words[index : index + 1] != ("x",):
                return None
            index += 1
        value = _number(words.words[index]) if index < len(words.words) else None
        if value is None:
            return None
        values.append(value / 1000)
        index += 1
    return (values, index + 1) if words.words[index : index + 1] == ("mm",) else None


def place(line: Line) -> tuple[Place | Mount | tuple[str, str, tuple[str, ...]] | None, Problem | None]:
    """A line under `places`: a place, a rail or duct, or (number of a rail, "", devices on it)."""
    words = words_of(line)
    first = words.words[0]
    if first in ("rail", "duct"):
        mount = _mount(words)
        form = "rail 1 on plate at 40 x 150 mm 470 mm long"
        return mount, None if mount else _form("PW025", words, f"a {first}", form)
    if len(words.words) >= 4 and words.words[-3:-1] == ("on", "rail"):
        return (words.words[-1], "", words.words[:-3]), None
    if not re.fullmatch(r"[a-z][a-z0-9-]*", first):
        return None, _form("PW025", words, "a place", 'pit "wet well, 40 m away"')
    index = 1
    width = height = None
    size = _millimetres(words, 1, 2)
    if size:
        (width, height), index = size
    hinged = ""
    if words.words[index : index + 1] == ("hinged",):
        hinged = words.words[index + 1] if index + 1 < len(words.words) else ""
        index += 2
    if index < len(words.words):
        return Place(first, words.text, width, height, hinged, words.span(0)), _unknown(
            words, index, "a place", ("600 x 800 mm", "hinged left", "hinged right")
        )
    return Place(first, words.text, width, height, hinged, words.span(0)), None


def _mount(words: Words) -> Mount | None:
    w = words.words
    if len(w) < 10 or w[2] != "on" or w[4] != "at":
        return None
    at = _millimetres(words, 5, 2)
    length = _millimetres(words, at[1], 1) if at else None
    if at is None or length is None or w[length[1] : length[1] + 1] != ("long",):
        return None
    cross = _millimetres(words, length[1] + 1, 2)
    width, height = cross[0] if cross else (0.0, 0.0)
    return Mount(w[0], w[1], w[3], at[0][0], at[0][1], length[0][0], width, height, span=words.whole)


def _form(code: str, words: Words, what: str, example: str) -> Problem:
    return Problem(
        code, f"{what} is not written like this", "the words do not come in an order that can be read.",
        f"write it like this: {example}", words.whole,
    )  # fmt: skip


def cable(line: Line) -> tuple[Cable | tuple[str, tuple[str, str, str], Span] | None, Problem | None]:
    """A cable, or (tag, (core, from, to), span) for one of its cores."""
    words = words_of(line)
    w = words.words
    core = len(w) == 7 and w[1] == "core" and w[3] == "from" and w[5] == "to"
    if core:
        return (w[0], (w[2], w[4], w[6]), words.span(0)), None
    if len(w) > 5 and w[1] == "cable" and "from" in w and "to" in w[w.index("from") :]:
        start, end = w.index("from"), w.index("to", w.index("from"))
        if end == start + 2 and end + 1 < len(w):
            cores, length = _cores(w[2:start])
            ends = tuple(name.rstrip(",") for name in w[end + 1 :] if name != "and")
            return Cable(w[0], cores, length, w[start + 1], ends, words.text, span=words.span(0)), None
    problem = _form("PW026", words, "a cable", "C1 cable 5 x 14 AWG 300 ft from TB1 to 1PB and 2PB")
    meant = Cable(w[0], "", None, "", (), span=words.span(0)) if w[1:2] != ("core",) else None
    return meant, problem  # its tag is declared all the same, so that its cores are not reported too


def _cores(words: tuple[str, ...]) -> tuple[str, Quantity | None]:
    """("5 x 14 AWG", 300 ft) from the words between "cable" and "from"."""
    for count in (2, 1):
        quantity = read_quantity(" ".join(words[-count:])) if len(words) > count else None
        if quantity is not None and quantity.unit == "m":
            return " ".join(words[:-count]), quantity
    return " ".join(words), None


def wire_rule(line: Line) -> tuple[WireRule | None, Problem | None]:
    """Size and colour of a class of wires."""
    words = words_of(line)
    rest = list(words.words[1:])
    size: Quantity | None = None
    length: Quantity | None = None
    colours: list[str] = []
    index = 0
    while index < len(rest):
        two, one = read_quantity(" ".join(rest[index : index + 2])), read_quantity(rest[index])
        quantity = two or one
        if quantity is not None and (two is None or index + 1 < len(rest)):
            index += 2 if two is not None else 1
            if quantity.unit == "m2":
                size = quantity
            elif quantity.unit == "m":
                length = quantity
            else:
                return None, _form("PW027", words, "a wire", "control 1.0 mm2 dark-blue")
        elif re.fullmatch(r"[a-z][a-z/-]*", rest[index]):
            colours.append(rest[index])
            index += 1
        else:
            return None, _form("PW027", words, "a wire", "control 1.0 mm2 dark-blue")
    if not rest:
        return None, _form("PW027", words, "a wire", "control 1.0 mm2 dark-blue")
    return WireRule(words.words[0], size, " ".join(colours), length, words.span(0)), None


def note(line: Line) -> tuple[Note | None, Problem | None]:
    """A source, a note or a caution."""
    words = words_of(line)
    if not words.words or words.words[0] not in ("source", "note", "caution"):
        return None, _unknown(words, 0, "the notes", ("source", "note", "caution"))
    if len(words.words) > 1 or not words.text:
        return Note(words.words[0], words.text or " ".join(words.words[1:]), words.span(0)), Problem(
            "PW028", f"the text of a {words.words[0]} has to stand in quotes", "otherwise its end cannot be told.",
            f'write {words.words[0]} "..."', words.span(1),
        )  # fmt: skip
    return Note(words.words[0], words.text, words.span(0)), None
