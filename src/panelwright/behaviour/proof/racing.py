"""Whether the order in which devices move decides where they come to rest.

One thing changes at a time, with everything at rest, and then nothing more is touched. A device that has begun to move
and loses its drive on the way may arrive or not: only there can two orders end differently. Where no device ever does,
they cannot (D. E. Muller's semi-modular circuits; from memory). Where one does, all orders from there are gone through:
if they meet again every time, they still cannot (M. H. A. Newman's lemma; from memory).

Most devices are cleared by who drives whom, most others from their near neighbours; what is left is searched, each
with all that it hangs on. What hangs on it does not matter: it waits until the orders have met.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from .assuming import Assumed, assume, tags_assumed
from .clauses import Step
from .courses import Moment, moments
from .influence import may_be_diverted
from .nearby import holds_around
from .orders import Orders, State, TooManyOrders
from .panel import Panel
from .race_model import Arm, RaceCone
from .replay import doubts
from .standing import waived_at
from .symbolic import search_whole
from .unrolling import Course, Unrolling
from .vicinity import Vicinity

MOST_MEETINGS = 60  # moments from which all orders were seen to meet again
FIRST_STEPS = 8  # most races come about within so many
MOST_LEFT_OPEN = 3  # moments from which there are too many orders
FIRST_MEETINGS = 5  # among all devices, before they are looked at one by one


@dataclass(frozen=True)
class RaceAnswer:
    """Whether orders decide: two courses from the start that end differently, or none; `reason`: why it is open."""

    assumed: Assumed = field(default_factory=Assumed)
    one: tuple[Moment, ...] = ()
    other: tuple[Moment, ...] = ()
    tags: tuple[str, ...] = ()
    reason: str = ""
    engine: str = "induction"


class _ToldMore(Exception):
    """The volts have told something new of half fed coils; everything is to be asked again with that."""


def decide_race(panel: Panel, until: float) -> RaceAnswer:
    """The first race of a panel. `until`: by `time.monotonic`."""
    while True:
        try:
            return _Deciding(panel, until).answer()
        except _ToldMore:
            continue


class _Deciding:
    """One question on its way to an answer, with what the volts have told so far."""

    def __init__(self, panel: Panel, until: float) -> None:
        self.panel, self.until = panel, until
        self.assumptions = panel.circuit.assumptions
        self.reason = ""  # why something is left open
        self.left_open = 0  # moments
        coils = {device.tag for device in panel.circuit.devices if any(load.drives for load in device.loads)}
        self.whole, self.assumed = self._cone(coils)

    def _cone(self, tags: Iterable[str]) -> tuple[RaceCone, Assumed]:
        cone = RaceCone(self.panel, tags_assumed(self.panel, self.assumptions, set(tags)))
        return cone, assume(cone, self.assumptions)

    def answer(self) -> RaceAnswer:
        left: list[Arm] = []
        for arm, is_cleared in self._cleared():
            if is_cleared:
                continue
            if not left:
                found = self._early()
                if found is not None:
                    return found
            left.append(arm)
        for arms in self._by_closure(left):
            found = self._searched(arms)
            if found is not None:
                return found
        return self._open(self.reason, "unrolling") if self.reason else RaceAnswer(self.assumed)

    def _cleared(self) -> Iterator[tuple[Arm, bool]]:
        """The arms that may be diverted by who drives whom, and whether their near neighbours forbid it."""
        self.suspects = may_be_diverted(self.whole)
        diverted = [self.whole.diverted(arm) for arm in self.suspects]
        untouched = self.whole.untouched()
        vicinity = Vicinity(self.whole)
        for arm, bad in zip(self.suspects, diverted, strict=True):
            yield arm, holds_around(vicinity, [bad, *untouched], {arm.tag}, self.until)

    def _early(self) -> RaceAnswer | None:
        """A race that comes about soon, of whatever devices."""
        cone = self.whole
        orders = Orders(cone, waived_at(self.panel, "no race"))
        bad = self._bad(cone, self.suspects)
        for _ in range(FIRST_MEETINGS):
            unrolling = Unrolling(Step(cone, bad, [bit.now for bit in cone.model.bits]))
            try:
                course, _ = unrolling.shortest(bad, FIRST_STEPS, self.until)
            finally:
                unrolling.close()
            if course is None:
                return None
            self._ask_volts(cone, course)
            found, met = self._race(orders, course, "unrolling")
            if found is not None:
                return found
            bad = cone.model.gates.and_(bad, self._state(cone, course[-1], met) ^ 1)
        return None

    def _bad(self, cone: RaceCone, arms: Iterable[Arm]) -> int:
        """An arm is diverted by what others do."""
        g = cone.model.gates
        return g.all_of([g.any_of(cone.diverted(arm) for arm in arms), *cone.untouched()])

    def _ask_volts(self, cone: RaceCone, course: Course) -> None:
        """Raises _ToldMore when the course needs of half fed coils what the volts forbid."""
        refuted = doubts(cone, moments(cone, course))
        if refuted:
            self.panel.facts |= refuted
            raise _ToldMore

    def _race(self, orders: Orders, course: Course, engine: str) -> tuple[RaceAnswer | None, Iterable[str]]:
        """The race at the end of a course, or None and the bits by which such a moment is known.

        Where there are too many orders and none that part are met, it is left open and the search goes on elsewhere.
        """
        every = [bit.name for bit in orders.bits]
        try:
            ends = orders.two_ends(course[-1])
        except TooManyOrders as many:
            ends = orders.two_ends_by_lot(course[-1])
            if ends is None:
                self.reason, self.left_open = str(many), self.left_open + 1
                return None, every
        if ends is None:
            return None, every if self._remembers(orders) else orders.meeting()
        one, other = (moments(orders.cone, [*course, *more]) for more in (ends.one, ends.other))
        return RaceAnswer(self.assumed, one, other, ends.tags, engine=engine), every

    def _state(self, cone: RaceCone, state: State, names: Iterable[str]) -> int:
        """Literal of these bits standing so."""
        now = {bit.name: bit.now for bit in cone.model.bits}
        return cone.model.gates.all_of(now[name] ^ (not state[name]) for name in names)

    # ---- one by one
    def _by_closure(self, arms: Iterable[Arm]) -> list[list[Arm]]:
        """The arms that hang on the same devices, the fewest devices first."""
        groups: dict[frozenset[str], list[Arm]] = {}
        for arm in arms:
            groups.setdefault(frozenset(self.panel.depends({arm.tag})), []).append(arm)
        return [groups[tags] for tags in sorted(groups, key=len)]

    def _searched(self, suspects: list[Arm]) -> RaceAnswer | None:
        """The race of some arms with all that they hang on, or why it is open; None when there is none."""
        cone, _ = self._cone({arm.tag for arm in suspects})
        names = {arm.name for arm in suspects}
        orders = Orders(cone, waived_at(self.panel, "no race"))
        bad = self._bad(cone, [arm for arm in cone.arms if arm.name in names])
        for _ in range(MOST_MEETINGS):
            course, engine, bound = search_whole(Step(cone, bad, [bit.now for bit in cone.model.bits]), self.until)
            if course is None:
                return self._open(f"no race within {bound} steps; the time was over", engine) if bound >= 0 else None
            self._ask_volts(cone, course)
            found, met = self._race(orders, course, engine)
            if found is not None:
                return found
            bad = cone.model.gates.and_(bad, self._state(cone, course[-1], met) ^ 1)
            if self.left_open > MOST_LEFT_OPEN:
                return self._open(self.reason, engine)
            if time.monotonic() > self.until:
                break
        return self._open(f"devices are diverted on their way at more than {MOST_MEETINGS} moments", "unrolling")

    @staticmethod
    def _remembers(orders: Orders) -> bool:
        """Whether something is remembered beside where the devices stand."""
        return any(not bit.tag and not bit.name.endswith(" came from in") for bit in orders.bits)

    def _open(self, reason: str, engine: str) -> RaceAnswer:
        return RaceAnswer(self.assumed, reason=reason, engine=engine)
