"""Loads that stand between the rails or get nothing, wherever the devices stand: never something between the two.

What a load *may* get is a literal over every way that current could creep, so nearly every device of the panel is in
it. Where a solver shows that it says no more than the full verdict, the full verdict takes its place, and a question
about one rung is one about that rung alone.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ...electrics import GateProgram
from ...electrics.gates import FALSE, TRUE


def without_needless_doubt(program: GateProgram) -> GateProgram:
    """The program with `may` the same literal as `full` for every load that is never half fed."""
    unlike = [load for load, full in program.full.items() if program.may.get(load, full) != full]
    if not unlike:
        return program
    question = _Question(program)
    try:
        plain = {load: program.full[load] for load in unlike if question.is_plain(load)}
    finally:
        question.solver.delete()
    return replace(program, may={**program.may, **plain})


class _Question:
    """One solver over the gates of a program, for positions that devices can stand in."""

    def __init__(self, program: GateProgram) -> None:
        from pysat.solvers import Glucose4

        self.program = program
        self.true = len(program.gates.left)
        self.solver: Any = Glucose4(bootstrap_with=[[self.true]])
        for node, left, right in program.gates.walk():
            a, b = self._variable(left), self._variable(right)
            self.solver.append_formula([[-node, a], [-node, b], [node, -a, -b]])
        self._stand_somewhere()

    def _variable(self, literal: int) -> int:
        if literal in (FALSE, TRUE):
            return self.true if literal == TRUE else -self.true
        return -(literal >> 1) if literal & 1 else literal >> 1

    def _stand_somewhere(self) -> None:
        """No device is at rest and operated at once, no selector in two positions."""
        gates = self.program.gates
        node_of = dict(zip(gates.inputs, gates.input_nodes, strict=True))
        positions: dict[str, list[int]] = {}
        for name, node in node_of.items():
            operated = node_of.get(name.removesuffix(":rest"))
            if name.endswith(":rest") and operated is not None:
                self.solver.add_clause([-node, -operated])
            if "=" in name:
                for other in positions.setdefault(name.partition("=")[0], []):
                    self.solver.add_clause([-node, -other])
                positions[name.partition("=")[0]].append(node)

    def is_plain(self, load: str) -> bool:
        """Whether it never may get something without its full volts."""
        may, full = self.program.may[load], self.program.full[load]
        return not self.solver.solve([self._variable(may), -self._variable(full)])
