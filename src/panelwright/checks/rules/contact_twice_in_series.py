"""The same contact form of one device twice in one path."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem, Use
from ..board import Board, series_in

CODE = "PW346"


def find(board: Board) -> Iterator[Problem]:
    """Series with two like contacts of one device; two channels of one button in two rungs are not meant."""
    for rung in board.circuit.rungs:
        for series in series_in(rung.body):
            uses = [item for item in series.items if isinstance(item, Use) and item.form in ("no", "nc")]
            seen: dict[tuple[str, str, str], Use] = {}
            for use in uses:
                key = (use.device, use.form, use.timing)
                if key not in seen:
                    seen[key] = use
                    continue
                first = seen[key]
                yield Problem(
                    CODE,
                    f"{use.device}.{use.form} stands twice in one series",
                    "the second contact does nothing that the first does not do; it wastes two terminals.",
                    "take one away, or write the device that was meant.",
                    use.span,
                    (("the first one", first.span),) if first.span else (),
                    severity="warning",
                    devices=(use.device,),
                )
