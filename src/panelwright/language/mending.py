"""Slips that can be told before a line is parsed, and the line as it is read on with them mended."""

from __future__ import annotations

import re
from functools import lru_cache

from panelwright.circuit import Problem

from .lines import LINES_REMEMBERED, Line, outside_quotes

_COMMA_NUMBER = re.compile(
    r"(?<![\w.])(\d+),(\d+)(?=\s*(?:[kmu]?V|[kmu]?A|[kM]?ohm|[mu]?s|sec|min|h|W|kW|hp|mm2|m|VA|Hz)\b)"
)
_SINGLE = re.compile(r"(?<=\s)'([^'\"]*)'\s*$")
_TEXT = re.compile(r'"(?:[^"]|"")*"')


@lru_cache(maxsize=LINES_REMEMBERED)
def mended(line: Line, section: str) -> tuple[Line, tuple[Problem, ...]]:
    """The line with these slips mended (every column stays where it was), and the report of each."""
    problems: list[Problem] = []
    text = line.text
    if "," in text and (comma := _COMMA_NUMBER.search(outside_quotes(text))):
        problems.append(
            Problem(
                "PW012", f"{comma.group()} has a decimal comma", "a comma separates things here; a number has a point.",
                f"write {comma.group(1)}.{comma.group(2)}.", line.span(comma.start(), comma.end()),
            )
        )  # fmt: skip
        text = _COMMA_NUMBER.sub(r"\1.\2", text)
    if "'" in text and (single := _SINGLE.search(outside_quotes(text))):
        said = single.group(1)
        problems.append(
            Problem(
                "PW010", f"the text '{said}' stands in single quotes", "a text has to stand between two double quotes.",
                f'write "{said}".', line.span(single.start(), single.end()),
            )
        )  # fmt: skip
        text = f'{text[: single.start()]}"{said}"'
    if '"' in text and "\n" not in text and (quoted := _TEXT.search(text)):
        if not outside_quotes(text).replace('"', " ").replace("_", " ").strip():
            return line, (_bare(line),)
        behind = text[quoted.end() :]
        if behind.strip() and section != "trial":
            problems.append(_amid(line, quoted))
            text = text[: quoted.start()] + " " * len(quoted.group()) + behind
            text = text if '"' in behind else f"{text}  {quoted.group()}"
    return (line if text == line.text else Line(line.number, text, line.comments)), tuple(problems)


def _bare(line: Line) -> Problem:
    indent = len(line.text) - len(line.text.lstrip())
    return Problem(
        "PW033", "a text stands alone on its line", "a text in quotes says what the words before it are for.",
        "put it behind the device or the rung that it belongs to, or make it a note.",
        line.span(indent, len(line.text)),
    )  # fmt: skip


def _amid(line: Line, quoted: re.Match[str]) -> Problem:
    return Problem(
        "PW034", f"the text {quoted.group()} stands in the middle of its line", "a text has its place at the end.",
        "put it behind the last word.", line.span(quoted.start(), quoted.end()),
    )  # fmt: skip
