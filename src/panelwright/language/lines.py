"""From bytes to statements: characters, comments, quotes, continued rungs."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from panelwright.circuit import Problem, Span

LARGEST_BYTES = 4_000_000  # about a hundred times a large panel
LINES_REMEMBERED = 20_000  # so that a file read again after a keystroke costs one line

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
_HASHED = re.compile(r'(?:^|(?<=[\s"]))#[^\s"]+')
_QUOTED = re.compile(r'"[^"]*"?')


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
        return not self.text or self.text.isspace()

    @property
    def goes_on(self) -> bool:
        """Whether it goes on with the rung above."""
        return self.text.lstrip()[:1] in ("|", ")") and not self.blank

    def span(self, start: int, end: int) -> Span:
        """Where the characters `start` to `end` (not included, counted from 0) of the text stand in the file."""
        return span_in(self.text, self.number, start, end)


def span_in(text: str, number: int, start: int, end: int) -> Span:
    """Where a part of a statement that begins on line `number` stands in the file."""
    row = text.count("\n", 0, start)
    return Span(number + row, start - (text.rfind("\n", 0, start) + 1) + 1, max(1, end - start))


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
    """The lines of a text and the problems of its characters."""
    problems: list[Problem] = []
    if len(text) > LARGEST_BYTES:
        return [], [_too_large(len(text))]
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    lines: list[Line] = []
    for number, raw in enumerate(text.split("\n"), 1):
        line, found = _line(raw, number)
        problems += found
        lines.append(line)
    while lines and lines[-1].blank and not any(lines[-1].comments):
        lines.pop()
    return lines, problems


def joined(rows: list[Line]) -> Line:
    """The rows of a rung that goes on over several lines, as one statement."""
    if len(rows) == 1:
        return rows[0]
    comments = tuple(comment for row in rows for comment in row.comments)
    return Line(rows[0].number, "\n".join(row.text for row in rows), comments)


@lru_cache(maxsize=LINES_REMEMBERED)
def _line(raw: str, number: int) -> tuple[Line, tuple[Problem, ...]]:
    """One physical line, without its comment, and what is wrong with its characters."""
    problems: list[Problem] = []
    text = raw.translate(_PLAIN)
    if control := _CONTROL.search(text):
        problems.append(_not_printable(Span(number, control.start() + 1)))
        text = _CONTROL.sub(" ", text)
    comment = ""
    if "#" in text and (found := _COMMENT.search(outside_quotes(text))):
        text, comment = text[: found.start()], text[found.end() :].strip() or " "
    if text.count('"') % 2:
        text, problem = _closed(text, number)
        problems.append(problem)
    if "#" in text and (hashed := _HASHED.search(outside_quotes(text))):
        problems.append(_hash(hashed.group(), Span(number, hashed.start() + 1, len(hashed.group()))))
        text = text[: hashed.start()] + " " * len(hashed.group()) + text[hashed.end() :]
    return Line(number, text.rstrip(), (comment,)), tuple(problems)


def _not_printable(span: Span) -> Problem:
    return Problem(
        "PW003", "a character that cannot be printed", "the file may be damaged; it was taken as a blank.",
        "delete it.", span, severity="warning",
    )  # fmt: skip


def _closed(text: str, number: int) -> tuple[str, Problem]:
    """The line with the quote that is missing put in, and the report of it."""
    last = text.rindex('"')
    if text.rstrip().endswith('"') and text[last - 1 : last].strip() and text.count('"') == 1:
        gap = "  " if "  " in text[:last].strip() else " "
        start = text.rfind(gap, 0, last) + len(gap)
        return f'{text[:start]}"{text[start:]}', Problem(
            "PW010", 'the quote " is closed and never opened', "a text has to stand between two quotes.",
            'put the missing " in front of the text.', Span(number, last + 1),
        )  # fmt: skip
    return f'{text}"', Problem(
        "PW010", 'the quote " is opened and not closed', "a text has to stand between two quotes.",
        'put the missing " at the end of the text (a quote inside a text is written "").', Span(number, last + 1),
    )  # fmt: skip


def _hash(word: str, span: Span) -> Problem:
    rest = word[1:]
    if rest[:1].isdigit():
        return Problem(
            "PW011", f"{word} is neither a comment nor a wire size",
            "a comment needs a blank after the hash; a size written this way would be lost.",
            f"write the size as {rest} AWG, or put a blank after the hash.", span,
        )  # fmt: skip
    return Problem(
        "PW011", f"{word} is not a comment",
        "a comment needs a blank after the hash, so that a wire size (#14) is told from it.",
        f"write # {rest} with a blank if the rest of the line is a remark.", span,
    )  # fmt: skip


def outside_quotes(text: str) -> str:
    """The text with everything between quotes replaced by underscores; same length."""
    return _QUOTED.sub(_blanked, text) if '"' in text else text


def _blanked(quoted: re.Match[str]) -> str:
    inside = len(quoted.group()) - 1 - quoted.group().endswith('"', 1)
    return '"' + "_" * inside + ('"' if quoted.group().endswith('"', 1) else "")
