"""From the words after a tag to the facts they say.

A scanner goes through the words once. At each word it tries every fact that the kind takes; what nothing takes is
reported with the nearest right word. The shapes that facts can have ("rating", "contacts", "range" ...) are the
functions of `shapes.py`, the facts themselves are rows of `kinds/facts.toml`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ..circuit import CurrentKind, Problem, Quantity, Span
from . import troubles
from .lines import DeviceLine, Word
from .marks import Block
from .quantities import Measure
from .shelf import FactRow, KindRow, Shelf, plain

_STICKS = re.compile(r"(?P<count>\d+)(?P<form>no|nc|co|n0|c0)", re.IGNORECASE)
_PLUS = re.compile(r"(?P<before>(?:\d+)?(?:no|nc|co)|\))\+(?P<after>.*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Said:
    """One fact as the line says it; only the fields that its shape fills are set."""

    row: FactRow
    text: str
    span: Span
    quantity: Quantity | None = None
    other: Quantity | None = None  # upper end of a range, second of a pair, tolerance
    current: CurrentKind | None = None
    hertz: float = 0.0
    names: tuple[str, ...] = ()
    blocks: tuple[Block, ...] = ()
    count: int = 0
    closed_at: tuple[tuple[str, tuple[str, ...]], ...] = ()


@dataclass
class Scanner:
    """The words of a line, how far they are read, and what was found wrong."""

    line: DeviceLine
    kind: KindRow
    shelf: Shelf
    words: list[Word]
    at: int = 0
    problems: list[Problem] = field(default_factory=list)
    begun: set[str] = field(default_factory=set)  # facts said so wrongly that they were reported; not missing too

    @property
    def texts(self) -> list[str]:
        """The words as text."""
        return [word.text for word in self.words]

    def peek(self, ahead: int = 0) -> str:
        """The word `ahead` of here, "" past the end."""
        where = self.at + ahead
        return self.words[where].text if where < len(self.words) else ""

    def starts_with(self, phrase: str) -> int:
        """How many words from here make up the phrase, hyphens or blanks; 0 if they do not."""
        wanted = plain(phrase)
        together = ""
        for taken, word in enumerate(self.words[self.at : self.at + 6], start=1):
            together = f"{together} {plain(word.text)}".strip()
            if together == wanted:
                return taken
            if not wanted.startswith(together + " "):
                return 0
        return 0

    def take(self, measure: Measure) -> None:
        """Move behind a quantity; a decimal comma in it is reported."""
        if measure.comma:
            self.problems.append(troubles.decimal_comma(measure.comma, self.span(self.at)))
        self.at += measure.words

    def span(self, start: int, end: int | None = None) -> Span:
        """Where words start to end (not included) stand; past the end, behind the last word."""
        if not self.words:
            return Span(self.line.line, 1, 1)
        if start >= len(self.words):
            last = self.words[-1]
            return Span(self.line.line, last.column + last.length, 1)
        first, last = self.words[start], self.words[max(start, (end or start + 1) - 1)]
        return Span(self.line.line, first.column, last.column + last.length - first.column)

    def text(self, start: int, end: int) -> str:
        """Words start to end as typed."""
        return joined(self.words[start:end])


def joined(words: Iterable[Word]) -> str:
    """Words with a blank between them, none where there was none."""
    text, end = "", -1
    for word in words:
        text += word.text if not text or word.column == end else f" {word.text}"
        end = word.column + word.length
    return text


def split_words(words: Sequence[Word]) -> list[Word]:
    """Brackets and strokes apart, "2NO+1NC" into its five words, commas between words dropped."""
    found: list[Word] = []
    for word in words:
        for text, offset in _pieces(word.text):
            found.append(Word(text, word.column + offset, len(text)))
    return found


def _pieces(text: str) -> list[tuple[str, int]]:
    """Pieces of one word with their offsets."""
    if len(text) > 1 and text[-1] in ",;":
        return _pieces(text[:-1])
    if text in (",", ";"):
        return []
    for mark in "(),":
        if mark in text and len(text) > 1 and not (mark == "," and re.search(r"\d,\d", text)):
            at = text.index(mark)
            return [
                *(_pieces(text[:at]) if at else []),
                *([] if mark == "," else [(mark, at)]),
                *((piece, at + 1 + offset) for piece, offset in (_pieces(text[at + 1 :]) if text[at + 1 :] else [])),
            ]
    if (plus := _PLUS.fullmatch(text)) is not None:
        at = plus.start("after")
        after = _pieces(plus["after"]) if plus["after"] else []
        return [*_pieces(plus["before"]), ("+", at - 1), *((piece, at + offset) for piece, offset in after)]
    if (sticks := _STICKS.fullmatch(text)) is not None:
        return [(sticks["count"], 0), (sticks["form"], sticks.start("form"))]
    if "/" in text and len(text) > 1 and re.search(r"\d", text):
        at = text.index("/")
        before, after = _pieces(text[:at]) if at else [], _pieces(text[at + 1 :]) if text[at + 1 :] else []
        return [*before, ("/", at), *((piece, at + 1 + offset) for piece, offset in after)]
    return [(text, 0)]
