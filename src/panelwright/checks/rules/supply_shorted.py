"""A supply that is shorted in a position that can be reached."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW306"


def find(board: Board) -> Iterator[Problem]:
    """For each supply one settled position of the devices in which its rails are joined without a load."""
    waiver = board.waived("no short circuit")
    for tag, literal in board.standings.program.shorts.items():
        found = board.standings.find([literal])
        if found is None:
            continue
        solution = board.network.solve(board.standings.position(found))
        shorts = [short for short in solution.shorts if short.source.partition(".")[0] == tag]
        way = ", ".join(shorts[0].path) if shorts else ""
        yield Problem(
            CODE,
            f"{tag} is shorted with {board.standings.told(found)}",
            f"its rails are joined through {way} without a load between; the fuse blows, or wires and contacts burn."
            if way
            else "its rails are joined without a load between; the fuse blows, or wires and contacts burn.",
            "put the load into this path, or interlock the contacts so that they are never closed together."
            + (f" (waived: {waiver.why})" if waiver else ""),
            board.span(shorts[0].path[0]) if shorts and shorts[0].path else board.circuit.by_tag[tag].span,
            severity="told" if waiver else "mistake",
            devices=(tag,),
        )
