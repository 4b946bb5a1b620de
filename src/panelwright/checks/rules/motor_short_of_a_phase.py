"""A three-phase motor with a lead that no phase reaches."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW335"


def find(board: Board) -> Iterator[Problem]:
    """Motors that are wired and can run in no position of the devices."""
    program = board.standings.program
    for tag in board.feeding:
        device = board.circuit.by_tag[tag]
        names = [f"{tag}.{motor.name}" for motor in device.motors]
        runs = [table[name] for name in names for table in (program.forward, program.reverse) if name in table]
        if any(board.standings.can([literal], settled=False) for literal in runs):
            continue
        reached = [lead for motor in device.motors for lead in motor.leads if board.net(f"{tag}.{lead}")]
        yield Problem(
            CODE,
            f"{tag} can never run: its leads {', '.join(reached) or '(none)'} do not get all phases of one supply",
            "a three-phase motor on two phases hums and burns.",
            "follow the power path lead by lead; every wire of the path has to come from its own phase.",
            device.span,
            severity="mistake" if board.has_motor_supply(tag) else "warning",
            devices=(tag,),
        )
