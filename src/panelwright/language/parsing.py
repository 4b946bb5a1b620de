"""One statement at a time: the parser, and what it says when it does not understand."""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from lark import Lark
from lark.exceptions import UnexpectedCharacters, UnexpectedInput, UnexpectedToken

from panelwright.circuit import Problem, Span

from .lines import outside_quotes
from .sentences import build

STARTS = {
    "rungs": "rung",
    "power paths": "path",
    "promises": "promise",
    "assumptions": "assumption",
    "trial": "steps",
}
_WHAT = {
    "rung": "a rung",
    "path": "a power path",
    "promise": "a promise",
    "assumption": "an assumption",
    "steps": "a trial step",
}

# What a technician would call each terminal of the grammar, with examples of its words.
_TERMINAL_WORDS: dict[str, tuple[str, ...]] = {
    "STATE": ("in", "out", "lit", "dark", "pressed", "released", "made", "clear", "tripped", "running", "stopped"),
    "VERB": ("picks up", "drops out", "lights", "goes dark", "starts", "stops", "makes", "clears", "trips"),
    "STAYS": ("stays",), "NOT": ("not",), "NO": ("no",), "EVERYTHING": ("everything",), "AT_LEAST": ("at least",),
    "AT_MOST": ("at most",), "IN_ORDER": ("in order",), "STANDING": ("race", "buzzing", "short circuit", "restart"),
    "EVENT_WORD": ("race", "buzzing", "short circuit"), "PRESS": ("press", "release", "press and release"),
    "ACT": ("make", "clear", "trip", "reset"), "ON_OFF": ("on", "off"), "OPEN": ("open",),
    "FAULT_WORD": ("stuck open", "stuck closed", "stuck in", "stuck out", "shorted", "reversed", "lost", "blown"),
    "PLUS_MINUS": ("+-",), "POWER_EVENT": ("returns", "fails"), "_BE": ("is",), "_AND": ("and",), "_FOR": ("for",),
    "_TURNS": ("turns to",), "_IN_PLACE_OF": ("in place of",), "_SEMI": (";",), "_BAR": ("|",), "LPAR": ("(",),
    "RPAR": (")",), "COMMA": (",",), "COLON": (":",), "AMPERSAND": ("&",),
}  # fmt: skip
_TERMINAL_NAMES = {
    "TAG": "a tag such as K1", "TAG_PART": "a device such as S1.nc", "POINT": "a point such as @4", "RAIL": "a rail",
    "QUANTITY": "a quantity with its unit", "STRING": 'a text in "quotes"', "$END": "the end of the line",
    "NUMBER": "a number", "POSITION_WORD": "a position",
}  # fmt: skip


@cache
def parser() -> Lark:
    """The parser of all statements, built once."""
    grammar = files(__package__).joinpath("grammar.lark").read_text(encoding="utf-8")
    return Lark(
        grammar, parser="lalr", start=sorted(STARTS.values()), propagate_positions=False, maybe_placeholders=False
    )


@lru_cache(maxsize=20_000)
def parse(start: str, text: str, line: int) -> tuple[Any, Problem | None]:
    """The value of a statement, or the one problem that kept it from being read.

    `start`: start symbol; `text`: the statement with the columns of the file; `line`: where it starts.
    """
    problem = _brackets(text, line) if start == "rung" else None
    if problem is not None:
        return None, problem
    try:
        return build(parser().parse(text, start=start), line, text), None
    except UnexpectedInput as error:
        return None, _explained(error, start, text, line)


def _place(text: str, line: int, offset: int) -> Span:
    """The blank-delimited word at an offset of the statement, or the place behind its last word."""
    before = text[:offset]
    row = before.count("\n")
    words = text.split("\n")[row]
    column = offset - (before.rfind("\n") + 1)
    if column >= len(words.rstrip()):
        return Span(line + row, len(words.rstrip()) + 1, 1)
    while column > 0 and not words[column - 1].isspace():
        column -= 1
    length = len(re.match(r"\S*", words[column:]).group())  # type: ignore[union-attr]
    return Span(line + row, column + 1, max(1, length))


def _brackets(text: str, line: int) -> Problem | None:
    plain = outside_quotes(text)
    opened: list[int] = []
    for offset, char in enumerate(plain):
        if char == "(":
            opened.append(offset)
        elif char == ")":
            if not opened:
                where = _exact(text, line, offset)
                return Problem(
                    "PW022", "the bracket ) was never opened",
                    "what stands side by side has to be in one pair of brackets.",
                    "put ( before the first branch, or take ) away.", where,
                )  # fmt: skip
            opened.pop()
    if opened:
        where = _exact(text, line, opened[-1])
        return Problem(
            "PW021", f"the bracket ( opened at column {where.column} is not closed",
            "the program cannot tell where the branches side by side come together again.",
            "put ) after the last branch; a further line of the same rung has to begin with | or ).", where,
        )  # fmt: skip
    empty = re.search(r"\(\s*(?=[|)])|\|\s*(?=[|)])", plain)
    if empty:
        return Problem(
            "PW024", "a branch is empty", "an empty branch would be a plain wire round the others.",
            "write what stands in the branch, or take one | away.", _exact(text, line, empty.start()),
        )  # fmt: skip
    return None


def _exact(text: str, line: int, offset: int) -> Span:
    row = text.count("\n", 0, offset)
    return Span(line + row, offset - (text.rfind("\n", 0, offset) + 1) + 1, 1)


def _explained(error: UnexpectedInput, start: str, text: str, line: int) -> Problem:
    offset = getattr(error, "pos_in_stream", None)
    at_end = isinstance(error, UnexpectedToken) and error.token.type == "$END"
    if at_end or offset is None or offset < 0:
        offset = len(text)
    span = _place(text, line, offset)
    allowed = _allowed(error)
    words = [word for name in allowed for word in _spoken(name)]
    two = re.search(r"\bpress\s+and\s+([a-z]+)", text)
    if two and start == "steps" and two.group(1) != "release" and offset <= two.start(1):
        # "press" alone is a whole step, so the parser stumbles over "and" and not over the misspelt word
        span, words, at_end = Span(line, two.start(1) + 1, len(two.group(1))), ["release"], False
    if at_end:
        return Problem(
            "PW023", f"{_WHAT[start]} ends too early", f"after this {_listed(words, allowed)} has to come.",
            f"go on with {_listed(words, allowed)}.", span,
        )  # fmt: skip
    found = text[offset:].split(maxsplit=1)[0] if text[offset:].split() else ""
    word = _word(text, line, span)
    near = get_close_matches(word.lower().strip(",;"), words, 1, 0.6)
    mend = f"write {near[0]}." if near else f"write {_listed(words, allowed)} here."
    return Problem(
        "PW020", f'"{word or found}" is not understood here',
        f"{_WHAT[start]} can go on here with {_listed(words, allowed)}.", mend, span,
    )  # fmt: skip


def _word(text: str, line: int, span: Span) -> str:
    return text.split("\n")[span.line - line][span.column - 1 : span.column - 1 + span.length]


def _allowed(error: UnexpectedInput) -> list[str]:
    if isinstance(error, UnexpectedToken):
        names = error.accepts or error.expected
    else:
        assert isinstance(error, UnexpectedCharacters)
        names = error.allowed or set()
    return sorted(names)


def _spoken(name: str) -> tuple[str, ...]:
    known = _TERMINAL_WORDS.get(name)
    if known is not None:
        return known
    if name in _TERMINAL_NAMES:
        return ()
    pattern = next((t.pattern for t in parser().terminals if t.name == name), None)
    return (pattern.value,) if pattern is not None and pattern.type == "str" else ()


def _listed(words: list[str], allowed: list[str]) -> str:
    """At most seven of the words that may come, names of kinds of words last."""
    names = [_TERMINAL_NAMES[name] for name in allowed if name in _TERMINAL_NAMES]
    offered = [*dict.fromkeys(words)][: max(0, 7 - len(names))] + names[:7]
    if not offered:
        return "something else"
    return offered[0] if len(offered) == 1 else ", ".join(offered[:-1]) + " or " + offered[-1]
