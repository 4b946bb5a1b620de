"""The command line: one skin on one library call each."""

from .commands import main

__all__ = ["main"]
