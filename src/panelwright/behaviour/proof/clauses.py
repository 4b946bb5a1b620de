"""One step of a model as clauses for a SAT solver."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property

from ...electrics.gates import FALSE, INPUT, TRUE
from .assuming import next_literal
from .cone import Cone
from .model import Bit

Clause = list[int]


class Step:
    """The gates that matter to some literals, with the bits that matter to those, as clauses.

    A variable is the place of a node among `nodes`, counted from 1; `true` stands for the constant. Every question is
    about one step: the state before it by the bits' `now`, the state after it by the bits' `next`.
    """

    def __init__(self, cone: Cone, bad: int, keep: Sequence[int] = (), followed: Collection[str] | None = None) -> None:
        """`keep`: further literals whose bits and gates are kept.

        `followed`: devices whose movement is followed, all by default. Others stand anywhere in every state, so that
        there are more courses than the panel has: what cannot happen then cannot happen at all.
        """
        self.cone = cone
        self.model = cone.model
        self.gates = cone.model.gates
        self.bad = bad
        self.followed = [bit for bit in self.model.bits if followed is None or not bit.tag or bit.tag in followed]
        self.always = [one for one in self.model.always if one != TRUE]
        self.steps = [one for one in self.model.steps if one != TRUE]
        told = self.always
        self._told_apart: bytearray | None = None  # by node: whether it is followed; all are
        if followed is not None:
            self._told_apart = self._nodes_followed()
            told = [one for one in self.always if self._is_state_followed(one)]
        self.after = [next_literal(cone, one) for one in told]
        self.bits, self.nodes = self._matter(keep)
        self._number = {node: at for at, node in enumerate(self.nodes, 1)}
        self.true = len(self.nodes) + 1

    def _nodes_followed(self) -> bytearray:
        """By node: 1 where something that is followed has a say in it; the others are as free as an input."""
        left, right = self.gates.left, self.gates.right
        told = bytearray(len(left))
        for node in self._below(bit.next for bit in self.followed if bit.tag):
            told[node] = left[node] == INPUT
        for bit in self.model.bits:
            told[bit.now >> 1] = False
        for bit in self.followed:
            told[bit.now >> 1] = True
        for node in range(1, len(left)):
            if left[node] != INPUT:
                told[node] = told[left[node] >> 1] | told[right[node] >> 1]
        return told

    def _below(self, literals: Iterable[int]) -> set[int]:
        """The nodes that literals depend on, themselves included."""
        found: set[int] = set()
        waiting = [literal >> 1 for literal in literals]
        while waiting:
            node = waiting.pop()
            if node and node not in found:
                found.add(node)
                if self.gates.left[node] != INPUT:
                    waiting += (self.gates.left[node] >> 1, self.gates.right[node] >> 1)
        return found

    def _is_state_followed(self, literal: int) -> bool:
        """Whether a literal over the state speaks of nothing but bits that are followed."""
        followed = {bit.now >> 1 for bit in self.followed}
        return all(node in followed or self.gates.left[node] != INPUT for node in self._below([literal]))

    def _is_gate(self, node: int) -> bool:
        return self.gates.left[node] != INPUT and (self._told_apart is None or bool(self._told_apart[node]))

    def _matter(self, keep: Sequence[int]) -> tuple[tuple[Bit, ...], tuple[int, ...]]:
        """The bits and gates in the cone of influence of what is asked and what is assumed."""
        by_node = {bit.now >> 1: bit for bit in self.followed}
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
            elif self._is_gate(node):
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
        return [node for node in self.nodes if node not in taken and not self._is_gate(node)]

    @cached_property
    def gate_clauses(self) -> list[Clause]:
        """The gates alone."""
        clauses: list[Clause] = [[self.true]]
        for node in self.nodes:
            if self._is_gate(node):
                out = self._number[node]
                a, b = self.variable(self.gates.left[node]), self.variable(self.gates.right[node])
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
