"""A control circuit without overcurrent protection."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Fuse, Problem
from ..board import Board, Wired
from ..limits import limit

CODE = "PW326"


def find(board: Board) -> Iterator[Problem]:
    """Transformers, mains and batteries from whose un-earthed rail loads are reached without a fuse."""
    for device, source in board.control_sources:
        limited = source.current == "dc" and "dc supply" in device.kind
        if limited or not board.circuit.power_paths or (source.va and source.va < limit("small transformer")):
            continue
        live = [rail for rail in source.rails if rail not in (source.earthed_at, "N", "PE")]
        for rail in live:
            net = board.rail_net(device, source, rail)
            ways = board.reached(net) if net else {}
            bare = [w for w in board.loads for n in (w.a, w.b) if n in ways and not _fused(ways[n])]
            if not bare:
                continue
            yield Problem(
                CODE,
                f"nothing protects the control circuit on {rail} of {device.tag}",
                "a short or an earth fault would heat the wires until they burn (IEC 60204-1, 7.2.4; NEC 430.72).",
                f"put a fuse or a breaker behind {rail} and start the rungs at a point behind it.",
                device.span,
                severity="told",
                devices=(device.tag,),
            )
            break


def _fused(way: list[Wired]) -> bool:
    return any(isinstance(step.part, Fuse) for step in way)
