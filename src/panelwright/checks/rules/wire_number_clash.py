"""One wire number on two nets."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW320"


def find(board: Board) -> Iterator[Problem]:
    """Numbers that stand for two conductors which are not joined."""
    first: dict[str, str] = {}
    for net, number in board.wiring.numbers.items():
        if number not in first:
            first[number] = net
            continue
        yield Problem(
            CODE,
            f"the wire number {number} stands on two wires: at {first[number]} and at {net}",
            "one number means one conductor; whoever joins equal numbers makes a fault.",
            "name one of the two points otherwise.",
            board.span_at(net),
            devices=(net.partition(".")[0],) if "." in net else (),
        )
