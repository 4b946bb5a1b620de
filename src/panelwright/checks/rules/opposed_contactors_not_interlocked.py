"""Two contactors that short the phases when both are in, without a contact that prevents it."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW313"


def find(board: Board) -> Iterator[Problem]:
    """Pairs of contactors of one motor that must not be in together, of which one does not lock the other out."""
    for pair in board.opposed:
        free = [w for w, other in (pair, pair[::-1]) if _can_pull_in(board, w.id, other.device.tag)]
        if not free:
            continue
        one, other = pair
        mechanical = {one.device.tag, other.device.tag} in [set(p) for p in board.circuit.interlocks]
        yield Problem(
            CODE,
            f"nothing keeps {free[0].device.tag} from being called while "
            f"{(other if free[0] is one else one).device.tag} is in",
            "with both in, phases are shorted through their poles."
            + (" The mechanical interlock holds the second one out, but its coil then burns." if mechanical else ""),
            f"put a break contact of each into the coil path of the other: {other.device.tag}.nc before {one.id}, "
            f"{one.device.tag}.nc before {other.id}.",
            free[0].span,
            severity="warning" if mechanical else "mistake",
            devices=(one.device.tag, other.device.tag),
        )


def _can_pull_in(board: Board, coil: str, other: str) -> bool:
    """Whether a coil can get its volts while the other contactor is in."""
    state = board.standings.input(other)
    literals = [board.standings.program.full[coil], *([state] if state is not None else [])]
    return board.standings.can(literals, settled=False)
