"""A load on a supply of another voltage."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board
from ..limits import limit

CODE = "PW302"


def find(board: Board) -> Iterator[Problem]:
    """Loads whose rated volts are not those of the supply that feeds them straight."""
    lowest, highest = limit("coil least"), limit("coil most")
    works = f"{100 * lowest:g} % and {100 * highest:g} %"
    for wired in board.loads:
        rated = wired.load.rated_v
        for device, _, volts in board.fed_by(wired):
            if not rated or wired.load.sort == "resistor" or lowest * rated <= volts <= highest * rated:
                continue
            effect = "will burn out" if volts > rated else "will not do its work"
            yield Problem(
                CODE,
                f"{wired.id} is made for {rated:g} V and stands between rails of {device.tag} with {volts:g} V",
                f"a part works between {works} of its rated volts; this one {effect}.",
                f"take {wired.device.tag} for {volts:g} V, or feed this rung from a supply of {rated:g} V.",
                wired.span,
                devices=(wired.device.tag, device.tag),
            )
