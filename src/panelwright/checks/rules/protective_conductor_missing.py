"""A motor whose protective conductor is not wired."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW340"


def find(board: Board) -> Iterator[Problem]:
    """Motors without a wire at PE in a file that has the rail PE."""
    if "PE" not in board.circuit.rails:
        return
    for device in board.circuit.devices:
        if device.motors and "PE" in device.terminals and board.net(f"{device.tag}.PE") != "PE":
            yield Problem(
                CODE,
                f"{device.tag} has no protective conductor",
                "its frame could become live without a fuse blowing (IEC 60204-1, 8.2).",
                f"add to a power path: PE  {device.tag}.PE",
                device.span,
                severity="warning",
                devices=(device.tag,),
            )
