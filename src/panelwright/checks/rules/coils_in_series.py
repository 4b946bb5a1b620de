"""Loads that share one current, so that none gets its volts."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, Wired

CODE = "PW304"


def find(board: Board) -> Iterator[Problem]:
    """Loads that may get something but never their full volts, with the load that takes the rest."""
    told: set[frozenset[str]] = set()
    for wired in board.loads:
        standings = board.standings
        full, may = standings.program.full[wired.id], standings.program.may[wired.id]
        if standings.can([full], settled=False) or not standings.can([may], settled=False):
            continue
        for other in _neighbours(board, wired):
            pair = frozenset((wired.id, other.id))
            if pair in told:
                continue
            told.add(pair)
            yield Problem(
                CODE,
                f"{wired.id} is in series with {other.id}",
                "they share one current, so neither gets the volts of the supply: coils chatter, lamps only glow.",
                "give each its own branch between the rails, side by side: ( first | second ).",
                wired.span,
                ((f"{other.id} stands here", other.span),) if other.span else (),
                devices=(wired.device.tag, other.device.tag),
            )


def _neighbours(board: Board, wired: Wired) -> Iterator[Wired]:
    """Loads at a net that this load reaches without meeting a rail."""
    for net in (wired.a, wired.b):
        near = board.reached(net)
        if any(there in board.circuit.rails for there in near):
            continue
        for other in board.loads:
            if other.id != wired.id and {other.a, other.b} & set(near) and other.load.sort != "resistor":
                yield other
