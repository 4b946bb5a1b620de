"""More conductors under a terminal than it takes."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW321"


def find(board: Board) -> Iterator[Problem]:
    """Terminals with more wire ends than their device allows."""
    count: dict[str, int] = {}
    for wire in board.wiring.wires:
        for end in wire.ends:
            count[end] = count.get(end, 0) + 1
    for terminal, ends in count.items():
        device = board.circuit.by_tag[terminal.partition(".")[0]]
        takes = device.conductors_per_terminal * (2 if device.kind == "terminal strip" else 1)  # a strip has two sides
        if ends <= takes:
            continue
        yield Problem(
            CODE,
            f"{terminal} gets {ends} conductors and takes {takes}",
            "a terminal holds only as many conductors as it is made for (NEC 110.14(A); IEC 60204-1, 13.1.1).",
            "lead the wires over a terminal strip, or let the rung pass another terminal of the same potential.",
            board.spans_of(device.tag),
            devices=(device.tag,),
        )
