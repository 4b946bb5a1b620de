"""All exclusions at once: which two devices are never away from rest together, for every two of a panel.

Every pair that no run has shown together is taken for true; those that one step can break are struck out, until what
is left holds by itself. What is left is true in every state, and often all that a larger question needs.
Most pairs hold because something plain follows from the others ("K7 picks up only with K6 in; K6 and K2 are apart"):
that is looked at first, in a compiled loop, and a solver is asked only about the pairs that it leaves in doubt.
Source of the idea: C. Flanagan, K. R. M. Leino, Houdini, an annotation assistant for ESC/Java (2001), from memory.
"""

from __future__ import annotations

import hashlib
import time
from functools import cached_property
from itertools import count
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from .clauses import Step
from .panel import Panel
from .runs import Novelty, Runs, Sides

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]

MOST_SIDES = 2000  # literals of which every two are looked at
STEPS_WITHOUT_NEWS = 40  # of runs, after which no more are looked at

_known: WeakKeyDictionary[Panel, dict[bytes, Flags]] = WeakKeyDictionary()  # pairs not struck out, by what was asked
_settled: WeakKeyDictionary[Panel, set[bytes]] = WeakKeyDictionary()  # of those: what is left holds by itself


class Exclusions:
    """Pairs of sides of a step that never hold together.

    What is worked out is kept with the panel, so that the next question about the same devices finds it.
    """

    def __init__(self, step: Step) -> None:
        self.step = step
        self.of = Sides(step)
        self.sides, self.after = self.of.now, self.of.after

    def exclude(self, until: float) -> bool:
        """Whether the pairs that hold by themselves leave no state in which what is asked of the step holds."""
        return self.can_be_asked and self._settled(until) and self._is_enough(self.apart)

    @property
    def can_be_asked(self) -> bool:
        """Whether there are sides, and not too many."""
        return 2 <= len(self.sides) <= MOST_SIDES

    @property
    def is_asked(self) -> bool:
        """Whether what is asked of the step is about such pairs and nothing else."""
        return self.can_be_asked and self._names_pairs(self.of.of_different_devices)

    @property
    def is_struck_out(self) -> bool:
        """Whether what is asked about is struck out; only after `exclude`."""
        return self.is_asked and not self._names_pairs(self.apart)

    @property
    def apart(self) -> Flags:
        """By two sides: not struck out so far."""
        return _known[self.step.cone.panel][self._name]

    def _settled(self, until: float) -> bool:
        """Whether the pairs that are left hold by themselves; False where the time is over before that is known."""
        known, settled = _known.setdefault(self.step.cone.panel, {}), _settled.setdefault(self.step.cone.panel, set())
        if self._name not in known:
            known[self._name] = self._never_seen(until)
        while self._name not in settled and time.monotonic() < until:
            if self.is_struck_out:
                return False
            struck, finished = self._broken_by_a_step(until)
            known[self._name] = self.apart & ~struck
            if finished and not struck.any():
                settled.add(self._name)
        return self._name in settled

    @cached_property
    def _arrays(self) -> tuple[Any, ...]:
        """Gates as (left, right), then literals: the sides, the same after the step, and what holds in the step."""
        import numpy as np

        gates = self.step.gates
        literals = (self.sides, self.after, self.step.demands)
        return np.array(gates.left), np.array(gates.right), *(np.array(of, np.int64) for of in literals)

    @cached_property
    def _name(self) -> bytes:
        """Equal for two steps exactly when the same is asked about their pairs."""
        import numpy as np

        from .run_loop import gates_below

        left, right, sides, after, demands = self._arrays
        gates = gates_below(left, right, np.concatenate((after, demands)))
        parts = (sides, after, demands, gates, left[gates], right[gates])
        lengths = np.array([len(part) for part in parts])
        return hashlib.sha256(np.concatenate((lengths, *parts)).tobytes()).digest()

    def _never_seen(self, until: float) -> Flags:
        """Every two sides of different devices that no run has shown together."""
        quiet, runs, novelty = 0, Runs(self.step), Novelty(self.of)
        for words in runs.values(self.sides, until):
            lanes = novelty.lanes(words)
            runs.favour(lanes)
            quiet = 0 if lanes.any() else quiet + 1
            if quiet > STEPS_WITHOUT_NEWS:
                break
        return novelty.apart

    def _doubtful(self, apart: Flags) -> Flags:
        """The pairs that may be brought together by the step in which the first of them picks up."""
        import numpy as np

        from .pair_loop import doubtful, users_of

        left, right, sides, after, demands = self._arrays
        first, users = users_of(left, right, np.concatenate((after, demands)))
        found: Flags = doubtful(left, right, first, users, self._side_of, sides, after, demands, apart)
        return found

    @cached_property
    def _side_of(self) -> Any:
        """By node: its place among the sides, or -1."""
        import numpy as np

        left, _, sides, *_ = self._arrays
        side_of = np.full(len(left), -1)
        side_of[sides >> 1] = np.arange(len(sides))
        return side_of

    def _broken_by_a_step(self, until: float) -> tuple[Flags, bool]:
        """The pairs that one step brings together, and whether all are among them; not where the time is over."""
        import numpy as np

        apart = self.apart
        struck, doubts = np.zeros_like(apart), self._doubtful(apart)
        if not doubts.any():
            return struck, True
        step, solver = self.step, self._solver(apart, [*self.after, *self.step.demands])
        solver.append_formula([[one] for one in (*step.assumed, *step.assumed_after)])
        now, after = ([step.variable(one) for one in of] for of in (self.sides, self.after))
        fresh = count(step.true + 1)
        try:
            for one in np.flatnonzero(doubts.any(axis=1)).tolist():
                while (others := np.flatnonzero(doubts[one] & ~struck[one])).size:
                    guard = next(fresh)
                    solver.add_clause([-guard, *(after[other] for other in others.tolist())])
                    if not solver.solve([guard, -now[one], after[one]]):
                        break
                    model = solver.get_model()
                    held = np.array([model[abs(v) - 1] == v for v in after])
                    struck |= apart & held[:, None] & held[None, :]
                    if time.monotonic() > until:
                        return struck, False
        finally:
            solver.delete()
        return struck, True

    def _solver(self, apart: Flags, literals: list[int]) -> Any:
        """The gates on which some literals depend, in a state in which the pairs are apart."""
        import numpy as np
        from pysat.solvers import Glucose4

        step = self.step
        solver = Glucose4(bootstrap_with=step.clauses_below(literals))
        away = np.array([step.variable(one) for one in self.sides])
        solver.append_formula((-away[np.argwhere(np.triu(apart))]).tolist())
        return solver

    def _is_enough(self, apart: Flags) -> bool:
        """Whether what is asked of the step cannot hold in a state with the pairs apart, though no step may follow."""
        if self._names_pairs(apart):
            return True
        solver = self._solver(apart, [self.step.bad, *self.step.always])
        try:
            return not solver.solve([self.step.variable(one) for one in (self.step.bad, *self.step.always)])
        finally:
            solver.delete()

    def _names_pairs(self, apart: Flags) -> bool:
        """Whether each way in which what is asked of the step holds needs two sides that are apart."""
        from .pair_loop import each_names_a_pair

        left, right, sides, *_ = self._arrays
        return bool(each_names_a_pair(left, right, self.step.bad, self._side_of, sides, apart))
