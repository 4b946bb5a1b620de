"""The drawing board: the structure of one circuit, and questions about how it can stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property

from ..circuit import Contact, Device, Expect, Sentence, Use, uses_in
from ..electrics.standing import Standings
from .structure import Structure, Wired, lone_use, parallels_in, series_in

__all__ = ["Board", "Wired", "is_push_break", "is_stop", "lone_use", "parallels_in", "series_in", "stops_of"]

_STOP = re.compile(r"\b(stop|halt|emergency off)\b", re.IGNORECASE)
_BRAKE = re.compile(r"brak", re.IGNORECASE)
MOST_TRIES = 24  # positions solved before a load is taken to be never half fed


class Board(Structure):
    """A circuit with everything that rules ask about, worked out when first asked for."""

    @cached_property
    def standings(self) -> Standings:
        """Questions about all settings of the devices, disconnects and breakers being on."""
        return Standings(self.network, switched_on=True)

    def pushes(self, besides: str = "") -> list[int]:
        """Literals of the spring-return buttons, one of them left out."""
        tags = [d.tag for d in self.circuit.devices if d.mechanism.sort == "push" and d.tag != besides]
        return [literal for tag in tags if (literal := self.standings.input(tag)) is not None]

    @cached_property
    def relays_out(self) -> list[int]:
        """Literals that say that every coil device is out and every timed contact at rest."""
        found: list[int] = []
        for device in self.circuit.devices:
            if any(load.drives for load in device.loads) and device.mechanism.sort != "latching":
                for name in (device.tag, f"{device.tag}:timed"):
                    literal = self.standings.input(name)
                    if literal is not None:
                        found.append(literal ^ 1)
        return found

    @cached_property
    def at_rest_literals(self) -> list[int]:
        """Everything out, no button pressed, nothing tripped: how a panel stands when power returns."""
        hand = [d.tag for d in self.circuit.devices if d.mechanism.sort in ("latched push", "trip")]
        untouched = [literal ^ 1 for tag in hand if (literal := self.standings.input(tag)) is not None]
        return [*self.relays_out, *(literal ^ 1 for literal in self.pushes()), *untouched]

    @cached_property
    def opposed(self) -> tuple[tuple[Wired, Wired], ...]:
        """Pairs of contactor coils that short a supply when both are in, with every other contactor out."""
        coils = {w.device.tag: w for w in self.coils if any(c.contact.main for c in self.contacts_of(w.device.tag))}
        tags = sorted(coils)
        pairs = [(one, other) for index, one in enumerate(tags) for other in tags[index + 1 :]]
        return tuple((coils[one], coils[other]) for one, other in pairs if self._opposed(one, other, tags))

    def _opposed(self, one: str, other: str, tags: list[str]) -> bool:
        """Whether the supply is whole with each of two contactors alone in and shorted with both."""
        program = self.standings.program
        a, b = self.standings.input(one), self.standings.input(other)
        if a is None or b is None or not program.short:
            return False
        out = [self.standings.input(tag) for tag in tags if tag not in (one, other)]
        others = [literal ^ 1 for literal in out if literal is not None]
        both = self.standings.find([program.short, a, b, *others], settled=False)
        if both is None:
            return False
        alone = [[a, b ^ 1], [a ^ 1, b]]
        return not any(self.standings.can([program.short, *two, *others], settled=False) for two in alone)

    def share_a_way(self, motor: str, one: str, other: str) -> bool:
        """Whether the current of a motor can pass two devices on one way from a lead to a rail."""
        device = self.circuit.by_tag[motor]
        leads = [f"{motor}.{lead}" for part in device.motors for lead in part.leads]
        return any({one, other} <= way for lead in leads if (net := self.net(lead)) for way in self.ways(net))

    @cached_property
    def trips(self) -> tuple[Device, ...]:
        """Overload relays and other devices that trip."""
        return tuple(d for d in self.circuit.devices if d.mechanism.sort == "trip")

    @cached_property
    def overloads(self) -> dict[str, set[str]]:
        """Motor to the overload relays that its current passes."""
        trips = {d.tag for d in self.trips}
        found: dict[str, set[str]] = {}
        for tag in self.feeding:
            device = self.circuit.by_tag[tag]
            leads = [f"{tag}.{lead}" for motor in device.motors for lead in motor.leads]
            found[tag] = self.on_the_way({net for lead in leads if (net := self.net(lead))}) & trips
        return found

    def is_braking(self, wired: Wired) -> bool:
        """Whether a contactor only brakes its motor; braking may go on after a trip."""
        return bool(_BRAKE.search(wired.device.text))

    def has_motor_supply(self, tag: str) -> bool:
        """Whether any lead of a motor reaches a rail through contacts."""
        device = self.circuit.by_tag[tag]
        leads = [f"{tag}.{lead}" for motor in device.motors for lead in motor.leads]
        nets = [net for lead in leads if (net := self.net(lead))]
        return any(there in self.circuit.rails for net in nets for there in self.reached(net))

    def partly_fed(self, wired: Wired) -> tuple[float, str] | None:
        """Volts and position of a settled standing in which a load gets neither its full volts nor nothing."""
        program = self.standings.program
        literals = [program.may[wired.id], program.full[wired.id] ^ 1, program.short ^ 1]
        for found in self.standings.each(literals, MOST_TRIES):
            answer = self.network.solve(self.standings.position(found)).load(wired.id)
            if wired.load.rests_v < answer.acting_v < wired.load.works_v:
                return answer.acting_v, self.standings.told(found)
        return None

    def waived(self, what: str, tag: str = "") -> Sentence | None:
        """The waiver of a standing promise ("no restart"), for everything or for one device."""
        for promise in self.circuit.promises:
            if promise.form == "waive" and promise.waives == what:
                tags = {state.subject for state in promise.states}
                if not tags or tag in tags:
                    return promise
        return None

    def is_expected_to_buzz(self, tag: str) -> bool:
        """Whether a trial expects it, so that it is meant."""
        steps = (step for trial in self.circuit.trials for step in trial.steps)
        return any(isinstance(step, Expect) and step.form == "buzzes" and step.subject in ("", tag) for step in steps)


def is_stop(device: Device) -> bool:
    """Whether a button is called a stop."""
    return device.mechanism.sort in ("push", "latched push") and bool(_STOP.search(device.text))


def is_push_break(board: Board, use: Use) -> bool:
    """Whether a use is the break contact of a button that somebody presses to stop."""
    device = board.circuit.by_tag[use.device]
    return device.mechanism.sort in ("push", "latched push") and use.form == "nc"


def stops_of(board: Board, wired: Wired) -> Iterator[Device]:
    """The stop buttons with a break contact in the rung of a coil."""
    rung = board.rung_of(wired.id)
    if rung is None:
        return
    for tag in dict.fromkeys(use.device for use in uses_in(rung.body)):
        device = board.circuit.by_tag[tag]
        breaks = any(isinstance(w.part, Contact) and w.contact.form == "nc" for w in board.contacts_of(tag))
        if is_stop(device) and breaks:
            yield device
