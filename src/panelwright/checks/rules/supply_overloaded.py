"""More load than a supply or transformer can give."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board
from ..limits import limit

CODE = "PW318"


def find(board: Board) -> Iterator[Problem]:
    """Supplies whose loads, in the worst settled position, take more than they are rated for."""
    for device, source in board.control_sources:
        rating = source.va or source.amps * source.volts
        loads = [(w, w.volt_amperes) for w in board.loads if any(d is device for d, _, _ in board.fed_by(w))]
        if not rating or sum(va for _, va in loads) <= rating:
            continue
        found = board.standings.most({w.id: va for w, va in loads})
        worst = sum(va for w, va in loads if w.id in found)
        if worst <= rating:
            continue
        unit = "VA" if source.current == "ac" else "W"
        enough = worst * (1 + limit("supply reserve"))
        on = ", ".join(f"{w.device.tag} {va:.3g}" for w, va in loads if w.id in found)
        yield Problem(
            CODE,
            f"{device.tag} is rated for {rating:.4g} {unit}, its loads can take {worst:.4g} {unit} together",
            f"the voltage sags, coils let go and the supply overheats; counted in {unit}: {on}.",
            f"take a supply of at least {enough:.3g} {unit} (a quarter in reserve is common practice).",
            device.span,
            devices=(device.tag,),
        )
