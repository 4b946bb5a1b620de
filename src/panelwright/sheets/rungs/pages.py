"""Rung drawings on pages: as many lines on each as its height holds, cut where nothing but rails runs across."""

from __future__ import annotations

from collections.abc import Mapping

from ...circuit import Circuit
from ..display import Drawing
from .cells import Frame
from .draw import MARGIN_MM, Drawer
from .flags import Cutter
from .strands import ladder_of
from .stretches import Stretch, free_cuts

_RAIL_NAME_MM = 8.0
_TRIES = 4


def drawings_by_page(
    circuit: Circuit, frame: Frame, numbers: Mapping[str, str], width_mm: float, height_mm: float
) -> list[Drawing]:
    """Drawings of at most the given size; lines keep their numbers.

    A drawing is larger only where a point joins more lines than fit, or a single part is too long.
    """
    along_mm, across_mm = (height_mm, width_mm) if frame.upright else (width_mm, height_mm)
    whole = Drawer(circuit, ladder_of(circuit), frame, numbers)
    drawing = whole.draw()
    bare, room = whole, along_mm
    for _ in range(_TRIES):
        pages = [whole.part(stretch).draw() for stretch in _stretches(whole, across_mm)]
        longest = max(page.height if frame.upright else page.width for page in pages)
        if longest <= along_mm:
            break
        if bare is whole:
            room -= (drawing.height if frame.upright else drawing.width) - bare.along.end
        else:
            room -= longest - along_mm
        whole = Drawer(circuit, ladder_of(circuit, Cutter(circuit, bare.cell, room)), frame, numbers)
        whole.draw()
    return pages


def _stretches(whole: Drawer, across_mm: float) -> list[Stretch]:
    """Lines that fit together, by the places that they have in the whole drawing."""
    free = free_cuts(whole.ladder)
    found: list[Stretch] = []
    first = 0
    while first < len(whole.reach):
        later = [row for row in free if row > first]
        fitting = [row for row in later if _needed(whole.reach[first:row]) <= across_mm]
        end = max(fitting, default=min(later))
        found.append((first, end))
        first = end
    return found or [(0, 0)]


def _needed(reach: list[tuple[float, float]]) -> float:
    return max(bottom for _, bottom in reach) - min(top for top, _ in reach) + 2 * MARGIN_MM + _RAIL_NAME_MM
