"""Contacts allotted, nets numbered, wires named and put in order of work."""

from .as_json import as_json
from .measures import Measures, measures
from .plan import Free, Shortage, Wire, Wiring
from .renumber import Renumbered, renumbering, terminal_numbers
from .report import report
from .wire import rewire, wire, wire_numbered

__all__ = [
    "Free",
    "Measures",
    "Renumbered",
    "Shortage",
    "Wire",
    "Wiring",
    "as_json",
    "measures",
    "renumbering",
    "report",
    "rewire",
    "terminal_numbers",
    "wire",
    "wire_numbered",
]
