"""And-inverter graphs: what holds for which contacts, as a list of gates that anything can walk.

A *literal* is 2 x node, plus 1 when negated; node 0 is constant false, so FALSE is 0 and TRUE is 1. Gates are kept
in an order in which every gate comes after its two inputs, equal gates once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

FALSE, TRUE = 0, 1
INPUT = -1  # in `left` and `right`: the node is an input, not a gate


class GateBuilder:
    """Gates while they are put together; constants fold and equal gates are shared."""

    def __init__(self) -> None:
        self.left: list[int] = [INPUT]
        self.right: list[int] = [INPUT]
        self.inputs: dict[str, int] = {}  # name to literal
        self._known: dict[tuple[int, int], int] = {}

    @classmethod
    def on_top_of(cls, gates: Gates) -> GateBuilder:
        """A builder that goes on from finished gates; their literals stay what they are."""
        builder = cls()
        builder.left, builder.right = list(gates.left), list(gates.right)
        builder.inputs = {name: 2 * node for name, node in zip(gates.inputs, gates.input_nodes, strict=True)}
        builder._known = {(a, b): 2 * node for node, a, b in gates.walk()}
        return builder

    def input(self, name: str) -> int:
        """Literal of the input with this name; the same one each time."""
        literal = self.inputs.get(name)
        if literal is None:
            literal = self.inputs[name] = self._node(INPUT, INPUT)
        return literal

    def _node(self, left: int, right: int) -> int:
        self.left.append(left)
        self.right.append(right)
        return 2 * (len(self.left) - 1)

    def and_(self, a: int, b: int) -> int:
        """Literal of a and b."""
        if a > b:
            a, b = b, a
        if a == FALSE or a == b ^ 1:
            return FALSE
        if a in (TRUE, b):
            return b
        literal = self._known.get((a, b))
        if literal is None:
            literal = self._known[a, b] = self._node(a, b)
        return literal

    def or_(self, a: int, b: int) -> int:
        """Literal of a or b."""
        return self.and_(a ^ 1, b ^ 1) ^ 1

    def all_of(self, literals: Iterable[int]) -> int:
        """Literal of every one of them; TRUE for none."""
        found = TRUE
        for literal in literals:
            found = self.and_(found, literal)
        return found

    def any_of(self, literals: Iterable[int]) -> int:
        """Literal of at least one of them; FALSE for none."""
        found = FALSE
        for literal in literals:
            found = self.or_(found, literal)
        return found


@dataclass(frozen=True, eq=False)
class Gates:
    """A finished list of gates. `left` and `right`: literals by node, INPUT at inputs and at node 0.

    `inputs`: names in the order in which the evaluators take their rows; `input_nodes`: the node of each.
    """

    left: tuple[int, ...]
    right: tuple[int, ...]
    inputs: tuple[str, ...]
    input_nodes: tuple[int, ...]

    @classmethod
    def of(cls, builder: GateBuilder) -> Gates:
        """The gates put together so far."""
        nodes = tuple(literal >> 1 for literal in builder.inputs.values())
        return cls(tuple(builder.left), tuple(builder.right), tuple(builder.inputs), nodes)

    def __len__(self) -> int:
        """Number of gates, inputs not counted."""
        return len(self.left) - 1 - len(self.inputs)

    def walk(self, wanted: Iterable[int] | None = None) -> Iterator[tuple[int, int, int]]:
        """Gates as (node, left literal, right literal), inputs before users; only those that `wanted` depends on.

        For translation: `node` is true exactly when both literals are.
        """
        needed = None if wanted is None else self.cone(wanted)
        for node, (left, right) in enumerate(zip(self.left, self.right, strict=True)):
            if left != INPUT and (needed is None or node in needed):
                yield node, left, right

    def cone(self, wanted: Iterable[int]) -> set[int]:
        """Nodes that the literals depend on, inputs among them, constant excluded."""
        found: set[int] = set()
        waiting = [literal >> 1 for literal in wanted]
        while waiting:
            node = waiting.pop()
            if node and node not in found:
                found.add(node)
                if self.left[node] != INPUT:
                    waiting += (self.left[node] >> 1, self.right[node] >> 1)
        return found

    def inputs_of(self, wanted: Iterable[int]) -> tuple[str, ...]:
        """Names of the inputs that the literals depend on, in their order."""
        found = self.cone(wanted)
        return tuple(n for n, node in zip(self.inputs, self.input_nodes, strict=True) if node in found)

    def values(self, true: Mapping[str, bool] | Iterable[str], wanted: Sequence[int]) -> list[bool]:
        """Values of literals for one setting of the inputs: names with their value, or the names that are true."""
        held = {name for name, value in true.items() if value} if isinstance(true, Mapping) else set(true)
        value = [False] * len(self.left)
        for name, node in zip(self.inputs, self.input_nodes, strict=True):
            value[node] = name in held
        for node, (a, b) in enumerate(zip(self.left, self.right, strict=True)):
            if a != INPUT:
                value[node] = (value[a >> 1] != bool(a & 1)) and (value[b >> 1] != bool(b & 1))
        return [value[literal >> 1] != bool(literal & 1) for literal in wanted]

    def words(self, rows: Words, wanted: Sequence[int]) -> Words:
        """Values of literals for many settings at once, 64 in a word.

        `rows`: one row an input, in the order of `inputs`, shape (inputs, words). Returns (wanted, words).
        """
        from .gate_words import evaluate

        return evaluate(self, rows, wanted)
