"""Make and break contact of one device in series: never closed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, Use
from ..board import Board, series_in

CODE = "PW329"


def find(board: Board) -> Iterator[Problem]:
    """Series with a make and a break contact of the same device."""
    for rung in board.circuit.rungs:
        for series in series_in(rung.body):
            uses = [item for item in series.items if isinstance(item, Use)]
            for use in uses:
                other = next(
                    (u for u in uses if u.device == use.device and u.timing == use.timing and u.form == "nc"), None
                )
                if use.form != "no" or other is None or board.circuit.by_tag[use.device].mechanism.sort == "selector":
                    continue
                yield Problem(
                    CODE,
                    f"{use.device}.no and {use.device}.nc stand in series",
                    "they are never closed together, so what is behind them never gets current.",
                    "take one of them away, or write the device that was meant.",
                    use.span,
                    (("the other one", other.span),) if other.span else (),
                    devices=(use.device,),
                )
