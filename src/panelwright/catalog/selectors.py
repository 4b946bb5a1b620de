"""Selectors: their positions, and contact blocks that close in some of them."""

from __future__ import annotations

from ..circuit import Contact, Part
from . import troubles
from .blocks import blocks_of
from .making import Making
from .marks import number
from .shelf import PartRow


def stands(making: Making) -> tuple[tuple[str, ...], str]:
    """Positions in the order of turning, and the one it starts at. A switch has none and starts "on" or "off"."""
    if making.kind.mechanism == "switch":
        return (), "off" if making.has("off at the start") else making.kind.starts
    names = positions(making)
    said = making.said.get("positions")
    if said is not None and (len(names) < len(said.names) or len(names) < 2):
        making.tell(troubles.wrong_positions(making.tag, said.text, said.span))
    start = making.said.get("starts at") or making.said.get("returns to")
    if start is None or not names:
        return names, _rest(names)
    if start.names[0] not in names:
        near = troubles.nearest(start.names[0], names, 0.3)
        making.tell(troubles.no_such_position(making.tag, start.names[0], names, near, start.span))
        return names, _rest(names)
    return names, start.names[0]


def positions(making: Making) -> tuple[str, ...]:
    """The positions, each once."""
    said = making.said.get("positions")
    return tuple(dict.fromkeys(said.names)) if said else ()


def _rest(names: tuple[str, ...]) -> str:
    """Not said: OFF or 0 if there is one, else the middle of an odd number, else the first."""
    for off in ("OFF", "0"):
        if off in names:
            return off
    return names[len(names) // 2 if len(names) % 2 else 0] if names else ""


def switched_blocks(making: Making, part: PartRow) -> list[Part]:
    """The contact blocks that the line describes; others are added as rungs use them.

    `1 NO` on a selector of two positions is closed in the second, `1 NC` in the first.
    """
    names = positions(making)
    found: list[Part] = []
    said = making.said.get("closed at")
    for marks, closed in said.closed_at if said else ():
        ends = marks.split("-")
        wrong = [name for name in closed if name not in names]
        if len(ends) == 2 and closed and not wrong:
            found.append(Contact(marks, ends[0], ends[1], "at", positions=frozenset(closed)))
            continue
        assert said is not None
        name = wrong[0] if wrong else marks
        near = troubles.nearest(name, names, 0.3)
        making.tell(troubles.no_such_position(making.tag, name, names, near, said.span))
    return [*found, *_two_way(making, names)]


def _two_way(making: Making, names: tuple[str, ...]) -> list[Part]:
    said = making.said.get("contacts")
    if said is None:
        return []
    blocks = blocks_of(making)
    if len(names) != 2 or any(block.form == "co" for block in blocks):
        making.tell(troubles.pattern_needed(making.tag, said.text, names, said.span))
        return []
    closed = {"no": frozenset(names[1:]), "nc": frozenset(names[:1])}
    found: list[Part] = []
    for block, marks in zip(blocks, number(blocks, making.numbering(making.kind.numbering)), strict=True):
        a, b = marks.split("-")[:2]
        found.append(Contact(f"{a}-{b}", a, b, "at", positions=closed[block.form]))
    return found
