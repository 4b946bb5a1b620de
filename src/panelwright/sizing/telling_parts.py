"""The parts list, and what was chosen for it, as text and as values for other programs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from .choosing import Bought, Choice, Filled
from .parts_list import PartLine, PartsList

WIDTH = 110
MOST_TAGS = 12
NAME = 66  # column in which money begins
HEADS = ("pieces", "spares", "part", "asked of it", "for", "where")
CHOSEN_HEADS = (*HEADS, "taken", "lacking", "why")


def told(parts: PartsList) -> str:
    """The list for a terminal."""
    lines = [f"{parts.title}: parts", ""]
    for in_field, heading in ((False, "In the panel"), (True, "In the field")):
        some = [line for line in parts.lines if line.in_field == in_field]
        if some:
            lines += [heading, *(text for line in some for text in _line(line)), ""]
    return "\n".join([*lines, *_cautions(parts.cautions)])


def _line(line: PartLine) -> Iterator[str]:
    spares = f" + {line.spares}" if line.spares else ""
    yield from _wrapped(f"  {f'{line.quantity}{spares}':>8}  ", line.description)
    more = [*line.asked, *([f"for {_tags(line.tags)}"] if line.tags else [])]
    if more:
        yield from _wrapped(" " * 14, "; ".join(more))


def _tags(tags: Sequence[str]) -> str:
    return ", ".join(tags[:MOST_TAGS]) + (f" and {len(tags) - MOST_TAGS} more" if len(tags) > MOST_TAGS else "")


def told_choice(parts: PartsList, choice: Choice) -> str:
    """What was chosen, what has to be bought, and what nothing fits."""
    lines = [f"{parts.title}: parts from the stock list", ""]
    for one in choice.filled:
        if one.taken:
            taken = ", ".join(f"{pieces} x {name}" for name, pieces in one.taken)
            lines += _wrapped(f"  {one.line.pieces - one.lacks:>6}  ", f"{one.line.description}: {taken}")
    at_hand = [f"{one.from_hand} x {one.part.name}" for one in choice.bought if one.from_hand]
    if at_hand:
        lines += ["", *_wrapped("At hand: ", ", ".join(at_hand))]
    to_buy = [one for one in choice.bought if one.packs]
    if to_buy:
        lines += ["", "To buy", *map(_bought, to_buy)]
        lines.append(f"  {'together, the least that this list allows for what it can fill':{NAME}}{choice.price:9.2f}")
    lacking = list(_lacking(choice.filled))
    if lacking:
        lines += lacking if not lines[-1] else ["", *lacking]
    return "\n".join([*lines, "", *_cautions(parts.cautions)])


def _bought(one: Bought) -> str:
    """One line of the bill: packs, name, pieces needed out of them, money."""
    pack = f" pack{'s' * (one.packs != 1)} of {one.part.pack}" if one.part.pack > 1 else " x"
    needed = f" ({one.pieces - one.from_hand} needed)" if one.part.pack > 1 else ""
    return f"  {f'{one.packs}{pack} {one.part.name}{needed}':{NAME}}{one.price:9.2f}"


def _lacking(filled: Sequence[Filled]) -> Iterator[str]:
    lacking = [one for one in filled if one.lacks]
    if lacking:
        yield "NOT IN THE STOCK LIST"
    for one in lacking:
        yield from _wrapped(f"  {one.lacks:>6}  ", one.line.description)
        for reason in one.why:
            yield from _wrapped(" " * 12, reason)


def _cautions(cautions: Sequence[str]) -> Iterator[str]:
    for caution in cautions:
        yield from textwrap.wrap(caution, WIDTH)


def _wrapped(head: str, text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=head, subsequent_indent=" " * (len(head) + 2),
                         break_on_hyphens=False)  # fmt: skip


# ---- values
def as_json(parts: PartsList, choice: Choice | None = None) -> dict[str, Any]:
    """The list for other programs, with what was chosen if a stock list was given."""
    values: dict[str, Any] = {"title": parts.title, "parts": [_values(line) for line in parts.lines]}
    values["cautions"] = list(parts.cautions)
    if choice is not None:
        for line, one in zip(values["parts"], choice.filled, strict=True):
            taken = [{"name": name, "pieces": pieces} for name, pieces in one.taken]
            line |= {"taken": taken, "lacking": one.lacks, "why": list(one.why)}
        values["bought"] = [
            {"name": one.part.name, "pieces": one.pieces, "from_hand": one.from_hand, "packs": one.packs,
             "price": one.price} for one in choice.bought
        ]  # fmt: skip
        values["price"] = choice.price
    return values


def _values(line: PartLine) -> dict[str, Any]:
    return {
        "part": line.description, "pieces": line.quantity, "spares": line.spares, "asked": list(line.asked),
        "for": list(line.tags), "where": _where(line),
    }  # fmt: skip


def _where(line: PartLine) -> str:
    return "field" if line.in_field else "panel"


def rows(parts: PartsList, choice: Choice | None = None) -> list[tuple[str | float, ...]]:
    """The list as rows below `HEADS`, with a choice below `CHOSEN_HEADS`."""
    plain: list[tuple[str | float, ...]] = [
        (line.quantity, line.spares, line.description, "; ".join(line.asked), ", ".join(line.tags), _where(line))
        for line in parts.lines
    ]
    if choice is None:
        return plain
    return [
        (*row, ", ".join(f"{pieces} x {name}" for name, pieces in one.taken), one.lacks, "; ".join(one.why))
        for row, one in zip(plain, choice.filled, strict=True)
    ]
