"""A file as its statements in order, for writing it again in the canonical layout."""

from __future__ import annotations

from dataclasses import dataclass

from .headings import Section
from .lines import Line


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the file: a heading, a statement of `section`, or only a comment or nothing."""

    line: Line
    section: str
    heading: Section | None = None


@dataclass(frozen=True, slots=True)
class Document:
    """The entries of a file, in order."""

    entries: tuple[Entry, ...]
