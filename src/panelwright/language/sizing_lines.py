"""The lines under `sizing`: what the site is like, for choosing conductors, protection and cooling."""

from __future__ import annotations

import re
from collections.abc import Callable
from difflib import get_close_matches

from panelwright.catalog import read_quantity
from panelwright.catalog.site import NamedRow, named, site_words
from panelwright.catalog.troubles import nearest
from panelwright.circuit import Problem, Quantity, SiteLine

from .lines import Line
from .plain import Words, words_of

FORMS = {
    "ambient": "ambient 40 C",
    "inside": "inside at most 50 C",
    "terminals": "terminals 75 C",
    "insulation": "insulation THHN",
    "method": "method B2",
    "bundled": "bundled 4",
    "voltage drop": "voltage drop 3 %",
    "enclosure": "enclosure 800 x 600 x 250 mm painted-steel against-a-wall",
}
_COLDEST, _HOTTEST = -60.0, 200.0
_SIZE = re.compile(r"([0-9.]+) ?x ?([0-9.]+) ?x ?([0-9.]+) ?(mm|cm|m|in|inch|inches|ft)\b")
Read = tuple[SiteLine | None, Problem | None]


def site_line(line: Line) -> Read:
    """One line under `sizing`."""
    words = words_of(line)
    name = "voltage drop" if words.words[:2] == ("voltage", "drop") else words.words[0]
    if name not in FORMS:
        return None, _unknown(words)
    rest = " ".join(words.words[len(name.split()) :])
    return _READERS[name](name, rest, words)


def _unknown(words: Words) -> Problem:
    word = words.words[0]
    near = get_close_matches(word.lower(), FORMS, 1, 0.6)
    mend = f"write {FORMS[near[0]]}." if near else f"write one of {'; '.join(FORMS.values())}."
    return Problem(
        "PW020", f'"{word}" is not understood here', f"sizing can have {', '.join(FORMS)}.", mend, words.span(0),
    )  # fmt: skip


def _wrong(name: str, why: str, words: Words) -> Problem:
    what, mend = f"the line on {name} cannot be read", f"write it like this: {FORMS[name]}"
    return Problem("PW036", what, why, mend, words.whole)


def _temperature(name: str, rest: str, words: Words) -> Read:
    """Celsius; Fahrenheit keeps its text."""
    typed = rest.removeprefix("at most ").removeprefix("at ")
    found = read_quantity(typed.removeprefix("-"))
    if found is None or found.unit not in ("C", "F"):
        return None, _wrong(name, "a temperature needs its unit, C or F.", words)
    degrees = -found.value if typed.startswith("-") else found.value
    celsius = degrees if found.unit == "C" else (degrees - 32) / 1.8
    if not _COLDEST < celsius < _HOTTEST:
        return None, _wrong(name, f"{typed} is no temperature that a panel can have.", words)
    return _line(name, typed, words, Quantity(celsius, "C", typed)), None


def _percent(name: str, rest: str, words: Words) -> Read:
    found = read_quantity(rest.removeprefix("at most "))
    if found is None or found.unit != "%" or not 0 < found.value < 100:
        return None, _wrong(name, "it is a percentage between 0 and 100 %.", words)
    return _line(name, found.text, words, found), None


def _count(name: str, rest: str, words: Words) -> Read:
    number = rest.split()[0] if rest else ""
    if not (number.isascii() and number.isdigit()) or not 0 < int(number) < 1000:
        return None, _wrong(name, "it is a whole number: the current-carrying conductors that run together.", words)
    return _line(name, number, words, Quantity(float(number), "", number)), None


def _named(known: Callable[[], tuple[NamedRow, ...]], what: str) -> Callable[[str, str, Words], Read]:
    def read(name: str, rest: str, words: Words) -> Read:
        row = named(known(), rest)
        if row is None:
            return None, _not_known(what, rest, known(), words, len(name.split()))
        return _line(name, rest, words, words=(row.name,)), None

    return read


def _not_known(what: str, typed: str, rows: tuple[NamedRow, ...], words: Words, at: int) -> Problem:
    names = [name for row in rows for name in (row.name, *row.also)]
    meant = nearest(typed, names)
    mend = f"write {meant}." if meant else f"write one of {', '.join(row.name for row in rows)}."
    says = f'there is no {what} "{typed}"' if typed else f"the {what} is missing"
    why = "its figures stand in a table, and only what stands there is known."
    return Problem("PW036", says, why, mend, words.span(at))


def _enclosure(name: str, rest: str, words: Words) -> Read:
    """Height x width x depth, material, how it stands."""
    size = _SIZE.match(rest)
    if size is None:
        return None, _wrong(name, "height x width x depth and their unit come first.", words)
    sides = [read_quantity(f"{side} {size[4]}") for side in size.group(1, 2, 3)]
    if not all(side and side.value > 0 for side in sides):
        return None, _wrong(name, "height, width and depth are numbers above 0.", words)
    metres = tuple(side.value for side in sides if side)
    said = _words_in(rest[size.end() :].strip())
    if isinstance(said, str):
        rows: tuple[NamedRow, ...] = (*site_words().material, *site_words().standing)
        at = next((at for at, word in enumerate(words.words) if word == said.split()[0]), 1)
        return None, _not_known("material or way of standing", said, rows, words, at)
    return _line(name, rest, words, words=said, size_m=metres), None


def _words_in(text: str) -> tuple[str, ...] | str:
    """Names of material and standing in their order; what is neither, as typed."""
    found: list[str] = []
    left = text.split()
    rows: tuple[NamedRow, ...] = (*site_words().material, *site_words().standing)
    while left:
        for count in range(len(left), 0, -1):
            row = named(rows, " ".join(left[:count]))
            if row is not None:
                found.append(row.name)
                left = left[count:]
                break
        else:
            return " ".join(left)
    return tuple(found)


def _line(
    name: str,
    text: str,
    at: Words,
    quantity: Quantity | None = None,
    *,
    words: tuple[str, ...] = (),
    size_m: tuple[float, ...] = (),
) -> SiteLine:
    return SiteLine(name, text, quantity, words, size_m, at.whole)


_READERS: dict[str, Callable[[str, str, Words], Read]] = {
    "ambient": _temperature,
    "inside": _temperature,
    "terminals": _temperature,
    "insulation": _named(lambda: site_words().insulation, "insulation"),
    "method": _named(lambda: site_words().method, "method of laying"),
    "bundled": _count,
    "voltage drop": _percent,
    "enclosure": _enclosure,
}
