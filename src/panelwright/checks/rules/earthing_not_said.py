"""A control supply of which nobody knows whether it is earthed."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW325"


def find(board: Board) -> Iterator[Problem]:
    """Control supplies without `earthed at` or `floating`."""
    for device, source in board.control_sources:
        if source.earthing != "unsaid":
            continue
        yield Problem(
            CODE,
            f"{device.tag} is neither said to be earthed nor floating",
            "what an earth fault does hangs on it, and so do readings to earth; it is taken as floating here.",
            f"add: earthed at {source.rails[-1]}, or: floating.",
            device.span,
            severity="warning",
            devices=(device.tag,),
        )
