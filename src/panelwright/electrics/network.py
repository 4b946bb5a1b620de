"""A circuit made ready to be solved in any contact position."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..circuit import Circuit
from .edits import Edit, UnknownPlace, apply_edits
from .elements import Elements, elements_of
from .positions import Position
from .settled import settle_currents
from .solution import Solution

if TYPE_CHECKING:
    from ..wiring import Wiring

KEPT_SOLUTIONS = 4096  # a run in time meets the same few positions again and again


class Network:
    """Compiled once from a wiring (or from an allotted circuit, then without wires); solved in any position.

    `elements`: what conducts, between numbered nodes. `wires`: the wires of every node as pairs of terminals.
    """

    def __init__(self, wiring: Wiring | Circuit) -> None:
        if isinstance(wiring, Circuit) and not wiring.allotted:
            from ..wiring import wire

            wiring = wire(wiring)
        self.circuit: Circuit = wiring if isinstance(wiring, Circuit) else wiring.circuit
        self.elements: Elements = elements_of(self.circuit)
        self.edits: tuple[Edit, ...] = ()
        self.wires = self._wires_by_node(() if isinstance(wiring, Circuit) else [w.ends for w in wiring.wires])
        self._base = self.elements
        self._kept: dict[Position, Solution] = {}

    def _wires_by_node(self, wires: Iterable[tuple[str, str]]) -> dict[int, tuple[tuple[str, str], ...]]:
        found: dict[int, list[tuple[str, str]]] = defaultdict(list)
        for start, end in wires:
            node = self.elements.node_of.get(start)
            if node is not None:
                found[node].append((start, end))
        return {node: tuple(ends) for node, ends in found.items()}

    def edited(self, edits: Iterable[Edit]) -> Network:
        """This network with further edits in place; itself unchanged. Raises UnknownPlace."""
        changed = object.__new__(Network)
        changed.circuit, changed.wires, changed._base = self.circuit, self.wires, self._base
        changed.edits = (*self.edits, *edits)
        changed.elements = apply_edits(self._base, changed.edits, self.wires)
        changed._kept = {}
        return changed

    def solve(self, position: Position) -> Solution:
        """Volts, amps and verdicts in one contact position. A dead short is an answer, not an exception."""
        solution = self._kept.get(position)
        if solution is None:
            if len(self._kept) >= KEPT_SOLUTIONS:
                self._kept.clear()
            settling = settle_currents(self.elements, position)
            solution = self._kept[position] = Solution(settling, self.circuit, self.wires)
        return solution

    def node(self, name: str) -> int:
        """Node of a terminal ("K1.13"), a point ("@4"), a rail or "earth". Raises UnknownPlace."""
        node = self.elements.node_of.get(name)
        if node is None:
            raise UnknownPlace(name)
        return node
