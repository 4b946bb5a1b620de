"""A coil that gets part of the volts in a position that lasts."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW336"


def find(board: Board) -> Iterator[Problem]:
    """Coils whose volts lie between letting go and pulling in, in a settled position."""
    standings = board.standings
    for wired in board.coils:
        if not standings.can([standings.program.full[wired.id]], settled=False):
            continue  # never full: told as a load in series or without return
        seen = board.partly_fed(wired)
        if seen is None:
            continue
        volts, told = seen
        yield Problem(
            CODE,
            f"{wired.id} gets {volts:.3g} V with {told}",
            f"it surely pulls in at {wired.load.works_v:.3g} V and surely lets go at {wired.load.rests_v:.3g} V; "
            "between the two it may stay in, drop out or chatter.",
            "find the load through which current comes backwards and separate the branches with a contact.",
            wired.span,
            devices=(wired.device.tag,),
        )
