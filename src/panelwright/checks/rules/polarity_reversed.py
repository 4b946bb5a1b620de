"""A part that knows plus and minus, the wrong way round."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Diode, Problem, Span
from ..board import Board

CODE = "PW316"


def find(board: Board) -> Iterator[Problem]:
    """Polarised loads with their plus end to the minus rail, and diodes that lie forward across a dc supply."""
    for device, source in board.circuit.supplies:
        if source.current != "dc":
            continue
        plus = board.reached(board.net(f"{device.tag}.{source.a}") or "")
        minus = board.reached(board.net(f"{device.tag}.{source.b}") or "")
        for wired in board.loads:
            if wired.load.polarised and wired.a in minus and wired.b in plus and wired.a not in plus:
                yield _problem(
                    wired.id, f"{wired.device.tag}.{wired.part.a}", wired.span, wired.device.tag, source.rails
                )
        for other in board.circuit.devices:
            for part in other.parts:
                if not isinstance(part, Diode):
                    continue
                a, b = board.net(f"{other.tag}.{part.a}"), board.net(f"{other.tag}.{part.b}")
                if a in plus and b in minus and a not in minus:
                    yield _problem(
                        f"{other.tag}.{part.name}", f"{other.tag}.{part.b}", board.span(f"{other.tag}.{part.name}"),
                        other.tag, source.rails,
                    )  # fmt: skip


def _problem(part: str, end: str, span: Span | None, tag: str, rails: tuple[str, ...]) -> Problem:
    return Problem(
        CODE,
        f"{part} is the wrong way round",
        "a lamp or coil with polarity stays dark or out when reversed; a diode forward across the supply is a short.",
        f"turn it round: {end} belongs to the side of {rails[0]}; across a coil a diode's cathode faces {rails[0]}.",
        span,
        devices=(tag,),
    )
