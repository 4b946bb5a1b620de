"""The panel file: reading it, and writing it in its canonical layout."""

from .document import Document, Entry
from .reader import Reading, read, read_steps
from .writer import write

__all__ = ["Document", "Entry", "Reading", "read", "read_steps", "write"]
