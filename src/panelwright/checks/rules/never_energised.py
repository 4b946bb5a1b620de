"""A load whose path can never be closed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW330"


def find(board: Board) -> Iterator[Problem]:
    """Loads between two rails whose contacts exclude each other in every position."""
    standings = board.standings
    for wired in board.loads:
        if standings.find([standings.program.may[wired.id]], settled=False):
            if standings.find([standings.program.may[wired.id]]) or wired.device.mechanism.sort == "relay":
                continue
            why = "in every position that lasts, one of its contacts is open; it could only flicker while things move."
        else:
            ends = [{n for n in board.reached(net) if n in board.circuit.rails} for net in (wired.a, wired.b)]
            if not all(ends) or ends[0] == ends[1]:
                continue
            why = "the contacts in its path are never closed together."
        yield Problem(
            CODE,
            f"{wired.id} never gets current",
            why,
            "look for a make contact where a break contact was meant, or for an interlock against itself.",
            wired.span,
            devices=(wired.device.tag,),
        )
