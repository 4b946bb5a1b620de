"""Contact blocks: those the line names, else those that the kind has anyway, with their marks."""

from __future__ import annotations

from ..circuit import Part
from . import troubles
from .facts import Scanner, split_words
from .lines import DeviceLine, Word
from .making import Making
from .marks import Block, contacts, number, on_base
from .shapes import SHAPES
from .shelf import PartRow


def contact_blocks(making: Making, part: PartRow) -> list[Part]:
    """The contacts, marked by the line, the base or the numbering of the kind."""
    blocks = blocks_of(making)
    marks = None
    base = making.base
    if base is not None and blocks:
        marks = on_base(blocks, base)
        if marks is None:
            making.tell(troubles.base_too_small(making.tag, base.name, len(base.contacts), making.said["base"].span))
        else:
            _on_the_base(making, marks)
    if marks is None:
        marks = number(blocks, making.numbering(making.kind.numbering or "plain"))
    found = _well_formed(making, blocks, marks)
    return list(contacts(*found, making.figure("contact_ohms")))


def blocks_of(making: Making) -> list[Block]:
    """The contacts to build; on a timer those not called instantaneous are timed."""
    said = making.said.get("contacts")
    blocks = list(said.blocks) if said else _usual(making)
    if any(row.timing == "timed" for row in making.kind.parts) or making.kind.numbering == "timer":
        return [Block(b.form, "timed" if b.timing == "plain" else b.timing, b.marks) for b in blocks]
    if said and any(block.timing != "plain" for block in blocks):
        making.tell(troubles.not_timed(making.kind.name, said.text, said.span))
        return [Block(block.form, "plain", block.marks) for block in blocks]
    return blocks


def _usual(making: Making) -> list[Block]:
    """The contacts that the kind has when the line names none."""
    typed = making.kind.contacts.split()
    words = split_words([Word(word, 10 * at, len(word)) for at, word in enumerate(typed)])
    scanner = Scanner(DeviceLine("", ()), making.kind, making.scanner.shelf, words)
    found = SHAPES["contacts"](scanner, making.scanner.shelf.facts["contacts"], 0)
    return list(found.blocks) if found else []


def _on_the_base(making: Making, marks: list[str]) -> None:
    """Marks written in the line have to be pins of the base."""
    base = making.base
    assert base is not None
    for text in marks:
        missing = [mark for mark in text.split("-") if mark not in base.pins]
        if missing:
            making.tell(troubles.no_such_pin(making.tag, missing[0], base.name, making.said["contacts"].span))


def _well_formed(making: Making, blocks: list[Block], marks: list[str]) -> tuple[list[Block], list[str]]:
    """Leave out contacts whose written marks do not fit their form or are there twice."""
    kept_blocks: list[Block] = []
    kept_marks: list[str] = []
    used: set[str] = set()
    for block, text in zip(blocks, marks, strict=True):
        ends = text.split("-")
        wanted = 3 if block.form == "co" else 2
        if len(ends) != wanted or len(set(ends)) != wanted or used & set(ends):
            said = making.said["contacts"]
            making.tell(troubles.wrong_marks(making.tag, text, block.form.upper(), wanted, said.span))
            continue
        used |= set(ends)
        kept_blocks.append(block)
        kept_marks.append(text)
    return kept_blocks, kept_marks
