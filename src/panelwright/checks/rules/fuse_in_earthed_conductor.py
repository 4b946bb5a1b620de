"""A fuse alone in the earthed conductor."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Fuse, Problem
from ..board import Board

CODE = "PW327"


def find(board: Board) -> Iterator[Problem]:
    """Single fuses at an earthed rail: when one blows, the circuit is dead but still live to earth."""
    for device, source in board.circuit.supplies:
        rail = board.rail_net(device, source, source.earthed_at) if source.earthed_at else None
        for wired in board.conducting.get(rail or "", ()):
            lone = len([p for p in wired.device.parts if isinstance(p, Fuse)]) == 1
            if isinstance(wired.part, Fuse) and lone:
                yield Problem(
                    CODE,
                    f"{wired.id} stands in the earthed conductor {source.earthed_at}",
                    "when it blows, everything behind it is still live to earth and looks dead (NEC 240.22).",
                    f"put {wired.device.tag} into the un-earthed conductor.",
                    wired.span,
                    devices=(wired.device.tag, device.tag),
                )
