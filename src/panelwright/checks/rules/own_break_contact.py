"""A relay that interrupts its own coil."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW312"


def find(board: Board) -> Iterator[Problem]:
    """Coils that get volts only while their own relay is out: they buzz."""
    standings = board.standings
    for wired in board.coils:
        state = standings.input(wired.device.tag)
        if wired.device.mechanism.sort != "relay" or wired.load.drives != "coil" or state is None:
            continue
        full = standings.program.full[wired.id]
        if standings.can([full, state], settled=False) or not standings.can([full, state ^ 1], settled=False):
            continue
        declared = board.waived("no buzzing", wired.device.tag) or board.is_expected_to_buzz(wired.device.tag)
        yield Problem(
            CODE,
            f"{wired.device.tag} interrupts its own coil",
            "as soon as it pulls in, its break contact takes its volts away, it lets go and pulls in again: it buzzes.",
            f"take {wired.device.tag}'s break contact out of its own coil's path"
            + ("; as it is meant, nothing needs doing." if declared else ', or write: waive no buzzing because "...".'),
            wired.span,
            severity="told" if declared else "mistake",
            devices=(wired.device.tag,),
        )
