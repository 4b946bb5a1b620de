"""From bytes to statements: characters, comments, quotes, continued rungs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from panelwright.circuit import Problem, Span

LARGEST_BYTES = 4_000_000  # about a hundred times a large panel

# Each stands for one character, so that columns stay true.
_PLAIN = str.maketrans(
    {
        "\u201c": '"', "\u201d": '"', "\u201e": '"', "\u201f": '"', "\u00ab": '"', "\u00bb": '"', "\u2033": '"',
        "\u2018": "'", "\u2019": "'", "\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": "-",
        "\u2212": "-", "\u00a0": " ", "\u2007": " ", "\u202f": " ", "\u2009": " ", "\u3000": " ", "\t": " ",
        "\u00d7": "x", "\u2126": "\u03a9", "\u00b5": "u", "\u03bc": "u",
    }
)  # fmt: skip
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\x85\u2028\u2029]")
_COMMENT = re.compile(r"(?:^|(?<=\s))#(?=\s|$)")
_WIRE_SIZE = re.compile(r'(?:^|(?<=[\s"]))#\d+')


@dataclass(frozen=True, slots=True)
class Line:
    """One statement: `text` keeps the columns of the file; further physical lines of a rung follow after newlines.

    `comments`: one per physical line, without the hash, "" where there is none.
    """

    number: int
    text: str
    comments: tuple[str, ...]

    @property
    def indented(self) -> bool:
        """Whether the statement does not start in the first column."""
        return self.text[:1].isspace()

    @property
    def blank(self) -> bool:
        """Whether there is nothing but a comment or white space."""
        return not self.text.strip()


def decode(source: str | bytes) -> tuple[str, list[Problem]]:
    """The text of a file, whatever its encoding. Never raises."""
    if isinstance(source, str):
        return source, []
    if len(source) > LARGEST_BYTES:
        return "", [_too_large(len(source))]
    for mark, name in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig")):
        if source.startswith(mark):
            return source.decode(name, errors="replace"), []
    try:
        return source.decode("utf-8"), []
    except UnicodeDecodeError as error:
        line = source.count(b"\n", 0, error.start) + 1
        return source.decode("cp1252", errors="replace"), [
            Problem(
                "PW002", "the file is not written in UTF-8; it was read as Windows-1252",
                "letters with accents and signs may come out wrong.",
                "save the file as UTF-8 in the editor.", Span(line, 1), severity="warning",
            )
        ]  # fmt: skip


def _too_large(size: int) -> Problem:
    return Problem(
        "PW001", f"the file has {size / 1e6:.0f} MB, more than a panel file can have ({LARGEST_BYTES / 1e6:.0f} MB)",
        "something else was probably opened by mistake; nothing of it was read.",
        "give the .panel file.", Span(1, 1),
    )  # fmt: skip


def split(text: str) -> tuple[list[Line], list[Problem]]:
    """The statements of a text and the problems of its characters."""
    problems: list[Problem] = []
    if len(text) > LARGEST_BYTES:
        return [], [_too_large(len(text))]
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines: list[Line] = []
    for number, raw in enumerate(text.split("\n"), 1):
        plain, comment = _cleaned(raw.translate(_PLAIN), number, problems)
        if plain.lstrip()[:1] in ("|", ")") and _continues(lines):
            before = lines[-1]
            lines[-1] = Line(before.number, f"{before.text}\n{plain}", (*before.comments, comment))
        else:
            lines.append(Line(number, plain, (comment,)))
    while lines and lines[-1].blank and not any(lines[-1].comments):
        lines.pop()
    return lines, problems


def _continues(lines: list[Line]) -> bool:
    return bool(lines) and not lines[-1].blank


def _cleaned(raw: str, number: int, problems: list[Problem]) -> tuple[str, str]:
    control = _CONTROL.search(raw)
    if control:
        problems.append(
            Problem(
                "PW003", "a character that cannot be printed", "the file may be damaged; it was taken as a blank.",
                "delete it.", Span(number, control.start() + 1), severity="warning",
            )
        )  # fmt: skip
        raw = _CONTROL.sub(" ", raw)
    outside = "".join(_outside_quotes(raw))
    match = _COMMENT.search(outside)
    if match:
        comment, raw, outside = raw[match.end() :].strip() or " ", raw[: match.start()], outside[: match.start()]
    else:
        comment = ""
    if raw.count('"') % 2:
        column = raw.rindex('"') + 1
        problems.append(
            Problem(
                "PW010", 'the quote " is opened and not closed', "a text has to stand between two quotes.",
                'put the missing " at the end of the text (a quote inside a text is written "").', Span(number, column),
            )
        )  # fmt: skip
        raw = raw + '"'
        outside = "".join(_outside_quotes(raw))
    size = _WIRE_SIZE.search(outside)
    if size:
        problems.append(
            Problem(
                "PW011", f"{size.group()} is neither a comment nor a wire size",
                "a comment needs a blank after the hash; a size written this way would be lost.",
                f"write the size as {size.group()[1:]} AWG, or put a blank after the hash.",
                Span(number, size.start() + 1, len(size.group())),
            )
        )  # fmt: skip
        raw = raw[: size.start()] + " " * len(size.group()) + raw[size.end() :]
    return raw.rstrip(), comment


def _outside_quotes(text: str) -> Iterator[str]:
    """The text with everything between quotes replaced by underscores."""
    inside = False
    for char in text:
        if char == '"':
            inside = not inside
            yield char
        else:
            yield "_" if inside else char


def outside_quotes(text: str) -> str:
    """The text with everything between quotes replaced by underscores; same length."""
    return "".join(_outside_quotes(text))
