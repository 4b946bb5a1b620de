"""Answers checked again by what shares nothing with the engines but the model: another solver and other clauses.

A proof by induction leaves something behind that holds at the start, goes on to hold in every step, and rules out what
must not happen; whoever has it in hand needs no search to see that the promise is kept. A way to break a promise has
states of which each follows from the one before. Both are asked here of CaDiCaL, over clauses made anew from the gates
(the engines ask Glucose over theirs).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any

from ...electrics.gates import INPUT
from .clauses import Step
from .cone import Cone
from .induction import Clause, Induction, Undecided
from .unrolling import Course

SECOND_SOLVER, VOLTS = "a second solver", "volts and amps"  # words of a proof for what checked it
MOST_COILS = 30  # of devices in the question; larger ones are not checked again


def is_small(cone: Cone) -> bool:
    """Whether a question is checked again."""
    devices = (device for device in cone.circuit.devices if device.tag in cone.tags)
    return sum(any(load.drives for load in device.loads) for device in devices) <= MOST_COILS


def never_holds(cone: Cone, bad: int, until: float) -> bool | None:
    """Whether a literal never holds, shown by induction on the whole cone and checked; None when the time was over."""
    induction = Induction(Step(cone, bad), until)
    try:
        if not induction.holds():
            return False
        return holds_by_itself(cone, bad, induction.invariant)
    except Undecided:
        return None
    finally:
        induction.close()


def holds_by_itself(cone: Cone, bad: int, invariant: Iterable[Clause]) -> bool:
    """Whether clauses over bits hold at the start and after every step from where they hold, and rule a literal out."""
    clauses = list(invariant)
    asked = _Asked(cone)
    try:
        if any(asked.can_start(_opposite(clause)) for clause in clauses):
            return False
        asked.state_before()
        for clause in clauses:
            asked.hold_before(clause)
        if asked.can_be(bad):
            return False
        asked.take_a_step()
        return not any(asked.can_follow(_opposite(clause)) for clause in clauses)
    finally:
        asked.solver.delete()


def can_be_gone(cone: Cone, course: Course) -> bool:
    """Whether a course starts where the model does, and each of its states follows from the one before."""
    asked = _Asked(cone)
    try:
        if not asked.can_start(course[0]):
            return False
        asked.take_a_step()
        return all(asked.can_follow(after, before) for before, after in pairwise(course))
    finally:
        asked.solver.delete()


def _opposite(clause: Clause) -> dict[str, bool]:
    """The state of some bits in which a clause does not hold."""
    return {name: not value for name, value in clause}


class _Asked:
    """One step of a model for a solver, its clauses made from the gates as they are needed."""

    def __init__(self, cone: Cone) -> None:
        from pysat.solvers import Cadical153

        self.model = cone.model
        self.solver: Any = Cadical153()
        self.bits = {bit.name: bit for bit in self.model.bits}
        self._after = {bit.now >> 1: bit for bit in self.model.bits}
        self._variables: dict[tuple[int, bool], int] = {(0, False): 1, (0, True): 1}  # of nodes, before and after
        self._count = 1
        self.solver.add_clause([-1])  # node 0 is false

    def _fresh(self) -> int:
        self._count += 1
        return self._count

    def literal(self, literal: int, *, after: bool = False) -> int:
        """Signed variable of a literal, before or after the step."""
        waiting = [(literal >> 1, after)]
        while waiting:
            node, later = waiting[-1]
            if (node, later) in self._variables:
                waiting.pop()
                continue
            needs = self._needs(node, later)
            missing = [one for one in needs if one not in self._variables]
            waiting += missing
            if not missing:
                self._variables[node, later] = self._made(node, later)
        variable = self._variables[literal >> 1, after]
        return -variable if literal & 1 else variable

    def _needs(self, node: int, later: bool) -> list[tuple[int, bool]]:
        gates = self.model.gates
        if later and node in self._after:
            return [(self._after[node].next >> 1, False)]
        if gates.left[node] == INPUT:
            return []
        return [(gates.left[node] >> 1, later), (gates.right[node] >> 1, later)]

    def _made(self, node: int, later: bool) -> int:
        gates = self.model.gates
        if later and node in self._after:
            bit = self._after[node]
            return self.literal(bit.next ^ (bit.now & 1))
        variable = self._fresh()
        if gates.left[node] != INPUT:
            a, b = (self.literal(side, after=later) for side in (gates.left[node], gates.right[node]))
            for clause in ([-variable, a], [-variable, b], [variable, -a, -b]):
                self.solver.add_clause(clause)
        return variable

    def _state(self, state: Mapping[str, bool], *, after: bool = False) -> list[int]:
        """Some bits standing so."""
        return [self.literal(self.bits[name].now ^ (not value), after=after) for name, value in state.items()]

    # ---- what is asked
    def can_start(self, state: Mapping[str, bool]) -> bool:
        """Whether some bits can stand so at the start."""
        fixed = {bit.name: bit.start for bit in self.model.bits if bit.start is not None}
        always = [self.literal(one) for one in self.model.always]
        return bool(self.solver.solve([*self._state(fixed), *always, *self._state(state)]))

    def state_before(self) -> None:
        """From now on everything holds in the state before the step that is assumed of states."""
        for one in self.model.always:
            self.solver.add_clause([self.literal(one)])

    def hold_before(self, clause: Clause) -> None:
        """From now on a clause over bits holds in the state before the step."""
        self.solver.add_clause([self.literal(self.bits[name].now ^ (not value)) for name, value in clause])

    def can_be(self, literal: int) -> bool:
        """Whether a literal can hold in the state before the step."""
        return bool(self.solver.solve([self.literal(literal)]))

    def take_a_step(self) -> None:
        """From now on everything holds that is assumed of steps, and of the states before and after them."""
        self.state_before()
        for one in self.model.steps:
            self.solver.add_clause([self.literal(one)])
        for one in self.model.always:
            self.solver.add_clause([self.literal(one, after=True)])

    def can_follow(self, after: Mapping[str, bool], before: Mapping[str, bool] | None = None) -> bool:
        """Whether a step can lead, from some state or this one, to where some bits stand so."""
        return bool(self.solver.solve([*self._state(before or {}), *self._state(after, after=True)]))
