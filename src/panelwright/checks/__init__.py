"""Mistakes on the drawing board: one small module a rule, each with a page of its own."""

from __future__ import annotations

from ..circuit import Circuit, Problem
from .board import Board
from .catalogue import RULES
from .rule import Rule

__all__ = ["RULES", "Board", "Rule", "check"]


def check(circuit: Circuit) -> tuple[Problem, ...]:
    """Everything that the rules find in a circuit, in file order.

    A circuit without rungs and power paths has nothing to check.
    """
    if not circuit.rungs and not circuit.power_paths:
        return ()
    board = Board(circuit)
    found = dict.fromkeys(problem for rule in RULES for problem in rule.find(board))
    return tuple(sorted(found, key=lambda p: (p.span.line, p.span.column) if p.span else (0, 0)))
