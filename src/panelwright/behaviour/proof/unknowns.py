"""What surely stays as it is while nothing is touched, in whatever order the rest moves.

Every bit is true, false or unknown. What a step may change becomes unknown, until nothing more does; what is still
known then never changes (E. Eichelberger, Hazard detection in combinational and sequential switching circuits, 1965,
procedure A; from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from ...electrics.gates import FALSE, INPUT, TRUE, GateBuilder, Gates
from .race_model import Arm, RaceCone
from .vicinity import owner_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]


class Unknowns:
    """The gates of a model twice: whether each may be true, and whether it may be false."""

    def __init__(self, cone: RaceCone) -> None:
        import numpy as np

        self.cone = cone
        self.wants = {arm: cone.without_time(arm.want) for arm in cone.arms}
        self.gates = cone.model.gates
        self.names = {literal >> 1: name for name, literal in self.gates.inputs.items()}
        self._twice = GateBuilder()
        self._may: list[int] = [FALSE, TRUE]  # by literal of the model: literal here of "may be true"
        for node in range(1, len(self.gates.left)):
            self._may += self._both(node)
        self._all = Gates.of(self._twice)
        self.owner = {bit.name: bit.tag or owner_of(f"!{bit.name}", cone.tags) for bit in cone.model.bits}
        row = {name: at for at, name in enumerate(self._all.inputs)}
        plain = [(self.names[bit.now >> 1], bit.now & 1) for bit in cone.model.bits]
        words = ("true", "false")
        self._rows = np.array([[row[f"{name} {words[way ^ down]}"] for way in (0, 1)] for name, down in plain])
        self._free = [row[f"{name} false"] for name in self.gates.inputs if name.startswith("?")]
        self._free += [row[f"{name} true"] for name in self.gates.inputs if name.startswith(("?half fed", "?both"))]
        owners = np.array([self.owner[bit.name] for bit in cone.model.bits])
        self._own = {tag: owners == tag for tag in {arm.tag for arm in cone.arms}}
        self._asked = [literal for arm in cone.arms for literal in self._signs(arm)]

    def _both(self, node: int) -> tuple[int, int]:
        """Literals "may be true" and "may be false" of a node, all before it being there."""
        g, may = self._twice, self._may
        left, right = self.gates.left[node], self.gates.right[node]
        if left == INPUT:
            name = self.names[node]
            return g.input(f"{name} true"), g.input(f"{name} false")
        return g.and_(may[left], may[right]), g.or_(may[left ^ 1], may[right ^ 1])

    def _signs(self, arm: Arm) -> tuple[int, ...]:
        """The literals by which an arm is seen to move: sent in and not in, sent out and not at rest, half fed."""
        operated, rest = self.cone.places(arm)
        want = self.wants[arm]
        return want, operated ^ 1, want ^ 1, rest ^ 1, arm.doubtful

    def values(self, state: Flags, is_open: Flags, wanted: Sequence[int]) -> Flags:
        """Whether each literal may be true, in a state of which some bits are open."""
        import numpy as np

        inputs = np.zeros((len(self._all.inputs), 1), np.uint64)
        inputs[self._rows[:, 0], 0] = state | is_open
        inputs[self._rows[:, 1], 0] = ~state | is_open
        inputs[self._free] = 1
        found: Flags = (self._all.words(inputs, [self._may[one] for one in wanted])[:, 0] & np.uint64(1)).astype(bool)
        return found

    def spread(self, state: Flags, unknown: Collection[str]) -> Spread:
        """From a state, of which some bits are not known: what may move before all comes to rest, if it does."""
        import numpy as np

        is_open = np.array([bit.name in unknown for bit in self.cone.model.bits])
        while True:
            want, not_in, drop, not_at_rest, doubt = self.values(state, is_open, self._asked).reshape(-1, 5).T
            moves = (want & not_in) | (drop & not_at_rest) | doubt
            moving = [arm for arm, goes in zip(self.cone.arms, moves.tolist(), strict=True) if goes]
            wider = np.logical_or.reduce([is_open, *(self._own[arm.tag] for arm in moving)])
            if (wider == is_open).all():
                return Spread(self, state, is_open, moving)
            is_open = wider


class Spread:
    """Which literals are known while some devices may stand anywhere. `moving`: the arms that may move."""

    def __init__(self, of: Unknowns, state: Flags, is_open: Flags, moving: list[Arm]) -> None:
        self.of, self.moving = of, moving
        self._state, self._open = state, is_open

    @cached_property
    def _may(self) -> Flags:
        return self.of.values(self._state, self._open, range(2 * len(self.of.gates.left)))

    def is_known(self, node: int) -> bool:
        """Whether a node keeps its value."""
        return not (self._may[2 * node] and self._may[2 * node + 1])

    def hang_on(self, arm: Arm) -> Iterator[str]:
        """The inputs of the model, not known, that have a say in what an arm is driven to."""
        gates = self.of.gates
        waiting = [self.of.wants[arm], arm.doubtful]
        seen: set[int] = set()
        while waiting:
            node = waiting.pop() >> 1
            if node in seen or self.is_known(node):
                continue
            seen.add(node)
            if gates.left[node] == INPUT:
                yield self.of.names[node]
            else:
                waiting += (gates.left[node], gates.right[node])
