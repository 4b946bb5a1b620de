"""Whether the order in which devices move decides where they come to rest.

One thing changes at a time, with everything at rest, and then nothing more is touched. A device that has begun to move
and loses its drive on the way may arrive or not: only there can two orders end differently. Where no device ever does,
they cannot (D. E. Muller's semi-modular circuits; from memory). Where one does, all orders from there are gone through:
if they meet again every time, they still cannot (M. H. A. Newman's lemma; from memory).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

from ...circuit import Device
from ...electrics.gates import FALSE, TRUE, Gates
from .assuming import Assumed, assume, next_literal, put_in_place, tags_assumed
from .clauses import Step
from .cone import Cone
from .courses import Moment, moments
from .panel import Panel
from .replay import doubts
from .standing import waived_at
from .unrolling import Course

Search = Callable[[Step], tuple[Course | None, str, int]]

MOST_MEETINGS = 60  # moments from which all orders were seen to meet again
MOST_ORDERS = 4000  # states on the way from one moment to all ends
State = dict[str, bool]


@dataclass(frozen=True, slots=True)
class Arm:
    """Contacts that move together, or a magnet. `arm`: "", ":timed" or " magnet".

    `want`: literal of what it is driven to; `doubtful`: of a half fed coil that may do either.
    """

    tag: str
    arm: str
    want: int
    doubtful: int


class RaceCone(Cone):
    """Devices as a model in which one thing changes at a time and the rest is left to them."""

    def __init__(self, panel: Panel, tags: Iterable[str]) -> None:
        self.arms: list[Arm] = []
        self.timed: dict[str, int] = {}  # device to the choice that its time is over
        super().__init__(panel, tags)
        self._one_thing_at_rest()

    def _arm_moves(self, tag: str, arm: str, want: int, doubtful: int = FALSE, start: bool = False) -> None:
        self.arms.append(Arm(tag, arm, want, doubtful))
        super()._arm_moves(tag, arm, want, doubtful, start)

    def _magnet(self, tag: str, want: int, doubtful: int) -> tuple[int, int]:
        self.arms.append(Arm(tag, " magnet", want, doubtful))
        return super()._magnet(tag, want, doubtful)

    def _timer(self, device: Device) -> None:
        super()._timer(device)
        self.timed[device.tag] = self.model.gates.input(f"?runs out {device.tag}")

    def _hand(self, device: Device) -> None:
        """A contact that is on its way arrives at its other place: nobody thinks better of it."""
        super()._hand(device)
        if not self.panel.has_place_between(device.tag, ""):
            return
        model, g, tag = self.model, self.model.gates, device.tag
        op, rest = self.operated(tag), self.at_rest(tag)
        came = model.monitor(f"{tag} came from in")
        model.remember(f"{tag} came from in", came, model.if_(op, TRUE, model.if_(rest, FALSE, came)))
        arrives = g.all_of([op ^ 1, rest ^ 1, g.input(f"?change {tag}")])
        model.steps.append(g.or_(arrives ^ 1, model.differ(g.input(f"?toward {tag}"), came)))

    # ---- one thing at a time
    def _one_thing_at_rest(self) -> None:
        model, g = self.model, self.model.gates
        for one, other in combinations(self._new, 2):
            model.steps.append(g.and_(one, other) ^ 1)
        for tag, literal in model.begun:
            fits = g.and_(self.calm, self._few_held(tag))
            model.steps.append(g.or_(literal ^ 1, fits))
        for tag, choice in self.timed.items():
            between = self._under_way(tag)
            model.steps.append(g.any_of([choice ^ 1, self.calm, between]))
            if between != FALSE:  # contacts on their way because the time is over arrive, while the coil is fed
                goes_in = [between, self.operated(tag), g.input(f"?move {tag}:timed"), g.input(f"!{tag}:timed sent in")]
                model.steps.append(g.or_(g.all_of(goes_in) ^ 1, choice))
        pushes = {device.tag for device in self._pushes}
        for index, bit in enumerate(model.bits):  # power comes for the first time with no button held
            if bit.tag in pushes:
                model.bits[index] = type(bit)(
                    bit.name, bit.now, bit.next, bit.name.endswith(":rest"), bit.tag, bit.input
                )

    def _under_way(self, tag: str) -> int:
        """Timed contacts are open both ways."""
        return self.model.gates.and_(self.operated(tag, ":timed") ^ 1, self.at_rest(tag, ":timed") ^ 1)

    @property
    def _new(self) -> list[int]:
        """Literals "this begins in this step": an input changes, a time is over."""
        g = self.model.gates
        over = (g.and_(choice, self._under_way(tag) ^ 1) for tag, choice in self.timed.items())
        return [*(literal for _, literal in self.model.begun), *over]

    @property
    def _pushes(self) -> list[Device]:
        return [d for d in self.circuit.devices if d.tag in self.tags and d.mechanism.sort == "push"]

    def _few_held(self, changed: str) -> int:
        """One button at most is held while another thing changes, none while a supply does."""
        g = self.model.gates
        held = [self.at_rest(d.tag) ^ 1 for d in self._pushes if d.tag != changed]
        if self.circuit.by_tag[changed].sources:
            return g.any_of(held) ^ 1
        return g.any_of(g.and_(one, other) for one, other in combinations(held, 2)) ^ 1

    @cached_property
    def calm(self) -> int:
        """Nothing is on its way, and nothing wants to move but by a time that runs."""
        g = self.model.gates
        between = [g.and_(self.operated(tag) ^ 1, self.at_rest(tag) ^ 1) for tag in self.slow_hands]
        return g.any_of([*between, *(self.restless(arm) for arm in self.arms)]) ^ 1

    @property
    def slow_hands(self) -> list[str]:
        """What is worked from outside and has a place between its two."""
        begun = dict.fromkeys(tag for tag, _ in self.model.begun)
        return [tag for tag in begun if self.panel.has_place_between(tag, "")]

    def restless(self, arm: Arm) -> int:
        """The arm wants to move at once."""
        g, model = self.model.gates, self.model
        want = self.without_time(arm.want)
        op, rest = self._places(arm)
        away = model.if_(want, op ^ 1, rest ^ 1)
        return g.and_(away, arm.doubtful ^ 1)

    def _places(self, arm: Arm) -> tuple[int, int]:
        """Literals "operated" and "at rest"."""
        if arm.arm == " magnet":
            pulls = self.model.gates.input(f"!{arm.tag} magnet")
            return pulls, pulls ^ 1
        return self.operated(arm.tag, arm.arm), self.at_rest(arm.tag, arm.arm)

    def without_time(self, literal: int) -> int:
        """A literal while no time runs out."""
        return put_in_place(self.model.gates, literal, {choice >> 1: FALSE for choice in self.timed.values()})

    # ---- what may go wrong
    def diverted(self) -> int:
        """In this step some device that is on its way, or about to be, loses what drives it there."""
        g, model = self.model.gates, self.model
        found = g.any_of(self._diverted(arm) for arm in self.arms if arm.arm != ":timed")
        assumed = [*model.always, *model.steps, *(next_literal(self, one) for one in model.always)]
        return g.all_of([found, g.any_of(self._new) ^ 1, *assumed])

    def _diverted(self, arm: Arm) -> int:
        g, model = self.model.gates, self.model
        op, rest = (next_literal(self, one) for one in self._places(arm))
        arrived = model.if_(arm.want, op, rest)
        flips = model.differ(arm.want, next_literal(self, arm.want))
        return g.all_of([self.restless(arm), arrived ^ 1, flips])


@dataclass(frozen=True, slots=True)
class TwoEnds:
    """Two courses from one state that end differently; `tags`: the devices that do."""

    one: Course
    other: Course
    tags: tuple[str, ...]


class Orders:
    """All orders in which devices can move from one state, nothing being touched."""

    def __init__(self, cone: RaceCone) -> None:
        self.cone = cone
        self.restless = [cone.restless(arm) for arm in cone.arms]
        self.gates = Gates.of(cone.model.gates)
        self.bits = cone.model.bits
        nodes = {node: name for name, node in zip(self.gates.inputs, self.gates.input_nodes, strict=True)}
        self.input_of = {bit.name: nodes[bit.now >> 1] for bit in self.bits}
        self.negated = {bit.name: bool(bit.now & 1) for bit in self.bits}

    def two_ends(self, start: State) -> TwoEnds | None:
        """Two courses with different ends; None when all orders meet. Raises OverflowError when there are too many."""
        came: dict[tuple[bool, ...], tuple[bool, ...] | None] = {self._key(start): None}
        waiting = [start]
        ends: list[State] = []
        while waiting:
            here = waiting.pop(0)
            following = list(self._next(here))
            if not following:
                ends.append(here)
                if len({self._stands(end) for end in ends}) > 1:
                    return self._told(came, ends[0], here)
            for there in following:
                key = self._key(there)
                if key not in came:
                    came[key] = self._key(here)
                    waiting.append(there)
            if len(came) > MOST_ORDERS:
                raise OverflowError("too many orders")
        return None

    def _key(self, state: State) -> tuple[bool, ...]:
        return tuple(state[bit.name] for bit in self.bits)

    def _stands(self, state: State) -> tuple[tuple[str, bool], ...]:
        arms = [f"{arm.tag}{arm.arm}" for arm in self.cone.arms]
        return tuple((name, state[name]) for name in arms)

    def _next(self, state: State) -> Iterator[State]:
        held = {self.input_of[name] for name, value in state.items() if value != self.negated[name]}
        movers = [*self._hands(state), *self._arms(held)]
        for chosen in [*([mover] for mover in movers), movers]:
            if not chosen:
                continue
            true = held | {name for mover in chosen for name in mover}
            values = self.gates.values(true, [bit.next for bit in self.bits])
            there = {bit.name: value for bit, value in zip(self.bits, values, strict=True)}
            if there != state:
                yield there

    def _arms(self, held: set[str]) -> Iterator[tuple[str, ...]]:
        moves = self.gates.values(held, self.restless)
        for arm, restless in zip(self.cone.arms, moves, strict=True):
            if restless:
                name = f"{arm.tag}{arm.arm}"
                over = (f"?runs out {arm.tag}",) if arm.arm == ":timed" and f"!{name} sent in" in held else ()
                yield (f"?move {name}", *over)
                if f"?arrives {name}" in self.gates.inputs:
                    yield (f"?move {name}", f"?arrives {name}", *over)

    def _hands(self, state: State) -> Iterator[tuple[str, ...]]:
        for tag in self.cone.slow_hands:
            if not state[tag] and not state[f"{tag}:rest"]:
                yield (f"?change {tag}", *(() if state[f"{tag} came from in"] else (f"?toward {tag}",)))

    def _told(self, came: Mapping[tuple[bool, ...], tuple[bool, ...] | None], one: State, other: State) -> TwoEnds:
        stands = zip(self.cone.arms, self._stands(one), self._stands(other), strict=True)
        differ = {arm.tag for arm, a, b in stands if a != b}
        return TwoEnds(self._course(came, one), self._course(came, other), tuple(sorted(differ)))

    def _course(self, came: Mapping[tuple[bool, ...], tuple[bool, ...] | None], end: State) -> Course:
        course = [end]
        key = came[self._key(end)]
        while key is not None:
            course.insert(0, dict(zip((bit.name for bit in self.bits), key, strict=True)))
            key = came[key]
        return course[1:]


@dataclass(frozen=True)
class RaceAnswer:
    """Whether orders decide: two courses from the start that end differently, or none; `reason`: why it is open."""

    assumed: Assumed
    one: tuple[Moment, ...] = ()
    other: tuple[Moment, ...] = ()
    tags: tuple[str, ...] = ()
    reason: str = ""
    engine: str = ""


def decide_race(panel: Panel, search: Search, until: float) -> RaceAnswer:
    """The first race of a panel, group of devices by group. `search`: for a course; `until`: by `time.monotonic`."""
    answer = RaceAnswer(Assumed())
    for tags in _groups(panel):
        found = _in_group(panel, tags, search, until)
        answer = replace(found, assumed=_both(answer.assumed, found.assumed))
        if found.one or found.reason:
            return answer
    return answer


def _both(one: Assumed, other: Assumed) -> Assumed:
    used, unused = dict.fromkeys([*one.used, *other.used]), dict.fromkeys([*one.unused, *other.unused])
    return Assumed(list(used), [sentence for sentence in unused if sentence not in used])


def _groups(panel: Panel) -> list[set[str]]:
    """The devices that each coil device hangs on, without the groups that lie within others."""
    coils = [device.tag for device in panel.circuit.devices if any(load.drives for load in device.loads)]
    groups = sorted((panel.depends({tag}) for tag in coils), key=len, reverse=True)
    found: list[set[str]] = []
    for group in groups:
        if not any(group <= other for other in found):
            found.append(group)
    return found


def _in_group(panel: Panel, tags: set[str], search: Search, until: float) -> RaceAnswer:
    while True:
        cone = RaceCone(panel, tags_assumed(panel, panel.circuit.assumptions, tags))
        assumed = assume(cone, panel.circuit.assumptions)
        answer = _in_cone(cone, assumed, search, until)
        if answer is not None:
            return answer


def _in_cone(cone: RaceCone, assumed: Assumed, search: Search, until: float) -> RaceAnswer | None:
    """The answer; None when the volts have told something new of half fed coils."""
    g, bits = cone.model.gates, cone.model.bits
    bad = cone.diverted()
    orders = Orders(cone)
    for _ in range(MOST_MEETINGS):
        course, engine, bound = search(Step(cone, bad, [bit.now for bit in bits]))
        if course is None:
            reason = "" if bound < 0 else f"no race within {bound} steps; the time was over"
            return RaceAnswer(assumed, reason=reason, engine=engine)
        refuted = doubts(cone, moments(cone, course))
        if refuted:
            cone.panel.facts |= refuted
            return None
        try:
            ends = orders.two_ends(course[-1])
        except OverflowError as many:
            return RaceAnswer(assumed, reason=str(many), engine=engine)
        if ends is not None and not set(ends.tags) <= waived_at(cone.panel, "no race"):
            one, other = (moments(cone, [*course, *more]) for more in (ends.one, ends.other))
            return RaceAnswer(assumed, one, other, ends.tags, engine=engine)
        here = g.all_of(bit.now ^ (not course[-1][bit.name]) for bit in bits)
        bad = g.and_(bad, here ^ 1)
        if time.monotonic() > until:
            break
    return RaceAnswer(assumed, reason=f"devices are diverted on their way at more than {MOST_MEETINGS} moments")
