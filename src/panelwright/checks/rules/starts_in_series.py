"""Start buttons one after the other, so that all must be pressed to start."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, Use
from ..board import Board, series_in

CODE = "PW310"


def find(board: Board) -> Iterator[Problem]:
    """Two spring-return make contacts in series that are not a two-hand control."""
    for rung in board.circuit.rungs:
        for series in series_in(rung.body):
            starts = [item for item in series.items if isinstance(item, Use) and _is_start(board, item)]
            if len({use.device for use in starts}) < 2:
                continue
            tags = " and ".join(dict.fromkeys(use.device for use in starts))
            yield Problem(
                CODE,
                f"the buttons {tags} stand in series",
                "nothing starts until all are pressed together; stations that may each start stand side by side.",
                f"write ( {' | '.join(f'{use.device}.no' for use in starts)} ), or take palm buttons for two hands.",
                starts[1].span,
                severity="warning",
                devices=tuple(dict.fromkeys(use.device for use in starts)),
            )


def _is_start(board: Board, use: Use) -> bool:
    device = board.circuit.by_tag[use.device]
    return device.mechanism.sort == "push" and use.form == "no" and "palm" not in device.kind
