"""What the reader of panel files hands over, and what it gets back."""

from __future__ import annotations

from dataclasses import dataclass

from ..circuit import Device, Problem


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a line; column counts from 1, both in characters."""

    text: str
    column: int
    length: int


@dataclass(frozen=True, slots=True)
class DeviceLine:
    """A line of `devices` or `supplies`: its tag, the words after it, the text in quotes.

    `place`: where the section says the device is. `line`: number from 1. `standard`: "IEC" or "NA".
    """

    tag: str
    words: tuple[Word, ...]
    text: str = ""
    place: str = ""
    line: int = 1
    standard: str = "IEC"


@dataclass(frozen=True, slots=True)
class DeviceReading:
    """The device, however wrong the line was, and everything wrong with the line."""

    device: Device
    problems: tuple[Problem, ...] = ()
