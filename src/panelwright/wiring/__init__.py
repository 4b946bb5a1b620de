"""Contacts allotted, nets numbered, wires named and put in order of work."""

from .as_json import as_json
from .changes import Changes, Moved, changes, changes_report
from .measures import Measures, measures
from .plan import Free, Shortage, Wire, Wiring
from .renumber import Renumbered, renumbering, terminal_numbers
from .report import CAUTION, report
from .strip_plan import StripTerminal, strip_plan
from .wire import rewire, wire, wire_numbered

__all__ = [
    "CAUTION",
    "Changes",
    "Free",
    "Measures",
    "Moved",
    "Renumbered",
    "Shortage",
    "StripTerminal",
    "Wire",
    "Wiring",
    "as_json",
    "changes",
    "changes_report",
    "measures",
    "renumbering",
    "report",
    "rewire",
    "strip_plan",
    "terminal_numbers",
    "wire",
    "wire_numbered",
]
