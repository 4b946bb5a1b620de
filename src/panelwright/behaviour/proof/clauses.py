"""One step of a model as clauses for a SAT solver."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from ...electrics.gates import FALSE, INPUT, TRUE
from .assuming import put_in_place
from .cone import Cone
from .model import Bit, Model

Clause = list[int]


class Step:
    """The gates that matter to some literals, with the bits that matter to those, as clauses.

    A variable is the place of a node among `nodes`, counted from 1; `true` stands for the constant. Every question is
    about one step: the state before it by the bits' `now`, the state after it by the bits' `next`.
    """

    def __init__(self, cone: Cone, bad: int, keep: Sequence[int] = (), model: Model | None = None) -> None:
        """`keep`: further literals whose bits and gates are kept. `model`: another than the whole one of the cone."""
        self.cone = cone
        self.model = model or cone.model
        self.gates = self.model.gates
        self.bad = bad
        becomes = {bit.now >> 1: bit.next ^ (bit.now & 1) for bit in self.model.bits}
        self.always = [one for one in self.model.always if one != TRUE]
        self.after = [put_in_place(self.gates, one, becomes) for one in self.always]
        self.steps = [one for one in self.model.steps if one != TRUE]
        self.bits, self.nodes = self._matter(keep)
        self._number = {node: at for at, node in enumerate(self.nodes, 1)}
        self.true = len(self.nodes) + 1

    def _matter(self, keep: Sequence[int]) -> tuple[tuple[Bit, ...], tuple[int, ...]]:
        """The bits and gates in the cone of influence of what is asked and what is assumed."""
        by_node = {bit.now >> 1: bit for bit in self.model.bits}
        found: set[int] = set()
        bits: dict[int, Bit] = {}
        waiting = [literal >> 1 for literal in (self.bad, *keep, *self.always, *self.after, *self.steps)]
        while waiting:
            node = waiting.pop()
            if node in found or not node:
                continue
            found.add(node)
            if node in by_node:
                bits[node] = by_node[node]
                waiting.append(by_node[node].next >> 1)
            elif self.gates.left[node] != INPUT:
                waiting += (self.gates.left[node] >> 1, self.gates.right[node] >> 1)
        return tuple(bits[node] for node in sorted(bits)), tuple(sorted(found))

    def variable(self, literal: int) -> int:
        """Signed variable of a literal."""
        if literal in (FALSE, TRUE):
            return self.true if literal == TRUE else -self.true
        number = self._number[literal >> 1]
        return -number if literal & 1 else number

    @cached_property
    def choices(self) -> list[int]:
        """The nodes that are free in every step."""
        taken = {bit.now >> 1 for bit in self.bits}
        return [node for node in self.nodes if node not in taken and self.gates.left[node] == INPUT]

    @cached_property
    def gate_clauses(self) -> list[Clause]:
        """The gates alone."""
        return self._clauses(node for node in self.nodes if self.gates.left[node] != INPUT)

    def clauses_below(self, literals: Iterable[int]) -> list[Clause]:
        """The gates alone, only those on which some literals depend."""
        left, right = self.gates.left, self.gates.right
        found: set[int] = set()
        waiting = [literal >> 1 for literal in literals]
        while waiting:
            node = waiting.pop()
            if node not in found and left[node] != INPUT:
                found.add(node)
                waiting += (left[node] >> 1, right[node] >> 1)
        return self._clauses(sorted(found))

    def _clauses(self, gates: Iterable[int]) -> list[Clause]:
        left, right, number, variable = self.gates.left, self.gates.right, self._number, self.variable
        clauses: list[Clause] = [[self.true]]
        for node in gates:
            out, a, b = number[node], variable(left[node]), variable(right[node])
            clauses += ([-out, a], [-out, b], [out, -a, -b])
        return clauses

    @property
    def assumed(self) -> list[int]:
        """Variables that hold in the state before the step and in the step."""
        return [self.variable(one) for one in (*self.always, *self.steps)]

    @property
    def assumed_after(self) -> list[int]:
        """Variables that hold in the state after the step."""
        return [self.variable(one) for one in self.after]

    @property
    def demands(self) -> tuple[int, ...]:
        """Everything that is assumed about a step, as literals."""
        return (*self.always, *self.steps, *self.after)

    @cached_property
    def start(self) -> list[int]:
        """The first state, as signed variables."""
        return [self.variable(bit.now ^ (not bit.start)) for bit in self.bits if bit.start is not None]

    def shifted(self, clauses: Iterable[Sequence[int]], frame: int) -> Iterable[Clause]:
        """Clauses with their variables moved to a frame of an unrolling."""
        by = frame * self.true
        for clause in clauses:
            yield [v + by if v > 0 else v - by for v in clause]

    def at(self, variable: int, frame: int) -> int:
        """One variable in a frame."""
        by = frame * self.true
        return variable + by if variable > 0 else variable - by
