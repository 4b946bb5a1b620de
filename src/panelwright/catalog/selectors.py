"""Selectors: their positions, and contact blocks that close in some of them."""

from __future__ import annotations

from ..circuit import Contact, Device, Part
from . import troubles
from .making import Making
from .shelf import PartRow


def stands(making: Making) -> tuple[tuple[str, ...], str]:
    """Positions in order, and the one it starts at. For switches "off" and "on"."""
    if making.kind.mechanism == "switch":
        return ("off", "on"), making.kind.starts or "on"
    said = making.said.get("positions")
    if said is None:
        return (), ""
    names = tuple(dict.fromkeys(said.names))
    if len(names) < len(said.names) or len(names) < 2:
        making.tell(troubles.wrong_positions(making.tag, said.text, said.span))
    start = making.said.get("starts at")
    if start is None:
        return names, _rest(making, names)
    if start.names[0] not in names:
        near = troubles.nearest(start.names[0], names, 0.3)
        making.tell(troubles.no_such_position(making.tag, start.names[0], names, near, start.span))
        return names, _rest(making, names)
    return names, start.names[0]


def _rest(making: Making, names: tuple[str, ...]) -> str:
    """Not said: OFF if there is one, else the middle of three, else the first."""
    if "OFF" in names or "0" in names:
        return "OFF" if "OFF" in names else "0"
    return names[len(names) // 2] if len(names) % 2 else names[0]


def blocks(making: Making, part: PartRow) -> list[Part]:
    """The contact blocks that the line describes; the others are added as rungs use them (`contact_block`)."""
    positions, _ = stands_quietly(making)
    found: list[Part] = []
    said = making.said.get("closed at")
    for marks, names in said.closed_at if said else ():
        ends = marks.split("-")
        wrong = [name for name in names if name not in positions]
        if len(ends) != 2 or wrong or not names:
            assert said is not None
            near = troubles.nearest(wrong[0], positions, 0.3) if wrong else ""
            making.tell(
                troubles.no_such_position(making.tag, wrong[0] if wrong else marks, positions, near, said.span)
            )
            continue
        found.append(Contact(marks, ends[0], ends[1], "at", positions=frozenset(names)))
    return found


def stands_quietly(making: Making) -> tuple[tuple[str, ...], str]:
    """Positions without reporting."""
    said = making.said.get("positions")
    return (tuple(dict.fromkeys(said.names)) if said else (), "")


def contact_block(device: Device, positions: frozenset[str], north_american: bool = False) -> Contact:
    """The next free block of a device that grows, closed in `positions`; EN 50013 numbers, else 3-4, 7-8 ..."""
    for number in range(1, 100):
        a, b = (str(4 * number - 1), str(4 * number)) if north_american else (f"{number}3", f"{number}4")
        if a not in device.terminals and b not in device.terminals:
            return Contact(f"{a}-{b}", a, b, "at", positions=positions)
    raise ValueError(f"{device.tag} has no room for another contact block")
