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
        self.nodes = set(step.nodes)
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
                now, before = step.at(step.variable(bit.now), frame), step.at(step.variable(bit.next), frame - 1)
                self.solver.append_formula([[-now, before], [now, -before]])

    def reach(self, literal: int, steps: int) -> Course | None:
        """A course of exactly so many steps that ends where the literal holds."""
        while self.frames < steps:
            self._add_frame()
        wanted = [self.step.at(self.step.variable(literal), steps)]
        if not self.solver.solve(wanted):
            return None
        self.solver.solve(self._plainest(wanted, steps))
        held = {v for v in self.solver.get_model() if v > 0}
        return [
            {bit.name: self.step.at(self.step.variable(bit.now), frame) in held for bit in self.step.bits}
            for frame in range(steps + 1)
        ]

    def _plainest(self, wanted: list[int], steps: int) -> list[int]:
        """The wish, with as little done by hand as it allows: a story should not tell what does not matter."""
        waiting = [self._wishes(steps)]
        while waiting:  # a wish after the other, those that go together in one question
            wishes = waiting.pop()
            if self.solver.solve([*wanted, *wishes]):
                wanted = [*wanted, *wishes]
            elif len(wishes) > 1:
                half = len(wishes) // 2
                waiting += (wishes[half:], wishes[:half])
        return wanted

    def _wishes(self, steps: int) -> list[int]:
        """Nothing touched at the start, supplies on, no input changed in a step."""
        free = [bit for bit in self.step.bits if bit.start is None]
        plain = [bit.name.endswith(":rest") or bit.name.startswith("supply:") for bit in free]
        start = [self.step.variable(bit.now ^ (not at_rest)) for bit, at_rest in zip(free, plain, strict=True)]
        inputs = self.step.gates.inputs.items()
        by_hand = [lit for name, lit in inputs if name.startswith(("?change", "?up", "?down"))]
        still = [self.step.variable(lit ^ 1) for lit in by_hand if lit >> 1 in self.nodes]
        return [*start, *(self.step.at(one, frame) for frame in range(steps) for one in still)]

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
