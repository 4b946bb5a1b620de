"""The canonical layout of a panel file. Only blanks, brackets and columns change; nothing is ever dropped."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from .builder import tag_of
from .document import Document, Entry
from .headings import Section
from .lines import Line, outside_quotes

_WIDEST = 72  # beyond this column a text in quotes is not waited for
_LONGEST_RUNG = 100


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
    layout = _LAYOUTS.get(heading.section if heading else "", _plain)
    bodies = {id(e): layout(e.line) for e in entries if e.heading is None and not e.line.blank}
    tag_width = max((len(b[0]) for b in bodies.values() if len(b) > 1 and b[1]), default=0)
    widths = [len(_body(b, tag_width)) for b in bodies.values() if len(b) == 3 and b[2]]
    column = max((w for w in widths if w <= _WIDEST), default=0)
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
            yield from _statement_rows(entry, bodies[id(entry)], tag_width, column, heading is not None)
            blank = False


def _statement_rows(entry: Entry, body: tuple[str, ...], tag_width: int, column: int, indented: bool) -> Iterator[str]:
    indent = "  " if indented else ""
    comments = entry.line.comments
    if len(body) > 3:  # a rung kept on several lines
        for row, comment in zip(body[3:], comments, strict=False):
            yield _commented(indent + row, comment)
        return
    text = _body(body, tag_width)
    if len(body) == 3 and body[2]:
        text = f"{text.ljust(column)}  {body[2]}"
    yield _commented(indent + text, " ".join(c.strip() for c in comments if c.strip()) or comments[0])


def _body(body: tuple[str, ...], tag_width: int) -> str:
    return f"{body[0].ljust(tag_width)}  {body[1]}" if len(body) > 1 and body[1] else body[0]


def _commented(text: str, comment: str) -> str:
    if not comment:
        return text.rstrip()
    remark = f"# {comment.strip()}".rstrip()
    return f"{text.rstrip()}  {remark}" if text.strip() else f"{text}{remark}"


def _heading(section: Section, line: Line) -> str:
    names = section.names
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


def _plain(line: Line) -> tuple[str, ...]:
    words, text = _parted(line)
    return " ".join(words), "", text


def _sentence(line: Line) -> tuple[str, ...]:
    words, text = _parted(line)
    sentence = " ".join(words)
    gap = " " if sentence.endswith("because") else "  "
    return (f"{sentence}{gap}{text}" if text else sentence), "", ""


def _device(line: Line) -> tuple[str, ...]:
    """Tag, facts, text; what was set apart by two blanks stays apart, so that groups can be seen."""
    _, text = _parted(line)
    head = line.text.strip()[: len(line.text.strip()) - len(text)].strip() if text else line.text.strip()
    tag, _, rest = head.partition(" ")
    groups = [" ".join(group.split()) for group in re.split(r"\s{2,}", rest.strip())]
    return tag_of(tag), "  ".join(groups), text


def _rung(line: Line) -> tuple[str, ...]:
    rows = line.text.split("\n")
    if len(rows) > 1 and (any(line.comments[1:]) or len(" ".join(line.text.split())) > _LONGEST_RUNG):
        return ("", "", "", *_several(rows))
    words, text = _parted(line)
    return _spaced(" ".join(words)), "", text


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


def _path(line: Line) -> tuple[str, ...]:
    words, text = _parted(line)
    return re.sub(r"swap  (\S+)  ", r"swap \1 ", "  ".join(words)), "", text


def _steps(line: Line) -> tuple[str, ...]:
    plain = outside_quotes(line.text)
    steps = [" ".join(line.text[m.start() : m.end()].split()) for m in re.finditer(r"[^;]+", plain)]
    return "; ".join(re.sub(r"\s*,\s*", ", ", step) for step in steps if step), "", ""


_LAYOUTS: dict[str, Callable[[Line], tuple[str, ...]]] = {
    "devices": _device,
    "supplies": _device,
    "wires": _device,
    "cables": _device,
    "rungs": _rung,
    "power paths": _path,
    "promises": _sentence,
    "assumptions": _sentence,
    "trial": _steps,
}
