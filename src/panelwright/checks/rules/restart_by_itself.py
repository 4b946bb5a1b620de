"""Something that starts when power returns, without anybody pressing a button."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW323"


def find(board: Board) -> Iterator[Problem]:
    """Motions that get volts with every relay out and no button pressed; told, not forbidden."""
    standings = board.standings
    rest = board.at_rest_literals
    for wired in board.motions:
        if board.waived("no restart", wired.device.tag):
            continue
        if wired.load.drives == "reset":
            continue
        state = standings.input(wired.device.tag)
        out = [state ^ 1] if state is not None and wired.load.drives else []
        found = standings.find([*rest, *out, standings.program.full[wired.id]], settled=False)
        if found is None:
            continue
        yield Problem(
            CODE,
            f"{wired.device.tag} starts by itself when power returns with {standings.told(found)}",
            "where that can hurt somebody it has to be prevented (IEC 60204-1, 7.5; NEC 430.43).",
            'start with a button and a hold-in contact, or, where it is meant, write: waive no restart because "...".',
            wired.span,
            severity="told",
            devices=(wired.device.tag,),
        )
