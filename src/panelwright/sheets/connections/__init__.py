"""Connection drawings: every device as it is touched, every conductor with its number at both ends.

`bodies` draws the devices, `layout` sets them in rows, `routing` finds the way of the conductors, `draw` draws.
"""

from __future__ import annotations

from .draw import connection_drawing

__all__ = ["connection_drawing"]
