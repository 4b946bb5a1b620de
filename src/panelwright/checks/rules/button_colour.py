"""A button in a colour that means the opposite."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, is_stop

CODE = "PW332"


def find(board: Board) -> Iterator[Problem]:
    """Green stops, and red starts. Source: IEC 60204-1, 10.2.1 (colours of push-buttons)."""
    for device in board.circuit.devices:
        if device.mechanism.sort not in ("push", "latched push") or not device.colour:
            continue
        starts = "start" in device.text.lower().split()
        if device.colour == "green" and is_stop(device):
            wrong, right = "a green stop", "red, black, grey or white"
        elif device.colour == "red" and starts:
            wrong, right = "a red start", "white, grey, black or green"
        else:
            continue
        yield Problem(
            CODE,
            f"{device.tag} is {wrong}",
            "in a hurry people act by colour: red stops, green starts (IEC 60204-1, 10.2.1).",
            f"make it {right}.",
            device.span,
            severity="warning",
            devices=(device.tag,),
        )
