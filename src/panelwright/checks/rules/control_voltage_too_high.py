"""A control circuit on more volts than the standard allows."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW341"


# IEC 60204-1:2016, 9.1.2 and 9.1.1 (from memory): ac 230 V at 50 Hz, 277 V at 60 Hz; dc 220 V preferred
_MOST_V = {50.0: 230.0, 60.0: 277.0, 0.0: 220.0}


def find(board: Board) -> Iterator[Problem]:
    """Control supplies above the limit for their frequency."""
    for device, source in board.control_sources:
        volts = board.between_rails(source)
        most = _MOST_V.get(source.hertz if source.current == "ac" else 0.0)
        if most is None or volts <= most * 1.001:
            continue
        yield Problem(
            CODE,
            f"the control circuit on {device.tag} has {volts:.4g} V; the usual limit is {most:g} V",
            "buttons and field wiring are within reach; control circuits get their volts from a transformer "
            "(IEC 60204-1, 9.1).",
            "take a control transformer, 230 V or 120 V or less, or 24 V dc.",
            device.span,
            severity="warning",
            devices=(device.tag,),
        )
