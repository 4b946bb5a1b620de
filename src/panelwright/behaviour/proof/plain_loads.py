"""Loads that stand between the rails or get nothing, wherever the devices stand: never something between the two.

What a load *may* get is a literal over every way that current could creep, so nearly every device of the panel is in
it. Where a solver shows that it says no more than the full verdict, the full verdict takes its place, and a question
about one rung is one about that rung alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from ...electrics import GateProgram
from ...electrics.gates import FALSE, TRUE


def without_needless_doubt(program: GateProgram) -> GateProgram:
    """The program with `may` the same literal as `full` for every load that is never half fed."""
    unlike = [load for load, full in program.full.items() if program.may.get(load, full) != full]
    if not unlike:
        return program
    question = Positions(program)
    try:
        plain = {load: program.full[load] for load in unlike if question.is_plain(load)}
    finally:
        question.solver.delete()
    return replace(program, may={**program.may, **plain})


class Positions:
    """One solver over the gates of a program, for positions that devices can stand in."""

    def __init__(self, program: GateProgram) -> None:
        from pysat.solvers import Glucose4

        self.program = program
        self.true = self._last = len(program.gates.left)
        self._node_of = dict(zip(program.gates.inputs, program.gates.input_nodes, strict=True))
        self.solver: Any = Glucose4(bootstrap_with=[[self.true]])
        for node, left, right in program.gates.walk():
            a, b = self.variable(left), self.variable(right)
            self.solver.append_formula([[-node, a], [-node, b], [node, -a, -b]])
        self._stand_somewhere()

    def variable(self, literal: int) -> int:
        if literal in (FALSE, TRUE):
            return self.true if literal == TRUE else -self.true
        return -(literal >> 1) if literal & 1 else literal >> 1

    def _stand_somewhere(self) -> None:
        """No device is at rest and operated at once, no selector in two positions."""
        node_of = self._node_of
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
        return not self.solver.solve([self.variable(may), -self.variable(full)])

    def held(self) -> dict[str, bool]:
        """How the inputs stand in the position found last."""
        true = {variable for variable in self.solver.get_model() if variable > 0}
        return {name: node in true for name, node in self._node_of.items()}

    def fresh(self) -> int:
        """A variable that stands for nothing yet."""
        self._last += 1
        return self._last

    def leave_out(self, inputs: Mapping[str, bool], guard: int) -> None:
        """No position in which all of these inputs stand so, while the guard holds."""
        known = ((self._node_of[name], value) for name, value in inputs.items() if name in self._node_of)
        self.solver.add_clause([-guard, *(-node if value else node for node, value in known)])
