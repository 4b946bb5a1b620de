"""Lines of devices and supplies: the tag here, the words behind it by the catalogue."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache

from panelwright.catalog import DeviceLine, DeviceReading, Word, read_device
from panelwright.catalog.shelf import Shelf, shelf
from panelwright.circuit import Contact, Device, Mechanism, Problem

from .builder import tag_of
from .lines import LINES_REMEMBERED, Line
from .plain import Words, words_of

_TAG = re.compile(r"[0-9]*[A-Z][A-Za-z0-9_]*")
_PATTERN = re.compile(r"\s*(\w+)-(\w+)\s+closed\s+at\s+(.+)$")
_read_with: list[Shelf] = []  # the catalogue that the remembered lines were read with


def device_of(line: Line, place: str, standard: str) -> DeviceReading:
    """The device that a line declares, as far as it can be read, and everything wrong with the line."""
    rows = shelf()
    if not _read_with or _read_with[0] is not rows:
        _read_with[:] = [rows]
        _device_of.cache_clear()
    return _device_of(line, place, standard)


@lru_cache(maxsize=LINES_REMEMBERED)
def _device_of(line: Line, place: str, standard: str) -> DeviceReading:
    words = words_of(line)
    tag = tag_of(words.words[0])
    if not _TAG.fullmatch(tag):
        meant = Device(tag.upper(), "", place, words.text, Mechanism("fixed"), (), (), span=words.span(0))
        return DeviceReading(meant, (_no_tag(words),))
    rest = tuple(Word(w, c, len(w)) for w, c in zip(words.words[1:], words.columns[1:], strict=True))
    reading = read_device(DeviceLine(tag, rest, words.text, place, line.number, standard))
    return replace(reading, device=replace(reading.device, span=words.span(0)))


def _no_tag(words: Words) -> Problem:
    word = words.words[0]
    if _TAG.fullmatch(word.upper()) and word[-1].isdigit():
        return Problem(
            "PW029", f'"{word}" is not a tag', "tags are written with capitals, words of the language small.",
            f"write {word.upper()}, here and wherever it is used.", words.span(0),
        )  # fmt: skip
    return Problem(
        "PW029", f'"{word}" is not a tag',
        "a line here begins with a tag: letters A to Z in capitals and digits, as in K1, SA1, 1CR.",
        "write such a tag in front, here and wherever the device is used.", words.span(0),
    )  # fmt: skip


def pattern_of(line: Line, above: Device) -> tuple[Device, Problem | None] | None:
    """The selector above with the contact added that the line tells ("13-14 closed at HAND"); None for other lines."""
    pattern = _PATTERN.match(line.text)
    if pattern is None:
        return None
    positions = [word for word in re.split(r"\s+|,", pattern.group(3)) if word and word != "and"]
    wrong = [position for position in positions if position not in above.mechanism.positions]
    if wrong or not above.mechanism.positions:
        has = ", ".join(above.mechanism.positions) or "none"
        return above, Problem(
            "PW107", f"{above.tag} has no position {', '.join(wrong) or 'at all'}", f"its positions are {has}.",
            f"write positions of {above.tag}, the device on the line above.", line.span(*pattern.span(3)),
        )  # fmt: skip
    a, b = pattern.group(1), pattern.group(2)
    contact = Contact(f"{a}-{b}", a, b, "at", positions=frozenset(positions))
    return replace(above, parts=(*above.parts, contact), terminals=(*above.terminals, a, b)), None
