"""A coil that moves no contact in use."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW334"


_MOVES_MORE = ("contactor", "latched breaker")  # their main poles may stand in a drawing of their own


def find(board: Board) -> Iterator[Problem]:
    """Relays and timers with a wired coil of which no contact is used."""
    for device in board.circuit.devices:
        coils = [p for p in device.loads if p.drives and board.has_wires(device, p)]
        if not coils or device.kind in _MOVES_MORE or board.contacts_of(device.tag):
            continue
        yield Problem(
            CODE,
            f"{device.tag} pulls in and none of its contacts is used",
            "either a contact is missing in a rung or the device is not needed.",
            f"use a contact of {device.tag}, or take its coil out.",
            board.span(f"{device.tag}.{coils[0].name}"),
            severity="warning",
            devices=(device.tag,),
        )
