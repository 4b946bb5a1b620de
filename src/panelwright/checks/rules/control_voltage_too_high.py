"""A control circuit on more volts than the standard allows."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board
from ..limits import limit

CODE = "PW341"


_LIMITS = {50.0: "control volts 50 Hz", 60.0: "control volts 60 Hz", 0.0: "control volts dc"}
ROUNDED = 1.001  # 480 V / 230.1 V is 230 V


def find(board: Board) -> Iterator[Problem]:
    """Control supplies above the limit for their frequency."""
    for device, source in board.control_sources:
        volts = board.between_rails(source)
        name = _LIMITS.get(source.hertz if source.current == "ac" else 0.0)
        if name is None or volts <= (most := limit(name)) * ROUNDED:
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
