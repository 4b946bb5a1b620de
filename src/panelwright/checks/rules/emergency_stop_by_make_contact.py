"""An emergency stop that acts by closing."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW338"


def find(board: Board) -> Iterator[Problem]:
    """Emergency stops without a break contact in use."""
    for device in board.circuit.devices:
        if device.symbol != "emergency-stop":
            continue
        wired = board.contacts_of(device.tag)
        if wired and not any(w.contact.form == "nc" for w in wired):
            yield Problem(
                CODE,
                f"{device.tag} is an emergency stop and no break contact of it is used",
                "it has to act by positive opening (IEC 60947-5-5, from memory), and a broken wire must stop too.",
                f"lead the coil path through {device.tag}.nc.",
                wired[0].span,
                devices=(device.tag,),
            )
