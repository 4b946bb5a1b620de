"""An emergency stop that does not break every motion."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW315"


def find(board: Board) -> Iterator[Problem]:
    """Motions that can go on, with everything settled, while an emergency stop is pressed."""
    for device in board.circuit.devices:
        pressed = board.standings.input(device.tag)
        if device.symbol != "emergency-stop" or pressed is None:
            continue
        for wired in board.motions:
            found = board.standings.find([pressed, board.standings.program.full[wired.id]])
            if found is None:
                continue
            yield Problem(
                CODE,
                f"{wired.device.tag} can stay in while {device.tag} is pressed",
                "an emergency stop has to take power from every motion, whatever else is going on "
                f"(IEC 60204-1, 9.2.3.4.2); seen with {board.standings.told(found)}.",
                f"lead the path of {wired.id} through a break contact of {device.tag} or of a relay that it drops.",
                wired.span,
                devices=(device.tag, wired.device.tag),
            )
