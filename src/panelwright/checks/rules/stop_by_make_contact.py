"""A stop button that stops by closing."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, is_stop

CODE = "PW308"


def find(board: Board) -> Iterator[Problem]:
    """Stop buttons of which only make contacts are wired."""
    for device in board.circuit.devices:
        if not is_stop(device) or device.symbol == "emergency-stop":
            continue
        wired = board.contacts_of(device.tag)
        made = [w for w in wired if w.contact.form == "no"]
        if made and len(made) == len(wired):
            yield Problem(
                CODE,
                f"{device.tag} is a stop and only its make contact is used",
                "a broken wire or a loose screw would then leave the stop without effect, and nobody would notice.",
                f"stop with a break contact: {device.tag}.nc in series before the start.",
                made[0].span,
                devices=(device.tag,),
            )
