"""A model in which one thing changes at a time, with everything at rest, and the rest is left to the devices.

Whatever is assumed of a step here speaks of one device at a time: of the things that may begin in one step each has a
number, and a step is about one number. So a question about a few devices brings in few others.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from ...circuit import Device
from ...electrics.gates import FALSE, TRUE
from .assuming import put_in_place
from .cone import Cone
from .model import Bit
from .panel import Panel


@dataclass(frozen=True, slots=True)
class Arm:
    """Contacts that move together, or a magnet. `arm`: "", ":timed" or " magnet".

    `want`: literal of what it is driven to; `doubtful`: of a half fed coil that may do either.
    """

    tag: str
    arm: str
    want: int
    doubtful: int

    @property
    def name(self) -> str:
        """As its bits and choices are named."""
        return f"{self.tag}{self.arm}"


class RaceCone(Cone):
    """Devices as a model in which one thing changes at a time and the rest is left to them."""

    def __init__(self, panel: Panel, tags: Iterable[str]) -> None:
        self.arms: list[Arm] = []
        self.timed: dict[str, int] = {}  # device to the choice that its time is over
        self._ahead: dict[int, int] = {}
        self._untimed: dict[int, int] = {}
        super().__init__(panel, tags)
        self.begins = self.model.choice("begins")  # something is changed, or a time is over
        self._one_thing_at_rest()
        self._no_button_at_first()

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
        events = [*model.begun, *self._times_over()]
        by_hand, by_supply = model.choice("begins by hand"), model.choice("begins by supply")
        which = self._numbers("which", len(events))
        for number, (tag, literal) in enumerate(events):
            needs = [self.begins, *which[number]]
            if number < len(model.begun):
                needs.append(by_supply if self.circuit.by_tag[tag].sources else by_hand)
            self._whenever(literal, g.all_of(needs))
        for arm in self.arms:
            self._whenever(self.begins, self.restless(arm) ^ 1)
        for tag in self.slow_hands:
            self._whenever(self.begins, g.or_(self.operated(tag), self.at_rest(tag)))
        begun = dict(model.begun)
        held = self._numbers("held", len(self._pushes))
        for number, push in enumerate(self._pushes):  # one at most besides what begins; none when a supply does
            is_held = self.at_rest(push.tag) ^ 1
            self._whenever(g.all_of([by_hand, begun.get(push.tag, FALSE) ^ 1, is_held]), g.all_of(held[number]))
            self._whenever(by_supply, is_held ^ 1)

    def _whenever(self, condition: int, literal: int) -> None:
        """In every step in which the condition holds, the literal holds."""
        self.model.steps.append(self.model.gates.or_(condition ^ 1, literal))

    def _numbers(self, name: str, count: int) -> list[list[int]]:
        """For each of so many things the literals "it is this one", of which a step can hold those of one only."""
        digits = [self.model.choice(f"{name}:{digit}") for digit in range(max(1, count - 1).bit_length())]
        return [[digit ^ (not number >> at & 1) for at, digit in enumerate(digits)] for number in range(count)]

    def _times_over(self) -> list[tuple[str, int]]:
        """The times that may be over in this step, each with its device."""
        g = self.model.gates
        found: list[tuple[str, int]] = []
        for tag, choice in self.timed.items():
            between = self._under_way(tag)
            found.append((tag, g.and_(choice, between ^ 1)))
            if between != FALSE:  # contacts on their way because the time is over arrive, while the coil is fed
                goes_in = [between, self.operated(tag), g.input(f"?move {tag}:timed"), g.input(f"!{tag}:timed sent in")]
                self._whenever(g.all_of(goes_in), choice)
        return found

    def _no_button_at_first(self) -> None:
        """Power comes for the first time with no button held."""
        pushes = {device.tag for device in self._pushes}
        for at, bit in enumerate(self.model.bits):
            if bit.tag in pushes:
                self.model.bits[at] = Bit(bit.name, bit.now, bit.next, bit.name.endswith(":rest"), bit.tag, bit.input)

    def _under_way(self, tag: str) -> int:
        """Timed contacts are open both ways."""
        return self.model.gates.and_(self.operated(tag, ":timed") ^ 1, self.at_rest(tag, ":timed") ^ 1)

    @cached_property
    def _pushes(self) -> list[Device]:
        return [d for d in self.circuit.devices if d.tag in self.tags and d.mechanism.sort == "push"]

    @cached_property
    def slow_hands(self) -> list[str]:
        """What is worked from outside and has a place between its two."""
        begun = dict.fromkeys(tag for tag, _ in self.model.begun)
        return [tag for tag in begun if self.panel.has_place_between(tag, "")]

    def restless(self, arm: Arm) -> int:
        """The arm wants to move at once."""
        g, model = self.model.gates, self.model
        op, rest = self.places(arm)
        away = model.if_(self.without_time(arm.want), op ^ 1, rest ^ 1)
        return g.and_(away, arm.doubtful ^ 1)

    def places(self, arm: Arm) -> tuple[int, int]:
        """Literals "operated" and "at rest"."""
        if arm.arm == " magnet":
            pulls = self.model.gates.input(f"!{arm.tag} magnet")
            return pulls, pulls ^ 1
        return self.operated(arm.tag, arm.arm), self.at_rest(arm.tag, arm.arm)

    def without_time(self, literal: int) -> int:
        """A literal while no time runs out."""
        if not self.timed:
            return literal
        over = {choice >> 1: FALSE for choice in self.timed.values()}
        return put_in_place(self.model.gates, literal, over, self._untimed)

    # ---- what may go wrong
    def diverted(self, arm: Arm) -> int:
        """In this step an arm that is on its way, or about to be, loses what drives it there."""
        g, model = self.model.gates, self.model
        op, rest = (self._after(one) for one in self.places(arm))
        arrived = model.if_(arm.want, op, rest)
        flips = model.differ(arm.want, self._after(arm.want))
        return g.all_of([self.restless(arm), arrived ^ 1, flips])

    def untouched(self) -> list[int]:
        """Literals that together say of a step: nothing begins in it, and all holds that is assumed."""
        model = self.model
        return [self.begins ^ 1, *model.always, *model.steps, *(self._after(one) for one in model.always)]

    def _after(self, literal: int) -> int:
        """A literal over the state, taken in the state after the step."""
        return put_in_place(self.model.gates, literal, self._becomes, self._ahead)

    @cached_property
    def _becomes(self) -> dict[int, int]:
        return {bit.now >> 1: bit.next ^ (bit.now & 1) for bit in self.model.bits}
