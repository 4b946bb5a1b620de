"""Drawings: one display list for page, print and labels, in both standards.

`rung_drawing`, `power_drawing`, `connection_drawing` and `timing_drawing` make a `Drawing`, which
`Drawing.svg(theme)` writes. `looks_of` tells which classes show a state, `shown_as` draws it.
`printed_pages` sets lists and text (wire lists, test sheets, sizing) on pages.
"""

from __future__ import annotations

from .connections import connection_drawing
from .display import Drawing
from .fault_table import FaultRow, fault_table
from .frame import PAPERS, TitleBlock, framed, space_on
from .live import LiveState, Look, Looks, Potential, looks_of, shown_as
from .power import power_drawing
from .printed import Column, Mark, Paragraph, Table, printed_pages
from .rungs import rung_drawing, rung_pages
from .symbols.sheet import symbol_sheet
from .timing import Event, SetTime, Trace, timing_drawing

__all__ = [
    "PAPERS",
    "Column",
    "Drawing",
    "Event",
    "FaultRow",
    "LiveState",
    "Look",
    "Looks",
    "Mark",
    "Paragraph",
    "Potential",
    "SetTime",
    "Table",
    "TitleBlock",
    "Trace",
    "connection_drawing",
    "fault_table",
    "framed",
    "looks_of",
    "power_drawing",
    "printed_pages",
    "rung_drawing",
    "rung_pages",
    "shown_as",
    "space_on",
    "symbol_sheet",
    "timing_drawing",
]
