"""A start that runs the motor although the stop is pressed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, stops_of

CODE = "PW349"


def find(board: Board) -> Iterator[Problem]:
    """Coils that can be in with a stop of their rung pressed as long as some other button is held."""
    program = board.standings.program
    for wired in board.coils:
        if wired.device.mechanism.sort != "relay":
            continue
        for stop in stops_of(board, wired):
            pressed = board.standings.input(stop.tag)
            state = board.standings.input(wired.device.tag)
            if pressed is None:
                continue
            out = [state ^ 1] if state is not None else []
            rest = [literal for literal in board.relays_out if literal not in out]
            found = board.standings.find([program.full[wired.id], pressed, *out, *rest], settled=False)
            if found is None:
                continue
            yield Problem(
                CODE,
                f"{wired.device.tag} pulls in although {stop.tag} is pressed, with {board.standings.told(found)}",
                "a stop has to win over every start (IEC 60204-1, 9.2.3.3).",
                f"let the whole path of {wired.id} pass {stop.tag}.nc.",
                wired.span,
                ((f"{stop.tag} is declared here", stop.span),) if stop.span else (),
                devices=(wired.device.tag, stop.tag),
            )
