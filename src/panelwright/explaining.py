"""What the documentation says about each mistake: the sections of its pages, by code."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path


def explain(code: str) -> str:
    """What the documentation says about one mistake, as Markdown. Raises: KeyError with the nearest codes."""
    import difflib

    found = {section.code: section for section in explained()}
    wanted = code.strip().upper()
    if wanted not in found:
        raise KeyError(difflib.get_close_matches(wanted, found, 3, 0.5))
    return found[wanted].text


@dataclass(frozen=True, slots=True)
class Explained:
    """A section of the pages on mistakes: `title` and `code` from its heading, "A decimal comma (PW012)"."""

    code: str
    title: str
    text: str


def explained() -> Iterator[Explained]:
    """Every mistake that has a section, in the order of the pages."""
    for page in sorted(_pages().glob("*.md")):
        yield from _sections(page.read_text(encoding="utf-8"))


def _sections(text: str) -> Iterator[Explained]:
    headings = list(re.finditer(r"^#+ +(.+?) \((PW\d{3})\)$", text, re.MULTILINE))
    ends = [heading.start() for heading in headings[1:]] + [len(text)]
    for heading, end in zip(headings, ends, strict=False):
        yield Explained(heading.group(2), heading.group(1), text[heading.start() : end].rstrip() + "\n")


def _pages() -> Path:
    packed = Path(__file__).parent / "pages"
    return packed if packed.is_dir() else Path(__file__).parents[2] / "docs" / "checks"
