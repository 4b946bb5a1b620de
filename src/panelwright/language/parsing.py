"""One statement at a time: the parser, and where it stops when it does not understand."""

from __future__ import annotations

from functools import cache, lru_cache
from importlib.resources import files
from typing import Any

from lark import Lark
from lark.exceptions import UnexpectedInput, UnexpectedToken

from panelwright.circuit import Problem

from .lines import LINES_REMEMBERED
from .sentences import build
from .slips import misshapen, not_read

STARTS = {
    "rungs": "rung",
    "power paths": "path",
    "promises": "promise",
    "assumptions": "assumption",
    "trial": "steps",
}


@cache
def parser() -> Lark:
    """The parser of all statements, built once."""
    grammar = files(__package__).joinpath("grammar.lark").read_text(encoding="utf-8")
    return Lark(
        grammar, parser="lalr", start=sorted(STARTS.values()), propagate_positions=False, maybe_placeholders=False
    )


@lru_cache(maxsize=LINES_REMEMBERED)
def parse(start: str, text: str, line: int) -> tuple[Any, Problem | None]:
    """The value of a statement, or the one problem that kept it from being read.

    `start`: start symbol; `text`: the statement with the columns of the file; `line`: where it starts.
    """
    problem = misshapen(text, line) if start == "rung" else None
    if problem is not None:
        return None, problem
    try:
        return build(parser().parse(text, start=start), line, text), None
    except UnexpectedInput as error:
        return None, not_read(_stopped_at(error, text), _can_come(error), _plain_words(), start, text, line)


def _stopped_at(error: UnexpectedInput, text: str) -> int:
    offset: int | None = getattr(error, "pos_in_stream", None)
    at_end = isinstance(error, UnexpectedToken) and error.token.type == "$END"
    return len(text) if at_end or offset is None or offset < 0 else offset


def _can_come(error: UnexpectedInput) -> frozenset[str]:
    """The terminals with which the statement could have gone on; the lexer alone would name too many."""
    stopped = getattr(error, "interactive_parser", None)
    return frozenset(stopped.accepts()) if stopped is not None else frozenset()


@cache
def _plain_words() -> dict[str, str]:
    """Terminals of the grammar that are one plain word, with that word."""
    patterns = ((terminal.name, terminal.pattern) for terminal in parser().terminals)
    return {name: pattern.value for name, pattern in patterns if pattern.type == "str" and pattern.value.isalpha()}
