"""Section headings: how each looks, and the nearest one for a slip."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache

from panelwright.circuit import Problem, Span

from .lines import LINES_REMEMBERED, Line, outside_quotes

SECTIONS = (
    "panel", "places", "supplies", "devices", "rungs", "power paths", "cables", "wires", "sizing", "notes",
    "assumptions", "promises", "trial",
)  # fmt: skip
_FIRST_WORDS = {
    "panel": "panel", "places": "places", "supplies": "supplies", "supply": "supplies", "devices": "devices",
    "rungs": "rungs", "power": "power paths", "cables": "cables", "wires": "wires", "sizing": "sizing",
    "notes": "notes", "assumptions": "assumptions", "promises": "promises", "trial": "trial",
}  # fmt: skip
_OTHER_WORDS = {  # what people call these sections, each to be told the word that is understood
    "device": "devices", "components": "devices", "parts": "devices", "rung": "rungs", "circuit": "rungs",
    "ladder": "rungs", "control": "rungs", "note": "notes", "remarks": "notes", "comments": "notes",
    "promise": "promises", "requirements": "promises", "assumption": "assumptions", "cable": "cables", "wire": "wires",
    "wiring": "wires", "place": "places", "locations": "places", "trials": "trial", "test": "trial", "tests": "trial",
    "panels": "panel", "title": "panel", "site": "sizing", "environment": "sizing", "sources": "supplies",
}  # fmt: skip
_LIKE_ENOUGH = 0.72
_LONE_WORDS = ("mend", "star", "symbols")  # statements of one small word
_WORD = re.compile(r"\S+")


@dataclass(frozen=True, slots=True)
class Section:
    """A heading. `names`: the place of devices, or the rails of rungs and power paths. `text`: in quotes."""

    kind: str
    names: tuple[str, ...] = ()
    text: str = ""
    word: str = ""  # on, in or at
    span: Span | None = None
    has_slip: bool = False  # something is wrong with its line; the writer leaves that as it is


@lru_cache(maxsize=LINES_REMEMBERED)
def heading_of(line: Line) -> tuple[Section | None, Problem | None]:
    """The section that a line opens, and what is wrong with it; neither when the line is no heading."""
    plain = outside_quotes(line.text)
    words = [(m.group(), m.start()) for m in _WORD.finditer(plain)]
    first = words[0][0].rstrip(":")
    kind = _FIRST_WORDS.get(first)
    if kind == "power paths" and (len(words) < 2 or not words[1][0].rstrip(":").startswith("path")):
        kind = None
    if kind == "wires" and line.indented and len(words) > 1 and any(c.isdigit() for c in words[1][0]):
        kind = None
    problem = None
    if kind is None:
        kind, problem = _near(first, words, line)
        if kind is None:
            return None, None
    elif line.indented and kind == "notes" and len(words) > 1:
        return None, None
    rest = words[2:] if kind == "power paths" else words[1:]
    section, complaint = _read(kind, rest, line)
    more = _more(kind, rest)
    if more and complaint is None:
        start, end = more[0][1], more[-1][1] + len(more[-1][0])
        complaint = Problem(
            "PW017", f"{line.text[start:end]} stands behind the heading",
            "a heading stands alone on its line; this was not read.", "put it on a line of its own.",
            line.span(start, end),
        )  # fmt: skip
    problem = problem or complaint
    return replace(section, has_slip=problem is not None), problem


def _more(kind: str, words: list[tuple[str, int]]) -> list[tuple[str, int]]:
    """The words, with their offsets, that do not belong to the heading."""
    colon = [word for word in words if word[0] != ":"]
    if kind in ("panel", "trial"):
        first = next((at for at, word in enumerate(colon) if word[0].endswith('"')), len(colon))
        return colon[first + 1 :]
    taken = {"devices": 2, "rungs": 4, "power paths": len(colon)}.get(kind, 0)
    return colon[taken:]


def _near(first: str, words: list[tuple[str, int]], line: Line) -> tuple[str | None, Problem | None]:
    """A misspelt heading: alone on its line or not indented, and close to a known one."""
    if "." in first or (line.indented and len(words) > 1):  # T1.supply is a part of a device
        return None, None
    near = _FIRST_WORDS.get(first.lower()) or _OTHER_WORDS.get(first.lower())
    if near is None:
        close = get_close_matches(first.lower(), _FIRST_WORDS, 1, _LIKE_ENOUGH)
        near = _FIRST_WORDS[close[0]] if close else None
    if near is None or (near == "trial" and first.endswith("s") and len(words) == 1):
        return None, None
    return near, Problem(
        "PW015", f'"{words[0][0]}" is not a heading; it is read as "{near}"',
        "a line that starts a section has to begin with the section's word.", f'write "{near}".',
        line.span(words[0][1], words[0][1] + len(words[0][0])),
    )  # fmt: skip


def unknown_heading(line: Line, section: str) -> Problem | None:
    """The report of a line that looks like a heading, one small word alone at the margin, and is none."""
    if line.text[:1].isupper() or line.indented:
        return None
    word = line.text.strip().rstrip(":")
    if not re.fullmatch(r"[a-z]{3,}", word) or word in _LONE_WORDS or section == "places":
        return None
    return Problem(
        "PW016", f'"{word}" is not a heading', "so the lines below it were not read.",
        f"take one of the headings: {', '.join(SECTIONS)}.", line.span(0, len(word)),
    )  # fmt: skip


def _read(kind: str, words: list[tuple[str, int]], line: Line) -> tuple[Section, Problem | None]:
    indent = len(line.text) - len(line.text.lstrip())
    span = line.span(indent, indent + len(line.text.strip()))
    texts = re.findall(r'"((?:[^"]|"")*)"', line.text)
    text = texts[-1].replace('""', '"') if texts else ""
    names = [word.rstrip(":") for word, _ in words if not word.startswith('"')]
    names = [name for name in names if name]
    if kind in ("panel", "trial"):
        return _titled(kind, text, names, line, span)
    if kind == "devices":
        return _devices(names, span)
    if kind == "rungs":
        return _rungs(names, span)
    if kind == "power paths":
        rails = tuple(n for n in names if n not in ("from", "and", "to"))
        bad = None if rails and names[0] == "from" else _form(span, kind, "power paths from L1 L2 L3")
        return Section(kind, rails, text, span=span), bad
    return Section(kind, tuple(names), text, span=span), None


def _titled(kind: str, text: str, names: list[str], line: Line, span: Span) -> tuple[Section, Problem | None]:
    if text or '""' in line.text:
        return Section(kind, (), text, span=span), None
    bare = " ".join(names).strip("'")
    what = f"a {kind} has a name in quotes"
    return Section(kind, (), bare, span=span), _form(span, kind, f'{kind} "{bare or "Name"}"', what)


def _devices(names: list[str], span: Span) -> tuple[Section, Problem | None]:
    if len(names) == 2 and names[0] in ("on", "in", "at"):
        return Section("devices", (names[1],), word=names[0], span=span), None
    place = names[-1] if names and names[-1][:1].islower() and names[-1] not in ("on", "in", "at") else "plate"
    problem = _form(span, "devices", f"devices on {place}", "it has to say where the devices are")
    return Section("devices", (place,), word="on", span=span), problem


def _rungs(names: list[str], span: Span) -> tuple[Section, Problem | None]:
    if len(names) == 4 and names[0] == "from" and names[2] == "to":
        return Section("rungs", (names[1], names[3]), span=span), None
    rails = [n for n in names if not (n.islower() and n not in ("plus", "minus"))]
    pair = (rails[0], rails[1]) if len(rails) == 2 else ()
    example = f"rungs from {' to '.join(pair or ('+', '-'))}"
    problem = _form(span, "rungs", example, "it has to say between which rails they run")
    return Section("rungs", pair, span=span), problem


def _form(span: Span, kind: str, example: str, why: str = "it has to name the rails of the paths") -> Problem:
    return Problem(
        "PW014", f'the heading "{kind}" is not written like this', f"{why}.", f"write it like this: {example}", span,
    )  # fmt: skip
