"""Contacts allotted, nets numbered, wires named and put in order of work."""

from .plan import Free, Shortage, Wire, Wiring
from .wire import wire

__all__ = ["Free", "Shortage", "Wire", "Wiring", "wire"]
