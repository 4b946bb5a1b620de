"""Stop contacts side by side, so that all must be pressed to stop."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board, is_push_break, lone_use, parallels_in

CODE = "PW309"


def find(board: Board) -> Iterator[Problem]:
    """Parallels of break contacts of buttons that are meant to stop."""
    for rung in board.circuit.rungs:
        for parallel in parallels_in(rung.body):
            uses = [use for branch in parallel.branches if (use := lone_use(branch)) is not None]
            stops = [use for use in uses if is_push_break(board, use)]
            if len(stops) < 2 or len(stops) != len(parallel.branches):
                continue
            tags = " and ".join(use.device for use in stops)
            yield Problem(
                CODE,
                f"the stops {tags} stand side by side",
                "current goes round the one that is pressed: nothing stops until all are pressed together.",
                f"put them one after the other: {'  '.join(f'{use.device}.nc' for use in stops)}.",
                stops[0].span,
                tuple((f"{use.device} stands here", use.span) for use in stops[1:] if use.span),
                devices=tuple(use.device for use in stops),
            )
