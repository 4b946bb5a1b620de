"""Terminal strips, and which field terminal a rung leads to which of their terminals."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..circuit import Circuit, Device, Item, Parallel, PathUse, PowerPath, Series, Through, Use


def is_strip(device: Device) -> bool:
    """Whether its terminals have two sides and belong to the wire."""
    return "strip" in device.kind


def fixed_joints(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """Pairs of a strip terminal and a terminal in another place that one wire has to join.

    As the cores of the cables say; then as rungs and power paths say, where a device in another place stands next to
    the strip terminal.
    """
    joints: dict[tuple[str, str], None] = {}
    for cable in circuit.cables:
        for _, one, other in cable.core_ends:
            joints.setdefault(_strip_first(circuit, one, other))
    for rung in circuit.rungs:
        for one, other in _side_by_side(rung.body):
            joints.setdefault((one, other))
    for path in circuit.power_paths:
        for one, other in _along(path, circuit):
            joints.setdefault((one, other))
    return tuple(pair for pair in joints if _apart(circuit, *pair))


def _strip_first(circuit: Circuit, one: str, other: str) -> tuple[str, str]:
    device = circuit.by_tag.get(other.split(".", 1)[0])
    return (other, one) if device is not None and is_strip(device) else (one, other)


def _apart(circuit: Circuit, one: str, other: str) -> bool:
    first, second = (circuit.by_tag.get(t.split(".", 1)[0]) for t in (one, other))
    return first is not None and second is not None and first.place != second.place


def _side_by_side(item: Item) -> Iterator[tuple[str, str]]:
    if isinstance(item, Parallel):
        for branch in item.branches:
            yield from _side_by_side(branch)
    elif isinstance(item, Series):
        for one, other in pairwise(item.items):
            if isinstance(one, Through) and isinstance(other, Through):
                yield f"{one.device}.{one.terminal}", f"{other.device}.{other.terminal}"
            elif isinstance(one, Through) and isinstance(other, Use) and other.terminals:
                yield f"{one.device}.{one.terminal}", f"{other.device}.{other.terminals[0]}"
            elif isinstance(one, Use) and isinstance(other, Through) and one.terminals:
                yield f"{other.device}.{other.terminal}", f"{one.device}.{one.terminals[1]}"
        for inner in item.items:
            yield from _side_by_side(inner)


def _along(path: PowerPath, circuit: Circuit) -> Iterator[tuple[str, str]]:
    for one, other in pairwise(path.items):
        if not (isinstance(one, PathUse) and isinstance(other, PathUse)):
            continue  # wires that change places, or are joined, are led by hand
        for (_, leaves), (enters, _) in zip(one.pairs, other.pairs, strict=False):
            first, second = f"{one.device}.{leaves}", f"{other.device}.{enters}"
            tags = [circuit.by_tag.get(u.device) for u in (one, other)]
            if tags[0] is not None and is_strip(tags[0]):
                yield first, second
            elif tags[1] is not None and is_strip(tags[1]):
                yield second, first
