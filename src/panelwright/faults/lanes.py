"""Many courses of presses at once, sound and with one fault after another: 64 lanes in a word of the gate program.

A fault is followed only where it can reach: the devices whose coils depend on what it changes, those that depend on
them, and so on. All others are taken from the sound panel, pass for pass. In one pass every relay that should move
moves; times run out when all has come to rest. A coil with part of its volts stays as it is, and the answer says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property

from ..circuit import Load
from ..electrics import Network, compile_gates
from ..electrics.potentials import Potentials
from .compiled import Compiled
from .overrides import Override, join_name
from .presses import Presses
from .routes import KINDS, Seat, Shown


class NotInLanes(ValueError):
    """A device that moves in a way that lanes do not know."""


class Lanes:
    """A network with courses of presses, and the sound panel taken through them. Raises NotInLanes."""

    def __init__(self, network: Network, presses: Presses) -> None:
        self.network, self.presses = network, presses
        self.circuit = network.circuit
        self.seats = list(self._seats())
        self.seat_of = {seat.name: index for index, seat in enumerate(self.seats)}
        self.plain = Compiled(self, compile_gates(network))
        self.sound = self.plain.sound()

    def _seats(self) -> Iterator[Seat]:
        for device in self.circuit.devices:
            sort = device.mechanism.sort
            if any(load.drives for load in device.loads):
                if sort not in KINDS or len(self.partners(device.tag)) > 1:
                    raise NotInLanes(f"{device.tag} ({device.kind})")
                yield Seat(device.tag, device)
                if any(contact.timing == "timed" for contact in device.contacts):
                    yield Seat(f"{device.tag}:timed", device, True)

    def partners(self, tag: str) -> list[str]:
        """Contactors that are interlocked mechanically with one."""
        return [b if a == tag else a for a, b in self.circuit.interlocks if tag in (a, b)]

    @cached_property
    def rivals(self) -> list[tuple[int, int]]:
        """Seats that need each other's contacts: of the two, the one named first in the file goes first."""
        needs, feeds = self.plain.needs_for_full, self.plain.feeds
        depends = [(a, b) for a, need in enumerate(needs) for b in range(a) if need & feeds[b]]
        return [(a, b) for a, b in depends if needs[b] & feeds[a]]

    @cached_property
    def visible(self) -> tuple[str, ...]:
        """What the operator can see or hear: lamps, sounders, valves, motors; coils in a panel without any."""
        loads = [f"{d.tag}.{p.name}" for d in self.circuit.devices for p in d.loads if _is_visible(p)]
        ways = ("forward", "reverse")
        motors = [f"{d.tag}.{m.name} {way}" for d in self.circuit.devices for m in d.motors for way in ways]
        found = [*loads, *motors]
        return tuple(found or (f"{d.tag}.{p.name}" for d in self.circuit.devices for p in d.loads if p.drives))

    @cached_property
    def apart(self) -> list[tuple[str, str]]:
        """Pairs of rail terminals that must not touch, by their names in the gate program."""
        potentials = Potentials(self.network.elements, lambda element, side: element.b if side else element.a)
        names = {self.network.node(rail): rail for rail in self.plain.program.rails}
        pairs = [(p.a, p.b) for p in potentials.pairs if p.level.effective > 1e-6]
        return [(names[a], names[b]) for a, b in pairs if a in names and b in names and a < b]

    def show(self, overrides: Sequence[Override | None], batch: int = 32) -> list[Shown | None]:
        """What each fault shows, in the order given; None for what lanes cannot follow."""
        found: list[Shown | None] = [None] * len(overrides)
        waiting: list[tuple[int, Override]] = []
        for index, override in enumerate(overrides):
            if override is not None and override.is_plain:
                found[index] = self.plain.show(override)
            elif override is not None:
                waiting.append((index, override))
        for start in range(0, len(waiting), batch):
            together = waiting[start : start + batch]
            compiled = self.compiled([override for _, override in together])
            for index, override in together:
                found[index] = compiled.show(override)
        return found

    def compiled(self, overrides: Sequence[Override]) -> Compiled:
        """One gate program for several faults: their joins as edges, the wires of their nets told apart."""
        nodes = {node for override in overrides for node in override.nodes}
        joins = {join_name(pair): pair for override in overrides for pair in override.joins}
        return Compiled(self, compile_gates(self.network, at_terminals=nodes, joins=joins))


def _is_visible(load: Load) -> bool:
    return not load.drives and load.sort in ("lamp", "sounder", "solenoid", "coil")
