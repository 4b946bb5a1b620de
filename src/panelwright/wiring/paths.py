"""Power paths whose items lack their terminals: the poles of the device, in order."""

from __future__ import annotations

from dataclasses import replace

from ..circuit import Circuit, Device, PathUse, PowerPath, two_terminal_parts
from .parts import poles_of


def paths_filled(circuit: Circuit) -> tuple[PowerPath, ...]:
    """The power paths with `pairs` and `names` in every item."""
    return tuple(_filled(path, circuit) for path in circuit.power_paths)


def _filled(path: PowerPath, circuit: Circuit) -> PowerPath:
    items = []
    for item in path.items:
        if isinstance(item, PathUse) and item.device in circuit.by_tag:
            item = _item_filled(item, circuit.by_tag[item.device])
        items.append(item)
    return replace(path, items=tuple(items))


def _item_filled(use: PathUse, device: Device) -> PathUse:
    if not use.pairs:
        poles = poles_of(device)
        return replace(use, pairs=tuple((p.a, p.b) for p in poles), names=tuple(p.name for p in poles))
    if use.names:
        return use
    return replace(use, names=tuple(_name_between(device, *pair) for pair in use.pairs))


def _name_between(device: Device, enters: str, leaves: str) -> str:
    for part in two_terminal_parts(device):
        if {part.a, part.b} == {enters, leaves}:
            return part.name
    return next((p.name for p in device.parts if enters in getattr(p, "leads", ())), "")
