"""A circuit compiled once for proofs: its gates in terms of where the devices stand, and what depends on what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from ...circuit import Circuit, Contact, Fuse, nets_of
from ...electrics import GateProgram, Network, Position, Surroundings, compile_gates, surroundings_of
from ...electrics.gates import FALSE, TRUE, GateBuilder
from ..injection import NEVER_S, Injected
from ..times import Pace, Times, times_of
from .plain_loads import without_needless_doubt


@dataclass(frozen=True, slots=True)
class HalfFed:
    """In this position of the inputs of the gate program, the electrical solution says what a half fed coil does."""

    tag: str
    drives: str
    position: tuple[tuple[str, bool], ...]
    works: bool


class Panel:
    """A circuit compiled once: its gate program in terms of where the devices stand, and what depends on what."""

    def __init__(
        self, network: Network, stuck: Mapping[str, bool] | None = None, injected: Injected | None = None
    ) -> None:
        """`stuck`: devices that a fault holds, operated or at rest. `injected`: a fault, for the times that it changes;
        what else it does is in the network.
        """
        self.network = network
        self.stuck = dict(stuck or {})
        self.injected = injected
        self.circuit: Circuit = network.circuit
        self.program = without_needless_doubt(compile_gates(network, self._literal))
        self._known: dict[str, set[str]] = {}
        self._around: dict[str, Surroundings] = {}
        self.facts: set[HalfFed] = set()
        self.decided: set[str] = set()  # loads of which the gates say what the volts say
        self.given_up: set[str] = set()  # loads with too many positions to work them out
        self.live_at: dict[str, int] = {}  # point or rail to the literal that it is live

    @cached_property
    def forms(self) -> dict[tuple[str, str], set[str]]:
        """Device and timing to the forms of contacts that have wires."""
        found: dict[tuple[str, str], set[str]] = {}
        wired = {terminal for net in nets_of(self.circuit) for terminal in net.terminals}
        for device in self.circuit.devices:
            for part in device.contacts:
                if f"{device.tag}.{part.a}" in wired and f"{device.tag}.{part.b}" in wired:
                    found.setdefault((device.tag, _arm(part)), set()).add(part.form)
        return found

    def times_of(self, tag: str, pace: Pace) -> Times:
        """The times of a device at a pace, as a fault has changed them."""
        times = times_of(self.circuit.by_tag[tag], pace)
        return times if self.injected is None else self.injected.times_of(tag, times)

    @property
    def is_retimed(self) -> bool:
        """Whether a fault has changed the times of a device."""
        return self.injected is not None and bool(self.injected.delays or self.injected.paces)

    def never_times_out(self, tag: str) -> bool:
        """Whether a fault keeps the time of a timer from ever being up."""
        return self.injected is not None and (tag, NEVER_S) in self.injected.delays

    def has_place_between(self, tag: str, arm: str) -> bool:
        """Whether an arm is told apart from rest and operated while it moves."""
        return {"no", "nc"} <= self.forms.get((tag, arm), set())

    def operated(self, gates: GateBuilder, tag: str, arm: str = "") -> int:
        """Its make contacts are closed."""
        return gates.input(f"{tag}{arm}")

    def at_rest(self, gates: GateBuilder, tag: str, arm: str = "") -> int:
        """Its break contacts are closed."""
        between = self.has_place_between(tag, arm)
        return gates.input(f"{tag}{arm}:rest") if between else gates.input(f"{tag}{arm}") ^ 1

    def _literal(self, gates: GateBuilder, name: str) -> int:
        if name.startswith("supply:"):
            return gates.input(name)
        device, part = self.circuit.elements[name]
        if isinstance(part, Fuse):
            return gates.input(device.tag) if device.mechanism.sort == "switch" else TRUE
        if not isinstance(part, Contact):
            return TRUE
        if part.form == "at":
            return gates.any_of(gates.input(f"{device.tag}={p}") for p in sorted(part.positions))
        arm = _arm(part)
        return self.operated(gates, device.tag, arm) if part.form == "no" else self.at_rest(gates, device.tag, arm)

    @cached_property
    def input_names(self) -> dict[int, str]:
        """Node of the gate program to the name of the input."""
        return dict(zip(self.program.gates.input_nodes, self.program.gates.inputs, strict=True))

    def depends(self, tags: Iterable[str]) -> set[str]:
        """The devices that some devices depend on, through their coils, themselves included."""
        found: set[str] = set()
        waiting = list(tags)
        while waiting:
            tag = waiting.pop()
            if tag not in found and tag in self.circuit.by_tag:
                found.add(tag)
                waiting += self.drivers(tag)
        return found

    def drivers(self, tag: str) -> set[str]:
        """The devices that the coils of a device depend on, and those that hold it mechanically."""
        if tag not in self._known:
            coils = [f"{tag}.{p.name}" for p in self.circuit.by_tag[tag].loads if p.drives]
            others = {b if a == tag else a for a, b in self.circuit.interlocks if tag in (a, b)}
            self._known[tag] = others.union(*(self.tags_feeding(coil) for coil in coils))
        return self._known[tag]

    def tags_feeding(self, load: str) -> set[str]:
        """The devices that decide what a load gets; where that may be part of its volts, all that volts depend on."""
        found = self.tags_in([table.get(load, FALSE) for table in (self.program.full, self.program.may)])
        return found | self.tags_around(load) if self.may_be_half_fed(load) and load not in self.decided else found

    def may_be_half_fed(self, load: str) -> bool:
        """Whether the gates leave it open somewhere what a load gets."""
        return self.program.full.get(load) != self.program.may.get(load)

    def take(self, program: GateProgram) -> None:
        """Go on with a program that says more; literals of the old one mean the same in it."""
        self.program = program
        self._known.clear()
        self.__dict__.pop("input_names", None)

    def tags_around(self, place: str) -> set[str]:
        """The devices that the volts at a load, a point or a rail depend on."""
        around = self.around(place)
        return {*around.supplies, *(switch.partition(".")[0] for switch in around.switches)}

    def rails_not_earthed(self) -> dict[str, list[str]]:
        """Rails of the gate program that are not earthed, each with the supplies that hold it."""
        node = self.network.node
        earthed: set[int] = set()
        holders: dict[int, list[str]] = {}
        for device, source in self.circuit.supplies:
            for rail, mark in zip(source.rails, source.terminals, strict=True):
                holders.setdefault(node(f"{device.tag}.{mark}"), []).append(device.tag)
                earthed |= {node(f"{device.tag}.{mark}")} if rail == source.earthed_at else set()
        return {r: holders[node(r)] for r in self.program.rails if node(r) in holders and node(r) not in earthed}

    def around(self, place: str) -> Surroundings:
        """What the volts at a load, a point or a rail depend on."""
        if place not in self._around:
            self._around[place] = surroundings_of(self.network, place)
        return self._around[place]

    def explained(self, place: str, position: Position, held: Mapping[str, bool]) -> dict[str, bool]:
        """The inputs of the gate program that, standing as they do, settle the volts at a place.

        `held`: how all inputs stand in the position; those that are missing are false.
        """
        around = self.around(place)
        found = {f"supply:{tag}": held.get(f"supply:{tag}", False) for tag in sorted(around.supplies)}
        for switch in sorted(around.in_position(position)):
            for name in self._inputs_of_switch(switch):
                found[name] = held.get(name, False)
        return found

    def conducts(self, tag: str, contact: Contact, held: Mapping[str, bool]) -> bool:
        """Whether a contact is closed with the inputs of the gate program standing so."""
        if contact.form == "at":
            return any(held.get(f"{tag}={position}", False) for position in contact.positions)
        arm = _arm(contact)
        if contact.form == "no":
            return held.get(f"{tag}{arm}", False)
        between = self.has_place_between(tag, arm)
        return held.get(f"{tag}{arm}:rest", False) if between else not held.get(f"{tag}{arm}", False)

    def _inputs_of_switch(self, switch: str) -> Iterable[str]:
        """The inputs that say whether a contact or a fuse conducts; none for a fuse that always does."""
        device, part = self.circuit.elements[switch]
        if isinstance(part, Fuse):
            return (device.tag,) if device.mechanism.sort == "switch" else ()
        assert isinstance(part, Contact)
        if part.form == "at":
            return [f"{device.tag}={position}" for position in device.mechanism.positions]
        arm = _arm(part)
        between = part.form == "nc" and self.has_place_between(device.tag, arm)
        return (f"{device.tag}{arm}:rest" if between else f"{device.tag}{arm}",)

    def tags_in(self, literals: Iterable[int]) -> set[str]:
        """The devices that literals of the gate program speak of."""
        return {tag_of_input(name) for name in self.program.gates.inputs_of(literals)}


def tag_of_input(name: str) -> str:
    """The device of an input ("supply:G1", "SA1=HAND", "K1:rest")."""
    return name.removeprefix("supply:").partition("=")[0].partition(":")[0]


def _arm(contact: Contact) -> str:
    return ":timed" if contact.timing == "timed" else ""
