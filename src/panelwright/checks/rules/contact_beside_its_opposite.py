"""Make and break contact of one device side by side: always closed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, Use
from ..board import Board, lone_use, parallels_in

CODE = "PW328"


def find(board: Board) -> Iterator[Problem]:
    """Parallels with a make and a break contact of the same device alone in two branches."""
    for rung in board.circuit.rungs:
        for parallel in parallels_in(rung.body):
            uses = [use for branch in parallel.branches if (use := lone_use(branch)) is not None]
            for use in uses:
                other = next((u for u in uses if _opposite(use, u)), None)
                if other is None or use.form != "no":
                    continue
                yield Problem(
                    CODE,
                    f"{use.device}.no and {use.device}.nc stand side by side",
                    "one of them is always closed, so both together do nothing but open for a moment in between.",
                    "take both away, or write the device that was meant.",
                    use.span,
                    (("the other one", other.span),) if other.span else (),
                    severity="warning",
                    devices=(use.device,),
                )


def _opposite(one: Use, other: Use) -> bool:
    same = one.device == other.device and one.timing == other.timing
    return same and {one.form, other.form} == {"no", "nc"}
