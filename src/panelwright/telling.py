"""Problems as text: what, where, why and how to mend."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from .circuit import Problem, Severity, Span

WIDTH = 100
TAB = 8
WORDS: dict[Severity, str] = {"mistake": "", "warning": "warning ", "told": "note "}
COUNTED: dict[Severity, tuple[str, str]] = {
    "mistake": ("mistake", "mistakes"),
    "warning": ("warning", "warnings"),
    "told": ("note", "notes"),
}


def in_file_order(problems: Iterable[Problem]) -> list[Problem]:
    """By line and column; those without a place come last."""
    return sorted(problems, key=lambda one: (one.span is None, one.span or Span(0, 0), one.code))


def told_problem(problem: Problem, name: str, lines: list[str]) -> Iterator[str]:
    """The lines that tell one problem; `lines` is the text of the file that it stands in."""
    place = f":{problem.span.line}:{problem.span.column}" if problem.span else ""
    code = f"{problem.code} " if has_page(problem) else ""
    yield f"{name}{place}: {WORDS[problem.severity]}{code}{problem.message}"
    if problem.span and 1 <= problem.span.line <= len(lines):
        yield from _excerpt(lines[problem.span.line - 1], problem.span)
    yield from _wrapped("why:  ", problem.why)
    yield from _wrapped("mend: ", problem.mend)
    for words, span in problem.also:
        yield from _wrapped("also: ", f"{name}:{span.line}:{span.column} {words}")
    if has_page(problem):
        yield f"more: panelwright explain {problem.code}"


def told_problems(problems: Iterable[Problem], name: str, text: str, more: str = "") -> str:
    """All problems of one file, in file order, and their count at the end, with a word `more` behind it."""
    ordered = in_file_order(problems)
    lines = text.split("\n")
    told = ["\n".join(told_problem(problem, name, lines)) for problem in ordered]
    return "\n\n".join([*told, f"{counted(ordered, name)}{more}."])


def problem_values(problem: Problem) -> dict[str, Any]:
    """A problem for other programs; lines and columns count from 1."""
    return {
        "code": problem.code,
        "severity": problem.severity,
        "message": problem.message,
        "why": problem.why,
        "mend": problem.mend,
        "span": _span_values(problem.span),
        "also": [{"message": words, "span": _span_values(span)} for words, span in problem.also],
        "devices": list(problem.devices),
    }


def _span_values(span: Span | None) -> dict[str, int] | None:
    return {"line": span.line, "column": span.column, "length": span.length} if span else None


def counted(problems: Iterable[Problem], name: str) -> str:
    """ "2 mistakes and 1 warning in pump.panel", "no mistakes in pump.panel"."""
    numbers = Counter(problem.severity for problem in problems)
    parts = [
        f"{numbers[severity]} {words[numbers[severity] != 1]}"
        for severity, words in COUNTED.items()
        if numbers[severity]
    ]
    if not numbers["mistake"]:
        parts.insert(0, "no mistakes")
    return f"{' and '.join(filter(None, [', '.join(parts[:-1]), parts[-1]]))} in {name}"


def plain(markdown: str) -> str:
    """A section of the documentation for a terminal: blocks indented, their fences turned into words."""
    words = {"panel wrong": "Wrong:", "problem": "Panelwright says:"}
    lines: list[str] = []
    inside = False
    for line in markdown.splitlines():
        if line.startswith("```"):
            inside = not inside
            if inside and line[3:] in words:
                lines += [words[line[3:]], ""]
        else:
            lines.append(f"    {line}".rstrip() if inside else line.lstrip("# "))
    return "\n".join(lines)


def has_page(problem: Problem) -> bool:
    """Whether `explain` knows it; what fails in a trial has no page of its own."""
    return problem.code.startswith("PW")


def _excerpt(line: str, span: Span) -> Iterator[str]:
    """The line as typed, with carets under the place."""
    shown = line.expandtabs(TAB)
    start = len(line[: span.column - 1].expandtabs(TAB))
    end = len(line[: span.column - 1 + max(span.length, 1)].expandtabs(TAB))
    margin = " " * len(str(span.line))
    yield f"{margin} |"
    yield f"{span.line} | {shown.rstrip()}"
    yield f"{margin} | {' ' * start}{'^' * max(end - start, 1)}"


def _wrapped(head: str, text: str) -> list[str]:
    """A text under its head word, at most WIDTH wide."""
    if not text:
        return []
    return textwrap.wrap(text, WIDTH, initial_indent=head, subsequent_indent=" " * len(head), break_on_hyphens=False)
