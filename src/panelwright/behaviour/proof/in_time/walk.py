"""Every state that a panel can reach in real time, with what its clocks can show there.

Breadth first, so that the first way to something bad is one of the fewest steps. A state with clocks that a state
seen before covers is not gone on from.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..clauses import Step
from .clocks import Clock, Timing
from .deadlines import Late
from .steps import Place, Steps
from .zones import Source, Zone, at_most, blurred, can_exceed, can_fall_short, covers, delayed, rearranged, tightened

MOST_NODES = 60_000
BLOCK = 32  # states worked out side by side


@dataclass(frozen=True, slots=True)
class Node:
    """One state with its zone, entered from another. `way`: the states between, entered one at once after the other."""

    place: Place
    zone: Zone
    before: int  # number of the node, -1 at the start
    way: tuple[Place, ...]
    steps: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What a step between two kinds of states does to the clocks; None for `passes`: there is no such step."""

    passes: tuple[tuple[int, int, int | None], ...] | None
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class Found:
    """A way to something bad: the node before, the states of the last step, and the clock that is late."""

    node: int
    way: tuple[Place, ...]
    late: Late | None = None


class OutOfTime(Exception):
    """More states than can be walked through, or no time left; `steps`: how many steps were searched in full."""

    def __init__(self, steps: int) -> None:
        super().__init__(steps)
        self.steps = steps


class TimedWalk:
    """All states from the start, until something bad is found."""

    def __init__(self, step: Step, timing: Timing, late: Sequence[Late], more: Sequence[int], until: float) -> None:
        """`more`: literals that are looked at afterwards. Raises: Beyond."""
        self.timing, self.late, self.until = timing, tuple(late), until
        literals = [step.bad, *step.always, *timing.literals(), *(one.literal for one in late), *more]
        self.steps = Steps(step, literals)
        self.bad = step.bad
        self.nodes: list[Node] = []
        self.seen: dict[int, list[int]] = {}
        self.edges: set[tuple[int, int]] = set()  # steps in which no input changed
        self.held: int = 0  # literals that held somewhere
        self.dead_ends: list[int] = []  # nodes in which time is limited, and that nothing leads out of
        self._told_apart = self._numbers()
        self._plans: dict[tuple[int, int], Plan] = {}
        self._layouts: dict[int, tuple[Clock, ...]] = {}
        self._limits: dict[int, tuple[tuple[int, int], ...]] = {}

    # ---- clocks
    def _numbers(self) -> dict[str, tuple[int | None, int | None]]:
        """The largest number that each clock has to reach, and that it must not exceed."""
        reach: dict[str, int] = {}
        keep: dict[str, int] = {}
        for limit in self.timing.limits:
            keep[limit.clock] = max(keep.get(limit.clock, 0), limit.most)
        for step in self.timing.passes:
            if step.clock and step.least:
                reach[step.clock] = max(reach.get(step.clock, 0), step.least)
            if step.most is not None:
                keep[step.clock] = max(keep.get(step.clock, 0), step.most)
        for late in self.late:
            if late.more_than is not None:
                reach[late.clock] = max(reach.get(late.clock, 0), late.more_than)
            if late.less_than is not None:
                keep[late.clock] = max(keep.get(late.clock, 0), late.less_than)
        return {clock.name: (reach.get(clock.name), keep.get(clock.name)) for clock in self.timing.clocks}

    def holds(self, place: Place, literal: int) -> bool:
        """Whether a literal holds in a state."""
        return self.steps.holds(place, literal)

    def layout(self, place: Place) -> tuple[Clock, ...]:
        """The clocks that run in a state, in the order of its zone."""
        known = self._layouts.get(place.holds)
        if known is None:
            known = tuple(c for c in self.timing.clocks if any(self.holds(place, one) for one in c.since))
            self._layouts[place.holds] = known
        return known

    def plan(self, before: Place, after: Place) -> Plan:
        """What a step does to the clocks."""
        key = (before.holds, after.holds)
        known = self._plans.get(key)
        if known is None:
            known = self._plans[key] = self._planned(before, after)
        return known

    def _planned(self, before: Place, after: Place) -> Plan:
        old = {clock.name: index + 1 for index, clock in enumerate(self.layout(before))}
        passes: list[tuple[int, int, int | None]] = []
        for one in self.timing.passes:
            if self.holds(before, one.before) and self.holds(after, one.after):
                if not one.clock:
                    return Plan(None, ())
                passes.append((old[one.clock], one.least, one.most))
        sources = tuple(self._source(clock, before, after, old) for clock in self.layout(after))
        return Plan(tuple(passes), sources)

    def _source(self, clock: Clock, before: Place, after: Place, old: dict[str, int]) -> Source:
        starts = any(self.holds(after, one) and not self.holds(before, one) for one in clock.since)
        if self.holds(before, clock.loose):
            return (0, None)
        return (0, 0) if starts else (old[clock.name], None)

    def limits(self, place: Place) -> tuple[tuple[int, int], ...]:
        """The limits that a state sets: clocks by their places in its zone, with their bounds."""
        known = self._limits.get(place.holds)
        if known is None:
            names = {clock.name: index + 1 for index, clock in enumerate(self.layout(place))}
            known = self._limits[place.holds] = tuple(
                (names[limit.clock], at_most(limit.most))
                for limit in self.timing.limits
                if limit.clock in names and self.holds(place, limit.literal)
            )
        return known

    def _limited(self, place: Place, zone: Zone | None) -> Zone | None:
        size = len(self.layout(place)) + 1
        for clock, bound in self.limits(place):
            if zone is not None:
                zone = tightened(zone, size, clock, 0, bound)
        return zone

    def _step(self, before: Place, zone: Zone, after: Place) -> Zone | None:
        """The zone on arrival; None when the clocks do not allow the step."""
        plan = self.plan(before, after)
        if plan.passes is None:
            return None
        size = len(self.layout(before)) + 1
        now: Zone | None = zone
        for clock, least, most in plan.passes:
            if now is not None and least:
                now = tightened(now, size, 0, clock, at_most(-least))
            if now is not None and most is not None:
                now = tightened(now, size, clock, 0, at_most(most))
        if now is None:
            return None
        return self._limited(after, rearranged(now, size, plan.sources))

    # ---- walking
    def search(self) -> Found | None:
        """The first way to something bad; None when there is none. Raises: OutOfTime, Beyond."""
        waiting: deque[int] = deque()
        for state in self.steps.starts():
            place = self.steps.place(state)
            if self.steps.is_possible(place):
                found = self._enter(-1, place, self._first_zone(place), 0, waiting)
                if found is not None:
                    return found
        while waiting:
            block = [waiting.popleft() for _ in range(min(BLOCK, len(waiting)))]
            block = [number for number in block if self._is_open(number)]
            if len(self.nodes) > MOST_NODES or time.monotonic() > self.until:
                raise OutOfTime(self.nodes[block[0]].steps if block else 0)
            self.steps.go_on_from(self.nodes[number].place.bits for number in block)
            for number in block:
                found = self._go_on(number, waiting)
                if found is not None:
                    return found
        return None

    def _is_open(self, number: int) -> bool:
        """Whether a node is not covered by another meanwhile."""
        return number in self.seen[self.nodes[number].place.bits]

    def _go_on(self, number: int, waiting: deque[int]) -> Found | None:
        """Every step from one node."""
        node = self.nodes[number]
        leaves = False
        for state, by_hand in self.steps.after(node.place.bits):
            place = self.steps.place(state)
            if not self.steps.is_possible(place):
                continue
            zone = self._step(node.place, node.zone, place)
            if zone is None:
                continue
            leaves = True
            if not by_hand:
                self.edges.add((node.place.bits, state))
            found = self._enter(number, place, zone, node.steps + 1, waiting)
            if found is not None:
                return found
        if not leaves and self.limits(node.place):
            self.dead_ends.append(number)
        return None

    def _first_zone(self, place: Place) -> Zone | None:
        sources: list[Source] = [(0, clock.at_start) for clock in self.layout(place)]
        return self._limited(place, rearranged((1,), 1, sources))

    def _enter(self, number: int, place: Place, zone: Zone | None, steps: int, waiting: deque[int]) -> Found | None:
        """Look at a state as it is entered, let the memories take note at once, and let time go by."""
        way: list[Place] = []
        while zone is not None:
            way.append(place)
            self.held |= place.holds
            late = self._early(place, zone)
            if self.holds(place, self.bad) or late is not None:
                return Found(number, tuple(way), late)
            if place.still == place.bits:
                break
            onward = self.steps.place(place.still)
            zone = self._step(place, zone, onward)
            self.edges.add((place.bits, onward.bits))
            place = onward
        if zone is None:
            return None
        later = delayed(zone, len(self.layout(place)) + 1, self.limits(place))
        late = self._too_late(place, later)
        if late is not None:
            return Found(number, tuple(way), late)
        self._keep(number, place, later, tuple(way), steps, waiting)
        return None

    def _keep(
        self, number: int, place: Place, zone: Zone, way: tuple[Place, ...], steps: int, waiting: deque[int]
    ) -> None:
        layout = self.layout(place)
        lower, upper = zip((0, 0), *(self._told_apart[clock.name] for clock in layout), strict=True)
        zone = blurred(zone, len(layout) + 1, lower, upper)
        known = self.seen.setdefault(place.bits, [])
        if any(covers(self.nodes[one].zone, zone) for one in known):
            return
        known[:] = [one for one in known if not covers(zone, self.nodes[one].zone)]
        known.append(len(self.nodes))
        waiting.append(len(self.nodes))
        self.nodes.append(Node(place, zone, number, way, steps))

    def _place_of(self, place: Place, clock: str) -> int:
        return next(index + 1 for index, one in enumerate(self.layout(place)) if one.name == clock)

    def _early(self, place: Place, zone: Zone) -> Late | None:
        """A clock that shows too little as the state is entered."""
        for late in self.late:
            least = late.less_than
            if least is not None and self.holds(place, late.literal) and self._short(place, zone, late, least):
                return late
        return None

    def _short(self, place: Place, zone: Zone, late: Late, ticks: int) -> bool:
        return can_fall_short(zone, len(self.layout(place)) + 1, self._place_of(place, late.clock), ticks)

    def _too_late(self, place: Place, zone: Zone) -> Late | None:
        """A clock that can show too much before the state is left."""
        for late in self.late:
            most = late.more_than
            if most is not None and self.holds(place, late.literal) and self._long(place, zone, late, most):
                return late
        return None

    def _long(self, place: Place, zone: Zone, late: Late, ticks: int) -> bool:
        return can_exceed(zone, len(self.layout(place)) + 1, self._place_of(place, late.clock), ticks)

    # ---- afterwards
    def limiting(self, number: int) -> list[str]:
        """The clocks that limit how long a node lasts."""
        place = self.nodes[number].place
        names = [clock.name for clock in self.layout(place)]
        return [names[clock - 1] for clock, _ in self.limits(place)]

    def ever(self, literal: int) -> bool:
        """Whether a literal held in any state that was entered."""
        return bool(self.held >> self.steps.index[literal] & 1)

    def restless(self, during: int, lacking: int, *, timers: bool) -> bool:
        """Whether things may go on moving for ever with `during` all the while and `lacking` now and then.

        A superset of the truth: round trips between states, whatever the clocks show. `timers`: times may run out on
        the way.
        """
        import numpy as np
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import connected_components

        timed = sum(1 << index for index, bit in enumerate(self.steps.bits) if ":timed" in bit.name)
        edges = [(a, b) for a, b in self.edges if a != b and (timers or not (a ^ b) & timed)]
        there = {s for edge in edges for s in edge if self.holds(self.steps.place(s), during)}
        inside = [(a, b) for a, b in edges if a in there and b in there]
        numbers = {state: index for index, state in enumerate(dict.fromkeys(s for edge in inside for s in edge))}
        if not inside:
            return False
        rows, columns = [numbers[a] for a, _ in inside], [numbers[b] for _, b in inside]
        graph = coo_matrix((np.ones(len(rows)), (rows, columns)), (len(numbers),) * 2)
        _, label = connected_components(graph, connection="strong")
        sizes = np.bincount(label)
        return any(sizes[label[k]] > 1 and self.holds(self.steps.place(s), lacking) for s, k in numbers.items())

    def course(self, found: Found) -> list[tuple[Place, ...]]:
        """The states from the start to something found, one group for each moment at which something happens."""
        groups = [found.way, *(node.way for node in self._back(found.node))]
        return groups[::-1]

    def _back(self, number: int) -> Iterator[Node]:
        while number >= 0:
            yield self.nodes[number]
            number = self.nodes[number].before
