"""All exclusions at once: which two devices are never away from rest together, for every two of a panel.

Every pair that no run has shown together is taken for true; those that one step can break are struck out, until what
is left holds by itself. What is left is true in every state, and often all that a larger question needs.
Source of the idea: C. Flanagan, K. R. M. Leino, Houdini, an annotation assistant for ESC/Java (2001), from memory.
"""

from __future__ import annotations

import time
from itertools import combinations
from typing import TYPE_CHECKING, Any

from .clauses import Step
from .runs import Runs

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]

MOST_SIDES = 700  # literals of which every two are looked at
SEEN_S = 0.5  # of runs
STEPS_WITHOUT_NEWS = 40  # of runs, after which no more are looked at


class Exclusions:
    """Pairs of literals over the bits of a step that never hold together.

    A literal here says "away from rest": it is false in the first state.
    """

    def __init__(self, step: Step) -> None:
        self.step = step
        moving = [bit for bit in step.bits if bit.tag and not bit.input and bit.start is not None]
        self.sides = [bit.now ^ bool(bit.start) for bit in moving]
        self.after = [bit.next ^ bool(bit.start) for bit in moving]
        self.tags = [bit.tag for bit in moving]

    def exclude(self, until: float) -> bool:
        """Whether the pairs that hold by themselves leave no state in which what is asked of the step holds."""
        if not 2 <= len(self.sides) <= MOST_SIDES:
            return False
        apart = self._never_seen(until)
        while time.monotonic() < until:
            struck = self._broken_by_a_step(apart, until)
            if struck is None:
                return False
            if not struck.any():
                return self._is_enough(apart)
            apart &= ~struck
        return False

    def _never_seen(self, until: float) -> Flags:
        """Every two sides of different devices that no run has shown together."""
        import numpy as np

        apart = np.array([[one != other for other in self.tags] for one in self.tags])
        stop, quiet, left = min(until, time.monotonic() + SEEN_S), 0, apart.sum()
        for words in Runs(self.step).values(self.sides, stop):
            lanes = np.unpackbits(np.ascontiguousarray(words).view(np.uint8), axis=1).astype(np.float32)
            apart &= (lanes @ lanes.T) == 0
            quiet, left = (quiet + 1 if apart.sum() == left else 0), apart.sum()
            if quiet > STEPS_WITHOUT_NEWS:
                break
        return apart

    def _solver(self, apart: Flags) -> Any:
        """One step from a state in which the pairs are apart."""
        from pysat.solvers import Glucose4

        step = self.step
        solver = Glucose4(bootstrap_with=step.gate_clauses)
        solver.append_formula([[one] for one in step.assumed])
        away = [step.variable(one) for one in self.sides]
        solver.append_formula([[-away[a], -away[b]] for a, b in self._pairs(apart)])
        return solver

    @staticmethod
    def _pairs(apart: Flags) -> list[tuple[int, int]]:
        return [(a, b) for a, b in combinations(range(len(apart)), 2) if apart[a, b]]

    def _broken_by_a_step(self, apart: Flags, until: float) -> Flags | None:
        """The pairs that one step brings together; None when the time is over."""
        import numpy as np

        step, struck = self.step, np.zeros_like(apart)
        solver = self._solver(apart)
        solver.append_formula([[one] for one in step.assumed_after])
        after = [step.variable(one) for one in self.after]
        partners = [set(np.flatnonzero(row).tolist()) for row in apart]
        try:
            for a in range(len(after)):
                while partners[a]:
                    fresh = step.true + 1 + a * len(after) + len(partners[a])
                    solver.add_clause([-fresh, *(after[b] for b in partners[a])])
                    if not solver.solve([fresh, after[a]]):
                        break
                    if time.monotonic() > until:
                        return None
                    model = solver.get_model()
                    held = np.array([model[abs(v) - 1] == v for v in after])
                    struck |= apart & held[:, None] & held[None, :]
                    for one in np.flatnonzero(held).tolist():
                        partners[one] -= set(np.flatnonzero(held).tolist())
        finally:
            solver.delete()
        return struck

    def _is_enough(self, apart: Flags) -> bool:
        solver = self._solver(apart)
        try:
            return not solver.solve([self.step.variable(self.step.bad)])
        finally:
            solver.delete()
