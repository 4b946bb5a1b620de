"""A load that no supply can feed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW305"


def find(board: Board) -> Iterator[Problem]:
    """Loads with one end in the air, or with both ends on one rail."""
    for wired in board.loads:
        if board.standings.can([board.standings.program.may[wired.id]], settled=False):
            continue
        ends = [sorted(n for n in board.reached(net) if n in board.circuit.rails) for net in (wired.a, wired.b)]
        if all(ends) and ends[0] != ends[1]:
            continue
        where = f"only the rail {ends[0][0]} is reached from both ends" if all(ends) else "one end reaches no rail"
        yield Problem(
            CODE,
            f"{wired.id} cannot get a voltage: {where}",
            "current flows only from one rail of a supply through the load to another rail of the same supply.",
            "check the rails of the section and the points at the ends of the rung; bring the other end to the return.",
            wired.span,
            devices=(wired.device.tag,),
        )
