"""A load whose path can never be closed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, uses_in
from ..board import Board, Wired

CODE = "PW330"


def find(board: Board) -> Iterator[Problem]:
    """Loads between two rails whose contacts exclude each other in every position."""
    standings = board.standings
    for wired in board.loads:
        if standings.can([standings.program.may[wired.id]], settled=False):
            if standings.can([standings.program.may[wired.id]]) or not _relays_can_be_in(board, wired):
                continue
            why = "in every position that lasts, one of its contacts is open; it could only flicker while things move."
        else:
            ends = [{n for n in board.reached(net) if n in board.circuit.rails} for net in (wired.a, wired.b)]
            if not all(ends) or ends[0] == ends[1] or board.fed_by(wired):
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


def _relays_can_be_in(board: Board, wired: Wired) -> bool:
    """Whether every relay in the rung can be in; if one cannot, that one is the mistake."""
    rung = board.rung_of(wired.id)
    tags = {use.device for use in uses_in(rung.body)} if rung else set()
    states = [board.standings.input(tag) for tag in tags]
    return all(board.standings.can([state]) for state in states if state is not None)
