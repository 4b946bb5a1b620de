"""Device lines as somebody types them, and every kind with a right line of its own."""

from __future__ import annotations

import re

from panelwright.catalog import DeviceLine, DeviceReading, Word, read_device
from panelwright.catalog.shelf import KindRow, shelf
from panelwright.circuit import Device


def line(text: str, standard: str = "IEC") -> DeviceLine:
    """A line with its tag, as the reader of panel files hands it over."""
    said = re.search(r'"([^"]*)"\s*$', text)
    before = text[: said.start()] if said else text
    words = [Word(found[0], found.start() + 1, len(found[0])) for found in re.finditer(r"\S+", before)]
    return DeviceLine(words[0].text, tuple(words[1:]), said[1] if said else "", "plate", 7, standard)


def reading(text: str, standard: str = "IEC") -> DeviceReading:
    """What becomes of the line."""
    return read_device(line(text, standard))


def device(text: str, standard: str = "IEC") -> Device:
    """The device of a line that has nothing wrong with it."""
    found = reading(text, standard)
    assert () == found.problems
    return found.device


def codes(text: str, standard: str = "IEC") -> list[str]:
    """Codes of the problems, in order."""
    return [problem.code for problem in reading(text, standard).problems]


def marks(text: str, standard: str = "IEC") -> list[str]:
    """Names of the contacts of a right line, make before break, in order."""
    return [contact.name for contact in device(text, standard).contacts]


def example(kind: KindRow, *more: str) -> str:
    """A line with the facts that the kind needs, and these."""
    rows = shelf()
    names = dict.fromkeys((*kind.needs, *more))
    return "  ".join(["Z1", kind.name, *(rows.form(kind, rows.facts[name]) for name in names)])


KINDS = sorted(shelf().kinds.values(), key=lambda kind: kind.name)
