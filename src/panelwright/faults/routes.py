"""The gates that one fault can reach, in order, and what it shows there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from ..circuit import Contact, Device
from ..electrics import FALSE
from ..electrics.gates import INPUT
from . import lane_loop
from .overrides import Override

if TYPE_CHECKING:
    from .compiled import Compiled


NO_TOUCH = np.zeros((0, 2), np.int64)
KINDS = {
    "relay": lane_loop.RELAY,
    "latching": lane_loop.LATCHING,
    "on-delay": lane_loop.RELAY,
    "off-delay": lane_loop.RELAY,
    "off-delay without supply": lane_loop.RELAY,
}


@dataclass(frozen=True, slots=True)
class Shown:
    """What a fault shows over all lanes and steps.

    `wrongly_on`, `wrongly_off`: by load or motor, points (lane and step) in which it works and should not, or the
    other way round. `first_step`: the first step that shows anything, -1 none. `short`: lanes in which a supply is
    shorted. `doubtful`: lanes in which some coil had part of its volts. `restless`: lanes that never came to rest.
    `points`: lanes times steps.
    """

    wrongly_on: dict[str, int]
    wrongly_off: dict[str, int]
    first_step: int
    short: int
    doubtful: int
    restless: int
    points: int

    @property
    def is_seen(self) -> bool:
        """Whether anything differs from the sound panel."""
        return bool(self.first_step >= 0 or self.short or self.restless)


@dataclass(frozen=True, slots=True)
class Seat:
    """One row of the state: a mechanism, or the timed contacts of a timer."""

    name: str
    device: Device
    timed: bool = False


@dataclass(frozen=True)
class Sound:
    """The sound panel: where every device stood before each pass, and what could be seen after each step."""

    history: Any
    first: Any
    seen: Any
    doubtful: int
    restless: int


class Route:
    """The gates that some seats and visible things depend on, in order, with everything the loop takes."""

    def __init__(self, compiled: Compiled, own: list[int], visible: list[int]) -> None:
        self.compiled, self.lanes = compiled, compiled.lanes
        self.names = [self.lanes.visible[index] for index in visible]
        self.table = np.array([self._row(index) for index in own] or np.zeros((0, 8)), np.int64)
        self.seen = np.array([compiled.shown_literal(name) for name in self.names], np.int64)
        row_of = {seat: row for row, seat in enumerate(own)}
        rivals = [(row_of[a], row_of[b]) for a, b in self.lanes.rivals if a in row_of and b in row_of]
        self.rivals = np.array(rivals or np.zeros((0, 2)), np.int64)
        self.visible = visible
        self._plans: dict[tuple[int, ...], Plan] = {}

    def _row(self, index: int) -> list[int]:
        seat = self.lanes.seats[index]
        full, may, reset = (*self.compiled.literals(seat), FALSE, FALSE, FALSE)[:3]
        partners = [self.lanes.seat_of[p] for p in self.lanes.partners(seat.device.tag) if p in self.lanes.seat_of]
        partner = partners[0] if partners and not seat.timed else -1
        return [index, _kind(seat), full, may, reset, partner, self.lanes.seat_of[seat.device.tag], -1]

    @cached_property
    def sound_seen(self) -> Any:
        """What the sound panel shows of all that can be seen here."""
        return np.ascontiguousarray(self.lanes.sound.seen[:, self.visible, :])

    def plan(self, further: tuple[int, ...]) -> Plan:
        """What has to be worked out for the seats, what is seen, and some further literals."""
        if further not in self._plans:
            wanted = [*self.table[:, 2:5].ravel().tolist(), *self.seen.tolist(), *further]
            self._plans[further] = Plan.of(self.compiled, wanted)
        return self._plans[further]

    def sound(self) -> Sound:
        """All seats without a fault, recorded."""
        compiled, steps, words = self.compiled, self.lanes.presses.steps, self.lanes.presses.words
        plan = self.plan(())
        first = np.zeros(steps + 1, np.int64)
        seats = len(self.lanes.seats)
        recorded = np.zeros((steps * (lane_loop.most_passes(seats) + 2), seats, words), np.uint64)
        shown, differs = self._arrays()
        passes, doubtful, restless, _ = lane_loop.run(
            plan.order, *compiled.sides, compiled.value, plan.hand_nodes, plan.hand, plan.follow, recorded[:0],
            first, self.table, self.rivals, self.seen, shown, NO_TOUCH, shown, differs, recorded,
        )  # fmt: skip
        return Sound(recorded[:passes].copy(), first, shown, int(doubtful), int(restless))

    def show(self, override: Override, held: dict[int, bool]) -> Shown:
        """What a fault shows. `held`: inputs by node and what they are held at."""
        compiled, sound = self.compiled, self.lanes.sound
        touch = self._touches(override)
        plan = self.plan(tuple(touch.ravel().tolist()))
        before = {node: compiled.value[node].copy() for node in held}
        for node, value in held.items():
            compiled.value[node] = lane_loop.ALL if value else lane_loop.NONE
        shown, differs = self._arrays()
        seen = np.array([FALSE if n in override.dead else lit for n, lit in zip(self.names, self.seen, strict=True)])
        hand, follow = self._worked(override, held, plan), self._followed(override, held, plan)
        _, doubtful, restless, short = lane_loop.run(
            plan.order, *compiled.sides, compiled.value, plan.hand_nodes, hand, follow, sound.history,
            sound.first, self._changed(override), self.rivals, seen.astype(np.int64), self.sound_seen, touch, shown,
            differs, sound.history,
        )  # fmt: skip
        for node, words in before.items():
            compiled.value[node] = words
        return self._told(differs, int(short), int(doubtful), int(restless))

    def _arrays(self) -> tuple[Any, Any]:
        steps, words = self.lanes.presses.steps, self.lanes.presses.words
        return np.zeros((steps, len(self.seen), words), np.uint64), np.zeros((len(self.seen), 2, steps), np.int64)

    def _told(self, differs: Any, short: int, doubtful: int, restless: int) -> Shown:
        totals = differs.sum(axis=2)
        steps = np.flatnonzero(differs.sum(axis=(0, 1)))
        on, off = (
            {name: int(total) for name, total in zip(self.names, totals[:, way], strict=True) if total}
            for way in (0, 1)
        )
        points = self.lanes.presses.steps * self.lanes.presses.words * 64
        return Shown(on, off, int(steps[0]) if len(steps) else -1, short, doubtful, restless, points)

    def _touches(self, override: Override) -> Any:
        """Pairs of literals that are both true where the fault joins two rails."""
        lanes, joined = self.lanes, self.compiled.program.joined
        places = [place for pair in override.joins for place in pair[:1]]
        for element, value in override.held.items():
            if value and element in lanes.circuit.elements:
                device, part = lanes.circuit.elements[element]
                places.append(f"{device.tag}.{part.a}")  # type: ignore[union-attr]
        for element in override.inverted:
            device, part = lanes.circuit.elements[element]
            places.append(f"{device.tag}.{part.a}")  # type: ignore[union-attr]
        rows = [joined.get(self._terminal(place), {}) for place in places]
        pairs = [(row.get(a, FALSE), row.get(b, FALSE)) for row in rows for a, b in lanes.apart]
        return np.array([pair for pair in pairs if FALSE not in pair] or np.zeros((0, 2)), np.int64).reshape(-1, 2)

    def _terminal(self, place: str) -> str:
        """A terminal at a place that is named otherwise."""
        if place in self.compiled.program.joined:
            return place
        node = self.lanes.network.node(place)
        nodes = self.lanes.network.elements.node_of
        return next((name for name in self.compiled.program.joined if nodes.get(name) == node), place)

    def _worked(self, override: Override, held: dict[int, bool], plan: Plan) -> Any:
        """What is worked from outside, with stuck buttons, held contacts and turned ones."""
        stuck = {tag: value for tag, value in override.stuck.items() if tag not in self.lanes.seat_of}
        nodes = plan.hand_nodes.tolist()
        if not stuck and not override.inverted and not any(node in held for node in nodes):
            return plan.hand
        hand = plan.hand.copy()
        for at, node in enumerate(nodes):
            name = self.compiled.name_of[node]
            device, part = self.lanes.circuit.elements[name]
            assert isinstance(part, Contact)
            if device.tag in stuck and part.form != "at":
                hand[:, at] = lane_loop.ALL if stuck[device.tag] == (part.form == "no") else lane_loop.NONE
            if name in override.inverted:
                hand[:, at] ^= lane_loop.ALL
            if node in held:
                hand[:, at] = lane_loop.ALL if held[node] else lane_loop.NONE
        return hand

    def _followed(self, override: Override, held: dict[int, bool], plan: Plan) -> Any:
        """Inputs that follow a seat, without those that are held, and with turned contacts turned."""
        follow = plan.follow
        if not override.inverted and not any(node in held for node in follow[:, 0].tolist()):
            return follow
        follow = follow[[node not in held for node in follow[:, 0].tolist()]].copy()
        for row in follow:
            row[2] ^= self.compiled.name_of[int(row[0])] in override.inverted
        return follow

    def _changed(self, override: Override) -> Any:
        """The table with what is stuck, dead or never runs out."""
        if not override.stuck and not override.untimed and not override.dead:
            return self.table
        table = self.table.copy()
        for row in table:
            seat = self.lanes.seats[int(row[lane_loop.SEAT])]
            tag = seat.device.tag
            if tag in override.stuck:
                row[lane_loop.STUCK] = int(override.stuck[tag])
            elif seat.timed and tag in override.untimed:
                row[lane_loop.STUCK] = 0 if row[lane_loop.KIND] == lane_loop.ON_DELAY else 1
            dead = {load.drives for load in seat.device.loads if f"{tag}.{load.name}" in override.dead}
            if dead & {"coil", "set"}:
                row[lane_loop.FULL] = row[lane_loop.MAY] = FALSE
            if "reset" in dead:
                row[lane_loop.RESET] = FALSE
        return table


@dataclass(frozen=True)
class Plan:
    """Gates in order and the inputs below them; see `lane_loop` for the shapes."""

    order: Any
    hand_nodes: Any
    hand: Any
    follow: Any

    @classmethod
    def of(cls, compiled: Compiled, wanted: list[int]) -> Plan:
        """Everything that some literals depend on."""
        cone = sorted(compiled.program.gates.cone(wanted))
        hands = [node for node in cone if node in compiled.hand]
        follows = [(node, *compiled.follows[node]) for node in cone if node in compiled.follows]
        presses = compiled.lanes.presses
        empty = np.zeros((presses.steps, 0, presses.words), np.uint64)
        return cls(
            np.array([node for node in cone if compiled.left[node] != INPUT], np.uint32),
            np.array(hands, np.int64),
            np.ascontiguousarray(np.stack([compiled.hand[node] for node in hands], 1)) if hands else empty,
            np.array(follows or np.zeros((0, 3)), np.int64),
        )


def _kind(seat: Seat) -> int:
    if not seat.timed:
        return KINDS[seat.device.mechanism.sort]
    return lane_loop.ON_DELAY if seat.device.mechanism.sort == "on-delay" else lane_loop.OFF_DELAY
