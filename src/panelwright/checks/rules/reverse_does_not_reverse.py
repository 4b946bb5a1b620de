"""Two contactors for two directions that turn the motor the same way."""

from __future__ import annotations

import re
from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW337"


_BACK = re.compile(r"reverse|backward|down|lower", re.IGNORECASE)


def find(board: Board) -> Iterator[Problem]:
    """Motors whose contactor for the other direction does not exchange two phases."""
    program = board.standings.program
    for tag, contactors in board.feeding.items():
        back = [c for c in sorted(contactors) if _BACK.search(board.circuit.by_tag[c].text)]
        reverse = program.reverse.get(f"{tag}.{board.circuit.by_tag[tag].motors[0].name}")
        if len(contactors) < 2 or not back or reverse is None or board.standings.can([reverse], settled=False):
            continue
        yield Problem(
            CODE,
            f"{back[0]} does not turn {tag} the other way",
            "both contactors bring the phases in the same order.",
            f"exchange two wires behind {back[0]}: swap L1 L3 in its power path.",
            board.circuit.by_tag[back[0]].span,
            devices=(back[0], tag),
        )
