"""A hold-in contact that leads round the stop."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, stops_of

CODE = "PW311"


def find(board: Board) -> Iterator[Problem]:
    """Coils that stay in by themselves while a stop of their own rung is pressed and no button else."""
    program = board.standings.program
    for wired in board.coils:
        state = board.standings.input(wired.device.tag)
        if state is None or wired.device.mechanism.sort != "relay":
            continue
        for stop in stops_of(board, wired):
            pressed = board.standings.input(stop.tag)
            if pressed is None:
                continue
            released = [literal ^ 1 for literal in board.pushes(besides=stop.tag)]
            found = board.standings.find([program.full[wired.id], state, pressed, *released])
            needs_it = board.standings.find([program.full[wired.id], state ^ 1, pressed, *released], settled=False)
            if found is None or needs_it is not None:
                continue
            yield Problem(
                CODE,
                f"{wired.device.tag} stays in while {stop.tag} is pressed",
                f"its hold-in contact takes its current from a place before {stop.tag}, so the stop cannot break it.",
                f"start the hold-in behind the stop: {stop.tag}.nc  ( start | {wired.device.tag}.no ).",
                wired.span,
                ((f"{stop.tag} is declared here", stop.span),) if stop.span else (),
                devices=(wired.device.tag, stop.tag),
            )
