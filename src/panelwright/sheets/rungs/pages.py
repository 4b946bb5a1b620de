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

    A drawing is larger only where a point joins more lines than fit, or where no cut makes the rungs short enough;
    then they are not cut at all.
    """
    along_mm, across_mm = (height_mm, width_mm) if frame.upright else (width_mm, height_mm)
    bare = whole = Drawer(circuit, ladder_of(circuit), frame, numbers)
    drawing = bare.draw()
    uncut = pages = _pages(bare, across_mm)
    room = along_mm - ((drawing.height if frame.upright else drawing.width) - bare.along.end)
    for _ in range(_TRIES):
        over_mm = max(page.height if frame.upright else page.width for page in pages) - along_mm
        if over_mm <= 0:
            return pages
        if whole is not bare:
            room -= over_mm
        whole = Drawer(circuit, ladder_of(circuit, Cutter(circuit, bare.cell, room)), frame, numbers)
        whole.draw()
        pages = _pages(whole, across_mm)
    return uncut  # what no cut makes fit reads better in one piece on larger paper


def _pages(whole: Drawer, across_mm: float) -> list[Drawing]:
    return [whole.part(stretch).draw() for stretch in _stretches(whole, across_mm)]


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
