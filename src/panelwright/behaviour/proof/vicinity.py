"""A small model cut out of a large one: some devices are followed, all that hangs on others alone is as it likes."""

from __future__ import annotations

from collections.abc import Collection, Container, Iterable

from ...electrics.gates import INPUT, GateBuilder
from .cone import Cone
from .model import Bit, Model
from .panel import tag_of_input

MANY = 8  # drives in which a device has a say, to be one that is met everywhere


def conjuncts(gates: GateBuilder, literal: int) -> list[int]:
    """The literals that hold together exactly when a literal does, as far as it is made of plain "and"."""
    found: dict[int, None] = {}
    seen: set[int] = set()
    waiting = [literal]
    while waiting:
        here = waiting.pop()
        if here in seen:
            continue
        seen.add(here)
        if not here & 1 and here and gates.left[here >> 1] != INPUT:
            waiting += (gates.left[here >> 1], gates.right[here >> 1])
        else:
            found[here] = None
    return list(found)


def owner_of(name: str, tags: Container[str]) -> str:
    """The device that a choice ("?move K1:timed") or a memory ("!K1 aged") belongs to, among some; "" for none."""
    words = [tag_of_input(word) for word in name[1:].split()] if name.startswith(("?", "!")) else []
    return next((word for word in words if word in tags), "")


class Vicinity:
    """Cuts models out of one cone. What devices have a say in each node is worked out once, as a mask with a bit each.

    Bit 0 stands for what belongs to no device: bits that a promise remembers by.
    """

    def __init__(self, cone: Cone) -> None:
        self.cone = cone
        self.gates = cone.model.gates
        self.bit_of = {bit.now >> 1: bit for bit in cone.model.bits}
        self._place = {tag: 1 << at for at, tag in enumerate(sorted(cone.tags), 1)}
        self.masks = self._say()
        self._common = self._shared()
        self._leaves: dict[int, list[int]] = {}

    def _say(self) -> list[int]:
        """By node: the devices that have a say in it."""
        left, right = self.gates.left, self.gates.right
        masks = [0] * len(left)
        for name, literal in self.gates.inputs.items():
            masks[literal >> 1] = self._place.get(owner_of(name, self._place), 0)
        for node, bit in self.bit_of.items():
            masks[node] = self._place.get(bit.tag) or masks[node] or 1
        for node in range(1, len(left)):
            if left[node] != INPUT:
                masks[node] = masks[left[node] >> 1] | masks[right[node] >> 1]
        return masks

    def _shared(self) -> int:
        """The supplies, stops and the like that have a say in many devices' drives."""
        counts: dict[str, int] = {}
        for tag in self.cone.tags:
            for other in self.cone.panel.drivers(tag):
                counts[other] = counts.get(other, 0) + 1
        return sum(self._place[tag] for tag, count in counts.items() if count > MANY and tag in self._place)

    def tags_in(self, literal: int) -> set[str]:
        """The devices that have a say in a literal."""
        mask = self.masks[literal >> 1]
        return {tag for tag, place in self._place.items() if mask & place}

    def model(self, bad: Iterable[int], followed: Collection[str]) -> tuple[Model, int]:
        """The model with these devices followed, and the literal in it of all that is asked together."""
        mask = 1 | sum(self._place[tag] for tag in followed)
        cut = _Cut(self, mask, mask & ~self._common)
        wanted = cut.model.gates.all_of([cut.of(one) for one in bad if cut.is_near(one >> 1)])
        for one in self.cone.model.always:
            says = self.masks[one >> 1]
            if not says & ~mask:
                cut.model.always.append(cut.of(one))
            elif cut.is_near(one >> 1):
                cut.model.steps.append(cut.of(one))  # of the state before only: where the others go is not known
        cut.model.steps += [cut.of(one) for one in self.cone.model.steps if cut.is_near(one >> 1)]
        return cut.model, wanted

    def leaves(self, node: int) -> list[int]:
        """The conjuncts of a gate."""
        if node not in self._leaves:
            self._leaves[node] = conjuncts(self.gates, 2 * node)
        return self._leaves[node]


class _Cut:
    """One model in the making: gates are copied as they are asked for, bits with what they become."""

    def __init__(self, vicinity: Vicinity, mask: int, own: int) -> None:
        """`mask`: what is followed; `own`: without what has a say nearly everywhere."""
        self.vicinity, self.mask, self.own = vicinity, mask, own
        self._masks = vicinity.masks
        self.model = Model(GateBuilder())
        self._image: dict[int, int] = {0: 0}
        self._owed: list[Bit] = []

    def is_near(self, node: int) -> bool:
        """Whether a gate is copied: followed devices of this place have a say in it, or none but followed ones."""
        says = self._masks[node]
        return bool(says & self.own) or not says & ~self.mask

    def of(self, literal: int) -> int:
        """A literal of the whole, in this model."""
        found = self._copy(literal)
        while self._owed:
            bit = self._owed.pop()
            self.model.bits.append(Bit(bit.name, self._copy(bit.now), self._copy(bit.next), bit.start, bit.tag))
        return found

    def _copy(self, literal: int) -> int:
        waiting = [literal >> 1]
        while waiting:
            node = waiting[-1]
            if node in self._image:
                waiting.pop()
                continue
            parts = self._parts(node)
            missing = [part >> 1 for part in parts if part >> 1 not in self._image]
            if missing:
                waiting += missing
            else:
                self._image[node] = self._made(node, parts)
        return self._image[literal >> 1] ^ (literal & 1)

    def _parts(self, node: int) -> list[int]:
        """The conjuncts of a gate in which something that is followed has a say."""
        vicinity = self.vicinity
        if vicinity.gates.left[node] == INPUT or not self.is_near(node):
            return []
        return [one for one in vicinity.leaves(node) if self.is_near(one >> 1)]

    def _made(self, node: int, parts: list[int]) -> int:
        gates, bit = self.model.gates, self.vicinity.bit_of.get(node)
        free = gates.input(f"?{node}") if not parts or len(parts) < len(self.vicinity.leaves(node)) else 1
        if bit is not None and self._masks[node] & self.mask:
            self._owed.append(bit)
        return gates.all_of([free, *(self._image[part >> 1] ^ (part & 1) for part in parts)])
