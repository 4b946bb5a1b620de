"""Contacts of a relay whose coil is nowhere."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW333"


def find(board: Board) -> Iterator[Problem]:
    """Relays, contactors and timers whose contacts are used and whose coil has no wires."""
    for device in board.circuit.devices:
        coils = [p for p in device.loads if p.drives]
        contacts = board.contacts_of(device.tag)
        missing = [p for p in coils if not board.has_wires(device, p)]
        if not contacts or not missing or (len(coils) > 1 and any(board.has_wires(device, p) for p in coils[:1])):
            continue
        yield Problem(
            CODE,
            f"{device.tag} has contacts in the rungs, but its {missing[0].name} is not wired",
            "without its coil it never moves, so its contacts stay as they are at rest.",
            f"add a rung that ends in {device.tag}.{missing[0].name}.",
            contacts[0].span,
            devices=(device.tag,),
        )
