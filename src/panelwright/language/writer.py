"""The canonical layout of a panel file. Only blanks, brackets and columns change; nothing is ever dropped."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from panelwright.catalog.shelf import plain as plain_name
from panelwright.catalog.shelf import shelf

from .builder import tag_of
from .device_lines import device_of
from .document import Document, Entry
from .headings import Section
from .lines import Line, outside_quotes
from .plain import words_of

_WIDEST = 72  # beyond this column a text in quotes is not waited for
_WIDEST_CELL = 20  # beyond this the facts of neighbouring lines are not waited for
_LONGEST_RUNG = 100
_OF_DEVICES = re.compile(r"\binterlocked\s+mechanically|\bclosed\s+at\b")  # lines about devices that declare none


@dataclass(slots=True)
class _Body:
    """A statement laid out: cells to be aligned and its text in quotes, or the rows of a rung on several lines."""

    cells: list[str]
    text: str = ""
    rows: tuple[str, ...] = ()

    @property
    def head(self) -> str:
        return "  ".join(self.cells)


def write(document: Document) -> str:
    """The text of a document in canonical layout; reading it again gives an equal circuit."""
    rows: list[str] = []
    for section in _sections(document):
        block = list(_section_rows(section))
        if rows and block and section[0].heading is not None and rows[-1]:
            rows.append("")
        rows += block
    while rows and not rows[-1]:
        rows.pop()
    return "\n".join(rows) + "\n" if rows else ""


def _sections(document: Document) -> Iterator[list[Entry]]:
    """Runs of entries from one heading to the next; comments straight above a heading go with it."""
    current: list[Entry] = []
    for entry in document.entries:
        if entry.heading is not None and current:
            above: list[Entry] = []
            while current and current[-1].line.blank and any(current[-1].line.comments) and current[-1].heading is None:
                above.insert(0, current.pop())
            if current:
                yield current
            current = above
        current.append(entry)
    if current:
        yield current


def _section_rows(entries: list[Entry]) -> Iterator[str]:
    heading = next((e for e in entries if e.heading is not None), None)
    bodies = {id(e): _LAYOUTS.get(e.section, _plain)(e.line) for e in entries if e.heading is None and not e.line.blank}
    _align(list(bodies.values()))
    widths = [len(body.head) for body in bodies.values() if body.text]
    column = max((width for width in widths if width <= _WIDEST), default=0)
    blank = True
    before_heading = heading is not None
    for entry in entries:
        if entry.heading is not None:
            yield _commented(_heading(entry.heading, entry.line), entry.line.comments[0])
            before_heading, blank = False, False
        elif entry.line.blank and not any(entry.line.comments):
            if not blank and not before_heading:
                yield ""
            blank = True
        elif entry.line.blank:
            indent = "" if before_heading or heading is None else "  "
            yield _commented(indent, entry.line.comments[0])
            blank = False
        else:
            yield from _statement_rows(entry.line.comments, bodies[id(entry)], column, "  " if entry.section else "")
            blank = False


def _statement_rows(comments: tuple[str, ...], body: _Body, column: int, indent: str) -> Iterator[str]:
    if body.rows:
        for row, comment in zip(body.rows, comments, strict=False):
            yield _commented(indent + row, comment)
        return
    text = f"{body.head.ljust(column)}  {body.text}" if body.text else body.head
    yield _commented(indent + text, " ".join(c.strip() for c in comments if c.strip()) or comments[0])


def _align(bodies: list[_Body]) -> None:
    """Cells under each other: tags and kinds over the whole section, the facts behind them over neighbouring lines."""
    for at in range(max((len(body.cells) for body in bodies), default=0) - 1):
        for run in [bodies] if at < 2 else _runs(bodies, at):
            ahead = [body for body in run if len(body.cells) > at + 1 and len(body.cells[at]) <= _WIDEST_CELL]
            width = max((len(body.cells[at].rstrip()) for body in ahead), default=0)
            for body in ahead:
                body.cells[at] = body.cells[at].ljust(width)


def _runs(bodies: list[_Body], at: int) -> list[list[_Body]]:
    """Neighbouring lines that have a cell behind cell `at`."""
    runs: list[list[_Body]] = [[]]
    for body in bodies:
        if len(body.cells) > at + 1:
            runs[-1].append(body)
        elif runs[-1]:
            runs.append([])
    return runs


def _commented(text: str, comment: str) -> str:
    if not comment:
        return text.rstrip()
    remark = f"# {comment.strip()}".rstrip()
    return f"{text.rstrip()}  {remark}" if text.strip() else f"{text}{remark}"


def _heading(section: Section, line: Line) -> str:
    names = section.names
    if section.has_slip:
        return " ".join(line.text.split())
    if section.kind in ("panel", "trial"):
        quoted = section.text.replace('"', '""')
        return f'{section.kind} "{quoted}"'
    if section.kind == "devices":
        return f"devices {section.word or 'on'} {names[0]}"
    if section.kind == "rungs" and len(names) == 2:
        return f"rungs from {names[0]} to {names[1]}"
    if section.kind == "power paths" and names:
        return f"power paths from {' '.join(names)}"
    if section.kind in ("rungs", "power paths"):
        return " ".join(line.text.split())
    return section.kind


def _parted(line: Line) -> tuple[list[str], str]:
    """The words of a line and its text in quotes, as written."""
    plain = outside_quotes(line.text)
    end = re.search(r'"_*(?:""_*)*"\s*$', plain)
    head = line.text[: end.start()] if end else line.text
    return head.split(), line.text[end.start() :].strip() if end else ""


def _plain(line: Line) -> _Body:
    words, text = _parted(line)
    return _Body([" ".join(words)], text)


def _as_it_is(line: Line) -> _Body:
    """A line of which nobody knows what it should be."""
    return _Body([line.text])


def _sentence(line: Line) -> _Body:
    words, text = _parted(line)
    sentence = " ".join(words)
    gap = " " if sentence.endswith("because") else "  "
    return _Body([f"{sentence}{gap}{text}" if text else sentence])


def _grouped(line: Line) -> _Body:
    """Tag, facts, text; what was set apart by two blanks stays apart, so that groups can be seen."""
    _, text = _parted(line)
    head = line.text.strip()[: len(line.text.strip()) - len(text)].strip() if text else line.text.strip()
    tag, _, rest = head.partition(" ")
    groups = [" ".join(group.split()) for group in re.split(r"\s{2,}", rest.strip()) if group]
    return _Body([tag_of(tag), *groups], text)


def _device(line: Line) -> _Body:
    """Tag, kind and facts, each fact a group, if the catalogue knows all of them."""
    if _OF_DEVICES.search(line.text) or not words_of(line).words:
        return _plain(line)
    body = _grouped(line)
    words = " ".join(body.cells[1:]).split()
    facts = [fact.text.split() for fact in device_of(line, "plate", "IEC").device.facts]
    kinds = shelf().kind_names
    taken = next((n for n in range(len(words), 0, -1) if plain_name(" ".join(words[:n])) in kinds), 0)
    groups = [words[:taken]]
    while taken < len(words):
        fact = next((fact for fact in facts if fact == words[taken : taken + len(fact)]), None)
        if fact is None or not groups[0]:
            return body
        groups.append(fact)
        taken += len(fact)
    return replace(body, cells=[body.cells[0], *(" ".join(group) for group in groups)]) if groups[0] else body


def _rung(line: Line) -> _Body:
    rows = line.text.split("\n")
    if len(rows) > 1 and (any(line.comments[1:]) or len(" ".join(line.text.split())) > _LONGEST_RUNG):
        return _Body([], rows=tuple(_several(rows)))
    words, text = _parted(line)
    return _Body([_spaced(" ".join(words))], text)


def _several(rows: list[str]) -> Iterator[str]:
    """A rung on several lines: branches under each other, behind the bracket they belong to."""
    yield _row(rows[0], 0)
    first = _spaced(rows[0])
    indent = max(2, first.rfind("(")) if "(" in first else 2
    for row in rows[1:]:
        yield _row(row, indent)


def _row(row: str, indent: int) -> str:
    head, text = _parted(Line(0, row, ("",)))
    spaced = _spaced(" ".join(head))
    return " " * indent + (f"{spaced}  {text}" if text else spaced)


def _spaced(text: str) -> str:
    """Items of the series two blanks apart, inside brackets one."""
    out = ""
    depth = 0
    for token in re.findall(r"[()|]|[^\s()|]+", text):
        token = "|" if token == "or" else tag_of(token) if token[0] == "-" else token
        gap = " " if depth or not out or token in "|)" else "  "
        if token == ")":
            depth = max(0, depth - 1)
        out += (gap if out else "") + token
        if token == "(":
            depth += 1
    return out


def _path(line: Line) -> _Body:
    words, text = _parted(line)
    return _Body([re.sub(r"swap  (\S+)  ", r"swap \1 ", "  ".join(words))], text)


def _steps(line: Line) -> _Body:
    plain = outside_quotes(line.text)
    steps = [" ".join(line.text[m.start() : m.end()].split()) for m in re.finditer(r"[^;]+", plain)]
    return _Body(["; ".join(re.sub(r"\s*,\s*", ", ", step) for step in steps if step)])


_LAYOUTS: dict[str, Callable[[Line], _Body]] = {
    "": _as_it_is,
    "devices": _device,
    "supplies": _device,
    "wires": _grouped,
    "cables": _grouped,
    "rungs": _rung,
    "power paths": _path,
    "promises": _sentence,
    "assumptions": _sentence,
    "trial": _steps,
}
