"""A load for alternating current on direct current, or the reverse."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW303"


def find(board: Board) -> Iterator[Problem]:
    """Loads whose kind of current, or whose frequency, is not that of their supply."""
    for wired in board.loads:
        for device, source, _ in board.fed_by(wired):
            if wired.load.current not in ("either", source.current):
                why = (
                    "an ac coil on dc draws several times its current and burns out."
                    if source.current == "dc"
                    else "a dc coil on ac hums and does not pull in; a polarised lamp flickers or dies."
                )
                yield Problem(
                    CODE,
                    f"{wired.id} is made for {wired.load.current} and {device.tag} gives {source.current}",
                    why,
                    f"take {wired.device.tag} for {source.current}, or take an {wired.load.current} supply.",
                    wired.span,
                    devices=(wired.device.tag, device.tag),
                )
            elif wired.load.hertz and source.hertz and wired.load.hertz != source.hertz:
                yield Problem(
                    CODE,
                    f"{wired.id} is made for {wired.load.hertz:g} Hz and {device.tag} gives {source.hertz:g} Hz",
                    "at another frequency an ac coil takes another current: it overheats or pulls too weakly.",
                    f"take {wired.device.tag} with a coil for {source.hertz:g} Hz, or one marked for both.",
                    wired.span,
                    severity="warning",
                    devices=(wired.device.tag, device.tag),
                )
