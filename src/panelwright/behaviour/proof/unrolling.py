"""The shortest way to a state, by unrolling the steps one after the other."""

from __future__ import annotations

import time
from typing import Any

from .clauses import Step

Course = list[dict[str, bool]]  # bits by name, state after state


class Unrolling:
    """A solver that holds 0, 1, 2 ... steps from the start; `reach` asks whether something can hold after that many."""

    def __init__(self, step: Step) -> None:
        from pysat.solvers import Cadical153

        self.step = step
        self.frames = -1
        self.solver: Any = Cadical153()
        self._add_frame()
        self.solver.append_formula([[literal] for literal in step.start])

    def _add_frame(self) -> None:
        self.frames += 1
        step, frame = self.step, self.frames
        self.solver.append_formula(list(step.shifted(step.gate_clauses, frame)))
        for literal in step.always:
            self.solver.add_clause([step.at(step.variable(literal), frame)])
        if frame:
            for literal in step.steps:
                self.solver.add_clause([step.at(step.variable(literal), frame - 1)])
            for bit in step.bits:
                now, before = step.at(bit.now >> 1, frame), step.at(step.variable(bit.next), frame - 1)
                self.solver.append_formula([[-now, before], [now, -before]])

    def reach(self, literal: int, steps: int) -> Course | None:
        """A course of exactly so many steps that ends where the literal holds."""
        while self.frames < steps:
            self._add_frame()
        if not self.solver.solve([self.step.at(self.step.variable(literal), steps)]):
            return None
        held = {v for v in self.solver.get_model() if v > 0}
        return [
            {bit.name: self.step.at(bit.now >> 1, frame) in held for bit in self.step.bits}
            for frame in range(steps + 1)
        ]

    def shortest(self, literal: int, most: int, until: float) -> tuple[Course | None, int]:
        """The shortest course within `most` steps and the time, and how many steps were searched in full."""
        for steps in range(most + 1):
            course = self.reach(literal, steps)
            if course is not None:
                return course, steps
            if time.monotonic() > until:
                return None, steps
        return None, most

    def close(self) -> None:
        """Let the solver go."""
        self.solver.delete()
