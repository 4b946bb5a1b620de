"""A problem found in a panel file, and where it stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Severity = Literal["mistake", "warning", "told"]


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """A place in the text: line and column count from 1, length in characters."""

    line: int
    column: int
    length: int = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding: what is wrong, why it matters and how to mend it.

    `severity`: "mistake" makes a check fail; "warning" and "told" do not, the latter only states a fact
    that somebody should know (a restart by itself, for instance).
    `also`: further places that belong to it, each with a few words.
    """

    code: str
    message: str
    why: str
    mend: str
    span: Span | None = None
    also: tuple[tuple[str, Span], ...] = ()
    severity: Severity = "mistake"
    devices: tuple[str, ...] = field(default=(), kw_only=True)  # tags it is about, for marking on a drawing
