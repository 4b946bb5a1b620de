"""Answers as text for a terminal and as plain values for other programs."""

from .problems import counted, in_file_order, told_problem

__all__ = ["counted", "in_file_order", "told_problem"]
