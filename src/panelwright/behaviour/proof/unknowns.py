"""What surely stays as it is while nothing is touched, in whatever order the rest moves.

Every bit is true, false or unknown. What a step may change becomes unknown, until nothing more does; what is still
known then never changes (E. Eichelberger, Hazard detection in combinational and sequential switching circuits, 1965,
procedure A; from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
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
        self.cone = cone
        self.wants = [cone.without_time(arm.want) for arm in cone.arms]
        self.gates = cone.model.gates
        self.names = {literal >> 1: name for name, literal in self.gates.inputs.items()}
        self.twice = GateBuilder()
        self.may: dict[int, int] = {FALSE: FALSE, TRUE: TRUE}  # literal of the model to "may be true" here
        for node in range(1, len(self.gates.left)):
            self._add(node)
        self.all = Gates.of(self.twice)
        self.rows = {name: row for row, name in enumerate(self.all.inputs)}
        self.owner = {bit.name: bit.tag or owner_of(f"!{bit.name}", cone.tags) for bit in cone.model.bits}
        self.places = [(bit.name, bit.now) for bit in cone.model.bits]

    def _add(self, node: int) -> None:
        g, may = self.twice, self.may
        left, right = self.gates.left[node], self.gates.right[node]
        if left == INPUT:
            name = self.names[node]
            may[2 * node], may[2 * node + 1] = g.input(f"{name} true"), g.input(f"{name} false")
        else:
            may[2 * node] = g.and_(may[left], may[right])
            may[2 * node + 1] = g.or_(may[left ^ 1], may[right ^ 1])

    def spread(self, state: dict[str, bool], unknown: Collection[str]) -> Spread:
        """From a state, of which some bits are not known: what may move before all comes to rest, if it does."""
        tags: set[str] = set()
        while True:
            spread = Spread(self, state, unknown, tags)
            fresh = {arm.tag for arm in spread.moving} - tags
            if not fresh:
                return spread
            tags |= fresh


class Spread:
    """Which literals are known while some devices may stand anywhere. `moving`: the arms that may move."""

    def __init__(self, of: Unknowns, state: dict[str, bool], unknown: Collection[str], tags: Collection[str]) -> None:
        import numpy as np

        self.of = of
        inputs = np.zeros((len(of.all.inputs), 1), np.uint64)
        for name, now in of.places:
            value = state[name] ^ bool(now & 1)
            is_open = name in unknown or of.owner[name] in tags
            plain = of.names[now >> 1]
            for word, may in (("true", value), ("false", not value)):
                if is_open or may:
                    inputs[of.rows[f"{plain} {word}"]] = 1
        for name in of.gates.inputs:
            if name.startswith("?"):
                inputs[of.rows[f"{name} false"]] = 1
                if name.startswith(("?half fed", "?both")):
                    inputs[of.rows[f"{name} true"]] = 1
        literals = sorted(of.may)
        found = of.all.words(inputs, [of.may[literal] for literal in literals])[:, 0] & np.uint64(1)
        self.may = dict(zip(literals, found.astype(bool).tolist(), strict=True))
        self.moving = [arm for arm, want in zip(of.cone.arms, of.wants, strict=True) if self._moves(arm, want)]

    def _moves(self, arm: Arm, want: int) -> bool:
        operated, rest = self.of.cone.places(arm)
        may = self.may
        return any((may[want] and may[operated ^ 1], may[want ^ 1] and may[rest ^ 1], may[arm.doubtful]))

    def is_known(self, literal: int) -> bool:
        """Whether it keeps its value."""
        return not (self.may[literal] and self.may[literal ^ 1])

    def hang_on(self, arm: Arm) -> Iterator[str]:
        """The inputs of the model, not known, that have a say in what an arm is driven to."""
        gates = self.of.gates
        waiting = [self.of.wants[self.of.cone.arms.index(arm)], arm.doubtful]
        seen: set[int] = set()
        while waiting:
            node = waiting.pop() >> 1
            if node in seen or self.is_known(2 * node):
                continue
            seen.add(node)
            if gates.left[node] == INPUT:
                yield self.of.names[node]
            else:
                waiting += (gates.left[node], gates.right[node])
