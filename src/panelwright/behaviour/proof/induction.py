"""Proof without a bound: frames of what can be reached, refined until one of them holds by itself.

Source of the method: A. Bradley, SAT-based model checking without unrolling (2011), and N. Een, A. Mishchenko,
R. Brayton, Efficient implementation of property directed reachability (2011); the code is our own.
"""

from __future__ import annotations

import heapq
import time
from itertools import count
from typing import Any

from .clauses import Step

Cube = frozenset[int]  # literals over the bits' variables that hold together
Clause = tuple[tuple[str, bool], ...]  # bits by name, of which at least one stands so


class Undecided(Exception):
    """The time was over; `frames`: no state with so many steps or fewer breaks it."""

    def __init__(self, frames: int) -> None:
        super().__init__(f"nothing within {frames} steps")
        self.frames = frames


class Induction:
    """One question: can `step.bad` ever hold?"""

    def __init__(self, step: Step, until: float) -> None:
        from pysat.solvers import Glucose4

        self.step, self.until = step, until
        self.solver: Any = Glucose4(bootstrap_with=step.gate_clauses)
        self.lifter: Any = Glucose4(bootstrap_with=step.gate_clauses)
        self.states: Any = Glucose4(bootstrap_with=step.gate_clauses)  # knows nothing of steps: a state may be the last
        for literal in step.always:
            self.states.add_clause([step.variable(literal)])
        for literal in (*step.assumed, *step.assumed_after):
            self.solver.add_clause([literal])
        self.fresh = count(step.true + 1)
        self.next_of = {step.variable(bit.now): step.variable(bit.next) for bit in step.bits}
        self.choices = [step.variable(2 * node) for node in step.choices]
        self.start = dict.fromkeys(step.start)
        self.frames: list[set[Cube]] = [set(), set()]
        self.guards: list[int] = [next(self.fresh), next(self.fresh)]
        self.bad = step.variable(step.bad)
        self.invariant: list[Clause] = []  # once it is known to hold: what holds by itself and rules it out

    # ---- questions to the solver
    def _within(self, level: int) -> list[int]:
        """Assumptions: a state that may be reached in so many steps."""
        if level == 0:
            return list(self.start)
        return self.guards[level:]

    def _primed(self, cube: Cube) -> list[int]:
        return [self.next_of[v] if v > 0 else -self.next_of[-v] for v in cube]

    def _is_start(self, cube: Cube) -> bool:
        """Whether a first state lies in the cube (bits without a start may be either)."""
        return not any(-literal in self.start for literal in cube)

    def _state_found(self, solver: Any) -> tuple[Cube, list[int]]:
        """The state and the choices of a solver's answer."""
        model = solver.get_model()  # signed variables in their order
        return frozenset(model[v - 1] for v in self.next_of), [model[v - 1] for v in self.choices]

    def _lifted(self, state: Cube, choices: list[int], wanted: list[int]) -> Cube:
        """The part of a state that, with these choices, is enough for everything wanted to hold."""
        guard = next(self.fresh)
        self.lifter.add_clause([-guard, *(-literal for literal in wanted)])
        ordered = sorted(state, key=abs)
        enough = not self.lifter.solve([guard, *choices, *ordered])
        core = set(self.lifter.get_core() or ()) if enough else set(ordered)
        self.lifter.add_clause([-guard])
        return frozenset(literal for literal in ordered if literal in core)

    # ---- the search
    def holds(self) -> bool:
        """True: it can never hold, False: it can. Raises Undecided."""
        if self.states.solve([*self.start, self.bad]):
            return False
        while True:
            level = len(self.frames) - 1
            while self.states.solve([*self._within(level), self.bad]):
                state, choices = self._state_found(self.states)
                always = [self.step.variable(one) for one in self.step.always]
                if not self._block(self._lifted(state, choices, [self.bad, *always]), level):
                    return False
            self._next_frame()
            if self._pushed():
                return True

    def _block(self, cube: Cube, level: int) -> bool:
        """Show that the cube cannot be reached in `level` steps; False when it can."""
        order = count()
        queue = [(level, next(order), cube)]
        while queue:
            if time.monotonic() > self.until:
                raise Undecided(max(0, len(self.frames) - 2))
            at, _, cube = heapq.heappop(queue)
            if at == 0 or self._is_start(cube):
                return False
            if self._is_blocked(cube, at):
                continue
            before = self._predecessor(cube, at)
            if before is None:
                general = self._generalised(cube, at)
                last = len(self.frames) - 1
                while at < last and self._predecessor(general, at + 1) is None:
                    at += 1
                self._add(general, at)
                if at < last:
                    heapq.heappush(queue, (at + 1, next(order), cube))
            else:
                heapq.heappush(queue, (at - 1, next(order), before))
                heapq.heappush(queue, (at, next(order), cube))
        return True

    def _is_blocked(self, cube: Cube, level: int) -> bool:
        return any(old <= cube for frame in self.frames[level:] for old in frame)

    def _predecessor(self, cube: Cube, level: int) -> Cube | None:
        """A state within `level` - 1 steps, outside the cube, from which a step leads into it."""
        guard = next(self.fresh)
        self.solver.add_clause([-guard, *(-literal for literal in cube)])
        primed = self._primed(cube)
        found = self.solver.solve([guard, *self._within(level - 1), *primed])
        if found:
            state, choices = self._state_found(self.solver)
            self.solver.add_clause([-guard])
            return self._lifted(state, choices, [*self.step.assumed, *self.step.assumed_after, *primed])
        core = set(self.solver.get_core() or ())
        self._core = frozenset(v for v, p in zip(cube, self._primed(cube), strict=True) if p in core)
        self.solver.add_clause([-guard])
        return None

    def _generalised(self, cube: Cube, level: int) -> Cube:
        """A smaller cube that cannot be reached either, still without a first state."""
        small = self._safe(self._core, cube)
        for literal in sorted(small, key=abs):
            less = small - {literal}
            if len(small) > 1 and not self._is_start(less) and self._predecessor(less, level) is None:
                small = self._safe(self._core, less)
        return small

    def _safe(self, core: Cube, cube: Cube) -> Cube:
        """The core, with one literal more if a first state lay in it."""
        if core and not self._is_start(core):
            return core
        apart = next((literal for literal in cube if -literal in self.start), None)
        return core | {apart} if apart is not None else cube

    def _add(self, cube: Cube, level: int) -> None:
        for frame in self.frames[1 : level + 1]:
            frame.difference_update([old for old in frame if cube <= old])
        self.frames[level].add(cube)
        for solver in (self.solver, self.states):
            solver.add_clause([-self.guards[level], *(-literal for literal in cube)])

    def _next_frame(self) -> None:
        self.frames.append(set())
        self.guards.append(next(self.fresh))

    def _pushed(self) -> bool:
        """Move what holds by itself outward; True when a frame has nothing left of its own."""
        for level in range(1, len(self.frames) - 1):
            for cube in list(self.frames[level]):
                if cube in self.frames[level] and not self.solver.solve([*self._within(level), *self._primed(cube)]):
                    self.frames[level].discard(cube)
                    self._add(cube, level + 1)
            if not self.frames[level]:
                self.invariant = [self._not_all(cube) for frame in self.frames[level + 1 :] for cube in frame]
                return True
        return False

    def _not_all(self, cube: Cube) -> Clause:
        """The clause that a cube does not hold."""
        names = {self.step.variable(bit.now): bit.name for bit in self.step.bits}
        return tuple((names[abs(literal)], literal < 0) for literal in sorted(cube, key=abs))

    def close(self) -> None:
        """Let the solvers go."""
        self.solver.delete()
        self.lifter.delete()
        self.states.delete()
