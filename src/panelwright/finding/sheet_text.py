"""A test sheet as text to print, and as values."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

from .sheet import Sheet

WIDTH = 100
TITLES = {"cold": "COLD TEST", "live": "LIVE TEST"}


def sheet_text(sheet: Sheet) -> str:
    """The sheet with boxes to fill in; numbers run through."""
    return "\n".join(_lines(sheet)) + "\n"


def _lines(sheet: Sheet) -> Iterator[str]:
    yield f"{TITLES[sheet.kind]}   {sheet.title}"
    yield f"{'Panel no.':12}{'_' * 16}   Tested by {'_' * 20}   Date {'_' * 12}   Meter {'_' * 14}"
    yield ""
    for caution in sheet.cautions:
        yield from textwrap.wrap(f"! {caution}", WIDTH, subsequent_indent="  ")
    number = 0
    for part in sheet.parts:
        yield ""
        yield part.title.upper()
        for words in part.words:
            yield from textwrap.wrap(words, WIDTH)
        for line in part.lines:
            number += 1
            yield from _line(number, line.do, line.expect, line.mind)
    if sheet.covers:
        yield ""
        yield "WHAT THIS SHEET PROVES"
        for words in sheet.covers:
            yield from textwrap.wrap(words, WIDTH, initial_indent="  ", subsequent_indent="  ")
    yield ""
    yield f"Failed lines: {'_' * 30}   then: panelwright find   Signed {'_' * 24}"


def _line(number: int, do: str, expect: str, mind: str) -> Iterator[str]:
    if not expect:
        first, *others = textwrap.wrap(do, WIDTH - 12)
        yield f"{number:4}  [ ]  {first}"
        yield from (f"{'':11}{other}" for other in others)
        return
    pieces = textwrap.wrap(do, 56)
    wanted = textwrap.wrap(expect, 22)
    for at in range(max(len(pieces), len(wanted))):
        left = pieces[at] if at < len(pieces) else ""
        right = wanted[at] if at < len(wanted) else ""
        head = f"{number:4}  [ ]  " if at == 0 else " " * 11
        yield f"{head}{left:57}{right:23}{'________' if at == 0 else ''}".rstrip()
    if mind:
        yield from textwrap.wrap(f"({mind})", WIDTH - 12, initial_indent=" " * 11, subsequent_indent=" " * 11)


def sheet_values(sheet: Sheet) -> dict[str, Any]:
    """For other programs; `number` counts through all parts."""
    found: list[dict[str, Any]] = []
    number = 0
    for part in sheet.parts:
        for line in part.lines:
            number += 1
            found.append({
                "number": number, "part": part.title, "do": line.do, "expect": line.expect, "kind": line.kind,
                "from": line.a, "to": line.b, "value": line.value if line.kind in ("ohms", "volts") else None,
                "situation": line.situation.name if line.situation else "", "mind": line.mind,
            })  # fmt: skip
    return {"sheet": sheet.kind, "title": sheet.title, "cautions": list(sheet.cautions), "lines": found,
            "covers": list(sheet.covers)}  # fmt: skip
