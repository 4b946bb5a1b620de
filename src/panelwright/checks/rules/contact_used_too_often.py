"""A device has fewer contacts than the rungs use."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW301"


def find(board: Board) -> Iterator[Problem]:
    """One problem for each form of contact that a device runs out of."""
    for short in board.wiring.shortages:
        has = f"{short.has} {short.form}" if short.has else f"no {short.form}"
        yield Problem(
            CODE,
            f"{short.device} has {has}, the rungs use {short.needed}",
            "a contact can stand at one place only, so the circuit cannot be wired with this device.",
            f"give {short.device} more contacts or an auxiliary block, or let a second relay follow it.",
            short.span or board.circuit.by_tag[short.device].span,
            devices=(short.device,),
        )
