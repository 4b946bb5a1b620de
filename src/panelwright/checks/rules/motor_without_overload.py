"""A motor whose overload does not stop it."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board
from ..limits import limit

CODE = "PW314"


def find(board: Board) -> Iterator[Problem]:
    """Motors without an overload relay in their path, and contactors that stay in when theirs trips."""
    program = board.standings.program
    for tag, contactors in board.feeding.items():
        overloads = board.overloads[tag]
        motor = board.circuit.by_tag[tag]
        if not overloads and not board.trips and max(m.watts for m in motor.motors) > limit("overload needed"):
            yield Problem(
                CODE,
                f"{tag} has no overload protection",
                "a motor that is overloaded or has lost a phase burns its winding (IEC 60204-1, 7.3; NEC 430.32).",
                "put an overload relay into its path and its break contact 95-96 into the coil path of its contactor.",
                motor.span,
                severity="warning",
                devices=(tag,),
            )
        for overload in sorted(overloads):
            tripped = board.standings.input(overload)
            for wired in board.motions:
                if wired.device.tag not in contactors or not board.share_a_way(tag, overload, wired.device.tag):
                    continue
                literals = [program.full[wired.id], *([tripped] if tripped is not None else [])]
                if not board.standings.can(literals) or board.is_braking(wired):
                    continue
                yield Problem(
                    CODE,
                    f"{wired.device.tag} can stay in when {overload} has tripped",
                    f"the overload of {tag} opens only a control contact; it protects nothing unless that contact lies "
                    "in the coil path of every contactor of the motor.",
                    f"put {overload}.nc into the path of {wired.id}.",
                    wired.span,
                    devices=(wired.device.tag, overload, tag),
                )
