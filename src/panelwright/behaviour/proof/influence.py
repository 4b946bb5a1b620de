"""Who may drive whom, and which way: a first look that clears most devices of a race.

After one thing has changed, a device is driven in by what helps it and out by what hinders it, over any detour. Where
all detours from that change to a device help, or all hinder, its drive changes once at most, and nothing diverts it.
Source of the idea: monotone systems, as in R. Thomas on feedback circuits in Boolean networks (from memory).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ...electrics.gates import FALSE, INPUT, TRUE
from .assuming import put_in_place
from .race_model import Arm, RaceCone

Way = tuple[str, int]  # a bit ("K1", "K1:timed", "supply:G1", "SA1=HAND"), and +1 for becoming true, -1 for false
REST = ":rest"


def may_be_diverted(cone: RaceCone) -> list[Arm]:
    """The arms that some change could drive one way and then the other; no others can be diverted on their way."""
    graph = _Influence(cone)
    doubtful: set[str] = set()
    always = graph.reached([(arm.name, sign) for arm in cone.arms if graph.goes_as_it_likes(arm) for sign in (1, -1)])
    for sources in graph.changes():
        reached = graph.reached(sources) | always
        doubtful |= {name for name, sign in reached if sign > 0 and (name, -1) in reached}
        if doubtful >= graph.names:
            break
    return [arm for arm in cone.arms if arm.name in doubtful and arm.arm != ":timed"]


class _Influence:
    def __init__(self, cone: RaceCone) -> None:
        self.cone, self.gates = cone, cone.model.gates
        self.names = {arm.name for arm in cone.arms}
        self._name_of = {literal >> 1: name for name, literal in self.gates.inputs.items()}
        self._next_of = {bit.now >> 1: bit.next for bit in cone.model.bits}
        self.next: dict[Way, set[Way]] = defaultdict(set)
        for arm in cone.arms:
            self._add(arm)

    def _add(self, arm: Arm) -> None:
        for name, sign in self._polarities([self.cone.without_time(arm.want), arm.doubtful]):
            for way in (1, -1):
                if sign:
                    self.next[name, way].add((arm.name, way * sign))
                else:
                    self.next[name, way] |= {(arm.name, 1), (arm.name, -1)}

    def _polarities(self, literals: Iterable[int]) -> set[tuple[str, int]]:
        """The bits on which literals depend, and which way; 0 for either, through what a device remembers."""
        found: set[tuple[str, int]] = set()
        seen: set[tuple[int, bool]] = set()
        waiting = [(literal, True) for literal in literals]
        while waiting:
            here, plain = waiting.pop()
            node, negated = here >> 1, here & 1
            if node == 0 or (here, plain) in seen:
                continue
            seen.add((here, plain))
            if self.gates.left[node] != INPUT:
                waiting += ((one ^ negated, plain) for one in (self.gates.left[node], self.gates.right[node]))
                continue
            name = self._name_of[node]
            if name.startswith("!") and name[1:] not in self.names:
                waiting.append((self.cone.without_time(self._next_of.get(node, FALSE)), False))
            elif not name.startswith("?"):
                sign = (-1 if negated else 1) * (-1 if name.endswith(REST) else 1)
                found.add((name.removeprefix("!").removesuffix(REST), sign if plain else 0))
        return found

    def goes_as_it_likes(self, arm: Arm) -> bool:
        """Whether it may move with nothing changed: half fed, or by a time that is no event of its own."""
        return arm.doubtful != FALSE or self.cone.circuit.by_tag[arm.tag].mechanism.sort == "star-delta"

    def changes(self) -> Iterable[list[Way]]:
        """What can begin, each time as the bits that change with it."""
        yield self._at_first()
        for tag, _ in self.cone.model.begun:
            positions = [f"{tag}={position}" for position in self.cone.circuit.by_tag[tag].mechanism.positions]
            yield from ([(a, 1), (b, -1)] for a in positions for b in positions if a != b)
            yield from ([(name, 1)] for name in (tag, f"supply:{tag}") if (name, 1) in self.next)
        for tag in self.cone.timed:
            yield [(f"{tag}:timed", 1)]

    def _at_first(self) -> list[Way]:
        """What may move when power comes for the first time."""
        g, bits = self.gates, self.cone.model.bits
        start = {bit.now >> 1: (TRUE if bit.start else FALSE) ^ (bit.now & 1) for bit in bits if bit.start is not None}
        image: dict[int, int] = {}
        found: list[Way] = []
        for arm in self.cone.arms:
            if put_in_place(g, self.cone.restless(arm), start, image) != FALSE:
                rests = put_in_place(g, self.cone.places(arm)[1], start, image)
                found.append((arm.name, 1 if rests == TRUE else -1))
        return found

    def reached(self, sources: Iterable[Way]) -> set[Way]:
        """All ways to which some lead, they themselves included."""
        found = set(sources)
        waiting = list(found)
        while waiting:
            fresh = self.next.get(waiting.pop(), set()) - found
            found |= fresh
            waiting += fresh
        return found
