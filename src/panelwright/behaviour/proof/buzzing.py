"""Devices of a large panel that move for ever: met by runs, then shown for those few that need nothing else to move.

While nothing is touched most of a panel stands still. Of what may move, some devices hang on one another alone. All
that they can do from one state is gone through; where they never find a state to rest in, they move for ever, whatever
the rest of the panel does.
"""

from __future__ import annotations

import random
import time
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import islice, product
from typing import TYPE_CHECKING

from .clauses import Step
from .cone import Cone
from .orders import Orders
from .panel import Panel, tag_of_input
from .race_model import RaceCone
from .standing import waived_at
from .symbolic import search_whole
from .unknowns import Spread, Unknowns
from .unrolling import Course

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]

LANES = 64
MOST_MET = 3  # groups that runs have met, to which a way is looked for
ROUNDS = 4  # of runs
DENSITIES = (0.0, 0.1, 0.3, 0.6, 0.9, 1.0)  # parts of the inputs that are operated
SAFETY = 0.02  # part of those with nothing but break contacts
STEPS_EACH = 2  # of a run, for each arm
MOST_STATES = 6000  # that a group of devices goes through
MOST_WAYS = 256  # out of one state
TOLD = 100  # of its states, to one of which a way is looked for


@dataclass(frozen=True, slots=True)
class Endless:
    """Devices that move for ever. `held`: what else has to stand how; `states`: some of the states they go through."""

    tags: frozenset[str]
    held: dict[str, bool]
    states: tuple[dict[str, bool], ...]


def endless_movement(panel: Panel, tags: Collection[str], waived: Collection[str], until: float) -> Iterator[Endless]:
    """Groups of devices that move for ever in some state, if it can be reached. `waived`: devices that may."""
    search = _Search(RaceCone(panel, tags), waived)
    for seed in range(ROUNDS):
        for row in search.runs(seed, until):
            if time.monotonic() > until:
                return
            found = search.group(row)
            if found is not None:
                yield found


def course_into_buzzing(cone: Cone, until: float) -> Course | None:
    """A course into movement without end that runs have met; None says nothing."""
    g, now = cone.model.gates, {bit.name: bit.now for bit in cone.model.bits}

    def stand(state: Mapping[str, bool]) -> int:
        return g.all_of(now[name] ^ (not value) for name, value in state.items() if name in now)

    waived = waived_at(cone.panel, "no buzzing")
    for found in islice(endless_movement(cone.panel, cone.tags, waived, until), MOST_MET):
        here = g.and_(stand(found.held), g.any_of(stand(state) for state in found.states))
        course, _, _ = search_whole(Step(cone, here), until)
        if course is not None:
            return course
    return None


class _Search:
    def __init__(self, cone: RaceCone, waived: Collection[str]) -> None:
        self.cone, self.waived = cone, waived
        self.unknowns = Unknowns(cone)
        self.orders = Orders(cone)
        self.bits = cone.model.bits
        self.place = self.orders.place

    # ---- runs
    def runs(self, seed: int, until: float) -> list[Flags]:
        """States in which something still moves after a while, nothing being touched since the start."""
        rng = random.Random(seed)
        import numpy as np

        lanes = np.array([self._start(rng, DENSITIES[lane % len(DENSITIES)]) for lane in range(LANES)])
        for _ in range(STEPS_EACH * len(self.cone.arms)):
            movers = self.orders.movers_in(lanes)
            if time.monotonic() > until or not any(movers):
                break
            lanes = self.orders.after(lanes, [self._some(rng, each) for each in movers])
        return [row for row, movers in zip(lanes, self.orders.movers_in(lanes), strict=True) if movers]

    @staticmethod
    def _some(rng: random.Random, movers: list[tuple[int, ...]]) -> tuple[int, ...]:
        """A few of what can move, each in one of its ways."""
        chosen = [mover for mover in movers if rng.random() < 0.5] or movers[:1]
        return tuple(row for mover in chosen for row in mover)

    def _start(self, rng: random.Random, density: float) -> list[bool]:
        """A first state: power on, inputs operated by lot."""
        forms = self.cone.panel.forms
        at: dict[str, str] = {}
        operated: dict[str, bool] = {}
        found = []
        for bit in self.bits:
            tag = bit.tag
            if bit.name.startswith("supply:") or not bit.input:
                found.append(bit.name.startswith("supply:") or bool(bit.start))
            elif "=" in bit.name:
                position = at.setdefault(tag, rng.choice(self.cone.circuit.by_tag[tag].mechanism.positions))
                found.append(bit.name == f"{tag}={position}")
            else:
                chance = SAFETY if forms.get((tag, "")) == {"nc"} else density
                value = operated.setdefault(tag, rng.random() < chance)
                found.append(value != bit.name.endswith(":rest"))
        return found

    # ---- a group that rests nowhere
    def group(self, row: Flags) -> Endless | None:
        """The devices that move for ever from a state, whatever the others do; None when none are seen."""
        spread = self.unknowns.spread(row, ())
        for tags in self._alone(spread):
            if tags <= set(self.waived) or tags & self.cone.timed.keys():
                continue
            states = self._never_rests(row, tags)
            if states is not None:
                return Endless(tags, self._held(row, tags), states)
        return None

    def _alone(self, spread: Spread) -> list[frozenset[str]]:
        """Groups of devices that may move and hang on one another alone, as far as anything moves; small ones first."""
        import networkx as nx

        graph = nx.DiGraph()
        for arm in spread.moving:
            graph.add_node(arm.tag)
            graph.add_edges_from((arm.tag, tag) for tag in self._owners(spread.hang_on(arm)))
        groups = list(nx.strongly_connected_components(graph))
        closed = [
            group for group in groups if all(there in group for here in group for there in graph.successors(here))
        ]
        return sorted((frozenset(group) for group in closed), key=len)

    def _owners(self, names: Iterator[str]) -> set[str]:
        """The devices that inputs of the model belong to; "?" for what a half fed coil does."""
        owner = self.unknowns.owner
        return {
            "?" if name.startswith("?") else owner.get(name.removeprefix("!"), tag_of_input(name)) for name in names
        }

    def _never_rests(self, row: Flags, tags: frozenset[str]) -> tuple[dict[str, bool], ...] | None:
        """All that some devices can do from a state, the others standing still; None when they can come to rest."""
        import numpy as np

        own = [at for at, bit in enumerate(self.bits) if self.unknowns.owner[bit.name] in tags]
        seen = {row.tobytes(): row}
        waiting = [row]
        while waiting:
            before, chosen = self._ways(np.array(waiting), tags)
            if before is None:
                return None
            following = self.orders.after(np.array(waiting)[before], chosen)
            waiting = []
            for there in following:
                if there.tobytes() not in seen:
                    seen[there.tobytes()] = there
                    waiting.append(there)
            if len(seen) > MOST_STATES:
                return None
        first = np.array([bool(self.bits[at].start) for at in own])
        states = sorted(seen.values(), key=lambda state: int((state[own] != first).sum()))
        return tuple({self.bits[at].name: bool(state[at]) for at in own} for state in states[:TOLD])

    def _ways(self, states: Flags, tags: frozenset[str]) -> tuple[list[int] | None, list[tuple[int, ...]]]:
        """Every way in which some devices move on from some states; None where one of these has no way on."""
        arms = [(at, arm) for at, arm in enumerate(self.cone.arms) if arm.tag in tags]
        restless = self.orders.words(states, [()] * len(states), [self.orders.restless[at] for at, _ in arms])
        before: list[int] = []
        chosen: list[tuple[int, ...]] = []
        for number, moves in enumerate(restless):
            options = [
                [(), *(rows for rows, _ in self.orders.movers[at])]
                for (at, _), goes in zip(arms, moves.tolist(), strict=True)
                if goes
            ]
            count = 1
            for each in options:
                count *= len(each)
            if count == 1 or count > MOST_WAYS:
                return None, []
            ways = [tuple(row for rows in way for row in rows) for way in product(*options)][1:]
            before += [number] * len(ways)
            chosen += ways
        return before, chosen

    # ---- what else has to stand how
    def _held(self, row: Flags, tags: frozenset[str]) -> dict[str, bool]:
        """The fewest bits of the rest with which these devices still hang on one another alone."""
        others = [bit.name for bit in self.bits if self.unknowns.owner[bit.name] not in tags]
        dropped: set[str] = set()
        waiting = [others]
        while waiting:
            some = waiting.pop()
            if self._is_alone(row, tags, dropped | set(some)):
                dropped |= set(some)
            elif len(some) > 1:
                half = len(some) // 2
                waiting += (some[half:], some[:half])
        return {name: bool(row[self.place[name]]) for name in others if name not in dropped}

    def _is_alone(self, row: Flags, tags: frozenset[str], unknown: set[str]) -> bool:
        """Whether nothing but these devices themselves has a say in what they do, some bits not being known."""
        own = {name for name, owner in self.unknowns.owner.items() if owner in tags}
        spread = self.unknowns.spread(row, unknown | own)
        arms = [arm for arm in self.cone.arms if arm.tag in tags]
        return all(self._owners(spread.hang_on(arm)) <= tags for arm in arms)
