"""Results typed into a plain text file: who, which panel, which meter, and a line for each line of the sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

HEAD = ("sheet", "panel", "by", "meter", "date")
RESULT = re.compile(r"(\d+)\s*[:.)]?(?:\s+|$)(.*)")
EXAMPLE = '"12: 24 V", "13: ok", "14: open", or above them "by: M. Reed", "panel: 7", "meter: 4711", "date: 2026-03-04"'


class Misread(ValueError):
    """A line that means nothing here: `line` counts from 1."""

    def __init__(self, line: int, message: str) -> None:
        super().__init__(message)
        self.line = line


@dataclass(frozen=True)
class FilledIn:
    """What somebody wrote: results by line number, as typed; and `HEAD`, "" where not said."""

    results: dict[int, str]
    head: dict[str, str] = field(default_factory=dict)


def read_results(text: str) -> FilledIn:
    """Read a file of results. What follows "#" is a remark; lines without a result are left out.

    Raises: Misread for a line that is none of these, or a number that stands there twice with two results.
    """
    results: dict[int, str] = {}
    head = dict.fromkeys(HEAD, "")
    for count, line in enumerate(text.splitlines(), 1):
        bare = line.partition("#")[0].strip()
        if not bare:
            continue
        name, colon, value = bare.partition(":")
        match = RESULT.fullmatch(bare)
        if colon and name.strip().lower() in HEAD:
            head[name.strip().lower()] = value.strip()
        elif match is None:
            raise Misread(count, f"'{bare}' is no result; write {EXAMPLE}")
        elif match[2]:
            number, result = int(match[1]), match[2].strip()
            if results.get(number, result) != result:
                raise Misread(count, f"line {number} has two results, {results[number]} and {result}; take one out")
            results[number] = result
    return FilledIn(results, head)


def form_text(kind: str, title: str, lines: Iterable[tuple[str, str]]) -> str:
    """A file to type results into: (what is done, what must be) of each line as a remark beside its number."""
    head = "\n".join(f"{name}: {kind if name == 'sheet' else ''}".rstrip() for name in HEAD)
    rows = "\n".join(
        f"{f'{number}:':16}# {do}{' -> ' if expect else ''}{expect}" for number, (do, expect) in enumerate(lines, 1)
    )
    return f"# {title}\n# Type each result after the number of its line: ok, no, 24 V, 0.3 ohm, open.\n{head}\n{rows}\n"
