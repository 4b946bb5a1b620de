"""A device without a wire."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW319"


_MAY_LIE_IDLE = ("terminal strip", "disconnect")


def find(board: Board) -> Iterator[Problem]:
    """Devices that no rung or power path uses."""
    used = {terminal.partition(".")[0] for terminal in board.nets}
    cabled = {end.partition(".")[0] for cable in board.circuit.cables for end in (cable.start, *cable.ends)}
    for device in board.circuit.devices:
        if device.tag in used | cabled or device.kind in _MAY_LIE_IDLE:
            continue
        feeds = bool(device.sources)
        if feeds and any(net.rails and set(net.rails) & set(device.sources[0].rails) for net in board.wiring.nets):
            continue
        yield Problem(
            CODE,
            f"{device.tag} is declared and not used",
            "either a rung is missing or the device is not needed.",
            f"use {device.tag} in a rung, or delete its line.",
            device.span,
            severity="warning",
            devices=(device.tag,),
        )
