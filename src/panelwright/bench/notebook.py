"""What somebody notes at the panel and has not put into the records yet: results of tests, wires laid and checked.

It lies in the folder `.panelwright` beside the panel file, is written after every note, and so outlives a closed page
and a crash. A change of the panel's text takes nothing away: results go by what the line says, ticks by the wire.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

import msgspec

from ..finding import SheetLine
from . import protocol as ask
from .files import CannotWrite, PanelFile, write_atomically

EDITION = 1
NOBODY = "."  # who ticked gave no initials
Kind = Literal["cold", "live"]


class Result(msgspec.Struct):
    """What was entered for a line. `nth` tells lines of the same words apart, from 0; `kept` 0: not in the records."""

    do: str
    expect: str
    nth: int
    result: str
    by: str = ""
    meter: str = ""
    kept: int = 0


class Ticks(msgspec.Struct):
    """A wire: who laid it and who checked it; "" not done, a dot for somebody who gave no initials."""

    laid: str = ""
    checked: str = ""


class About(msgspec.Struct):
    """The head of a sheet, as somebody wrote it."""

    panel: str = ""
    by: str = ""
    meter: str = ""
    date: str = ""


class Notes(msgspec.Struct):
    """Everything noted about one panel."""

    edition: int = EDITION
    about: About = msgspec.field(default_factory=About)
    cold: list[Result] = msgspec.field(default_factory=list)
    live: list[Result] = msgspec.field(default_factory=list)
    wires: dict[str, Ticks] = msgspec.field(default_factory=dict)

    def results(self, kind: Kind) -> list[Result]:
        """Those of a sheet."""
        return self.cold if kind == "cold" else self.live


class Notebook:
    """The notes about one panel file. `told`: what to say about them when they were opened, "" for nothing."""

    def __init__(self, file: PanelFile) -> None:
        self._file = file
        self.told = ""
        self.notes = self._read()

    @property
    def path(self) -> Path:
        """Where they lie."""
        return self._file.side_file("notes")

    def _read(self) -> Notes:
        try:
            octets = self.path.read_bytes()
        except OSError:
            return Notes()
        try:
            notes = msgspec.json.decode(octets, type=Notes)
            if notes.edition == EDITION:
                return notes
        except msgspec.DecodeError:
            pass
        aside = self.path.with_suffix(".unreadable")
        self.path.replace(aside)
        self.told = f"The notes about results and wires could not be read; they lie in {aside} now, and new ones begin."
        return Notes()

    def built(self) -> dict[str, list[str]]:
        """Wire to who laid and who checked it."""
        return {wire: [ticks.laid, ticks.checked] for wire, ticks in self.notes.wires.items()}

    def take(self, request: ask.Tick | ask.Untick) -> str:
        """Note that a wire is laid or checked, or none is; why that could not be noted, or ""."""
        wires = self.notes.wires
        if isinstance(request, ask.Untick):
            wires.clear()
            return self.write()
        ticks = wires.setdefault(request.wire, Ticks())
        setattr(ticks, request.what, (self.notes.about.by or NOBODY) if request.on else "")
        if not ticks.laid and not ticks.checked:
            del wires[request.wire]
        return self.write()

    def write(self) -> str:
        """Write them down; why not, or ""."""
        try:
            write_atomically(self.path, msgspec.json.format(msgspec.json.encode(self.notes), indent=1))
        except CannotWrite as reason:
            return str(reason)
        return ""


def places_of(lines: Sequence[SheetLine]) -> tuple[tuple[str, str, int], ...]:
    """What tells each line of a sheet, whatever its number: what is done, what must be, and the how-manieth such."""
    seen: dict[tuple[str, str], int] = {}
    found = []
    for line in lines:
        words = (line.do, line.expect)
        found.append((*words, seen.get(words, 0)))
        seen[words] = seen.get(words, 0) + 1
    return tuple(found)
