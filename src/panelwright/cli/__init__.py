"""The command line: one skin on one library call each."""

# The commands register themselves with the group; their order here is their order in --help.
from . import drawing_board, trying, proving, faults, testing, finding, building, sizing, parts, bench  # isort: skip
from .group import main

__all__ = [
    "bench",
    "building",
    "drawing_board",
    "faults",
    "finding",
    "main",
    "parts",
    "proving",
    "sizing",
    "testing",
    "trying",
]
