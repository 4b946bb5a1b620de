"""A test sheet: lines to do, read and tick, each with what is expected."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..circuit import Is
from ..wiring import Wiring
from .situations import Situation


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line. `kind`: "tick", "ohms", "volts" or "look". `do`: what to do; `expect`: what must come.

    `a`, `b`, `situation`: for a reading; `value` in ohms or volts, None for open. `seen`: what a look must show.
    `mind`: what may mislead.
    """

    do: str
    expect: str = ""
    kind: str = "tick"
    a: str = ""
    b: str = ""
    situation: Situation | None = None
    value: float | None = None
    seen: tuple[Is, ...] = ()
    mind: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a sheet, with a few words under its title."""

    title: str
    lines: tuple[SheetLine, ...]
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """`kind` "cold" or "live". Lines are numbered through, from 1. `covers`: what it proves, in figures."""

    kind: str
    title: str
    cautions: tuple[str, ...]
    parts: tuple[Part, ...]
    covers: tuple[str, ...] = field(default=())

    @property
    def lines(self) -> tuple[SheetLine, ...]:
        """All lines in order."""
        return tuple(line for part in self.parts for line in part.lines)


def title_of(wiring: Wiring) -> str:
    """Title, revision and date of a panel, for the head of a sheet."""
    heading = wiring.circuit.heading
    return ", ".join(filter(None, (heading.title, heading.revision and f"revision {heading.revision}", heading.date)))
