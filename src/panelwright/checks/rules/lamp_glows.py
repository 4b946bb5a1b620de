"""A lamp or sounder that gets part of the volts through a back path."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW322"


def find(board: Board) -> Iterator[Problem]:
    """Lamps and sounders with more volts than they surely rest at, less than they work with, in a settled position."""
    for wired in board.loads:
        if wired.load.sort not in ("lamp", "sounder"):
            continue
        seen = board.partly_fed(wired)
        if seen is None:
            continue
        volts, told = seen
        yield Problem(
            CODE,
            f"{wired.device.tag} gets {volts:.3g} V of {wired.load.rated_v:g} V with {told}",
            "current finds a way backwards through other loads; it glows or buzzes and says what is not so.",
            "separate the two branches with a contact of their own, or give the lamp its own contact from the rail.",
            wired.span,
            devices=(wired.device.tag,),
        )
