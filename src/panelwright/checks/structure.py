"""What hangs where: the parts of a circuit between its nets, as rules look at it."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ..circuit import (
    Circuit,
    Contact,
    Device,
    Fuse,
    Here,
    Item,
    Link,
    Load,
    Motor,
    Net,
    Parallel,
    PathUse,
    Rung,
    Series,
    Source,
    Span,
    Use,
    net_of,
    uses_in,
)
from ..electrics import Network
from ..wiring import Wiring, wire


@dataclass(frozen=True, slots=True)
class Wired:
    """A two-terminal part that stands in a rung or on a power path, between two nets. `span`: where it is used."""

    device: Device
    part: Contact | Load | Fuse | Link
    a: str  # net id at terminal a
    b: str
    span: Span | None

    @property
    def id(self) -> str:
        """Element id."""
        return f"{self.device.tag}.{self.part.name}"

    @property
    def load(self) -> Load:
        """The part, which has to be a load."""
        assert isinstance(self.part, Load)
        return self.part

    @property
    def contact(self) -> Contact:
        """The part, which has to be a contact."""
        assert isinstance(self.part, Contact)
        return self.part

    @property
    def volt_amperes(self) -> float:
        """What the load takes at rated volts, in VA."""
        impedance = abs(complex(self.load.ohms, self.load.reactance_ohms))
        return self.load.rated_v**2 / impedance if impedance else 0.0


class Structure:
    """A circuit as parts between nets. `circuit` is the allotted one."""

    def __init__(self, circuit: Circuit, wiring: Wiring | None = None) -> None:
        """`wiring`: of this very circuit, when there is one already."""
        self.wiring: Wiring = wiring or wire(circuit)
        self.circuit: Circuit = self.wiring.circuit
        self.written: Circuit = circuit

    @cached_property
    def network(self) -> Network:
        """The network that is solved."""
        return Network(self.wiring)

    @cached_property
    def nets(self) -> dict[str, Net]:
        """Terminal to net."""
        return net_of(self.circuit)

    def net(self, terminal: str) -> str | None:
        """Id of the net of a terminal, None without a wire."""
        found = self.nets.get(terminal)
        return found.id if found else None

    @cached_property
    def spans(self) -> dict[str, Span]:
        """Element id to the first place where a rung or path uses it."""
        found: dict[str, Span] = {}
        for rung in self.circuit.rungs:
            for use in uses_in(rung.body):
                if use.span:
                    found.setdefault(use.element, use.span)
        for path in self.circuit.power_paths:
            for item in path.items:
                if isinstance(item, PathUse) and item.span:
                    for name in item.names:
                        found.setdefault(f"{item.device}.{name}", item.span)
        return found

    def span(self, element: str) -> Span | None:
        """Where an element is used, else where its device is declared."""
        device, _ = self.circuit.elements[element]
        return self.spans.get(element) or device.span

    @cached_property
    def wired(self) -> tuple[Wired, ...]:
        """Every contact, load, fuse and link with a wire at both ends."""
        return tuple(self._wired())

    def _wired(self) -> Iterator[Wired]:
        for device in self.circuit.devices:
            for part in device.parts:
                if isinstance(part, Source | Motor) or not isinstance(part, Contact | Load | Fuse | Link):
                    continue
                a, b = self.net(f"{device.tag}.{part.a}"), self.net(f"{device.tag}.{part.b}")
                if a is not None and b is not None:
                    yield Wired(device, part, a, b, self.spans.get(f"{device.tag}.{part.name}") or device.span)

    @cached_property
    def loads(self) -> tuple[Wired, ...]:
        """The wired loads, primaries left out."""
        return tuple(w for w in self.wired if isinstance(w.part, Load) and w.part.sort != "primary")

    @cached_property
    def coils(self) -> tuple[Wired, ...]:
        """The wired loads that move contacts."""
        return tuple(w for w in self.loads if isinstance(w.part, Load) and w.part.drives)

    @cached_property
    def conducting(self) -> dict[str, list[Wired]]:
        """Net to the contacts, fuses and links at it."""
        found: dict[str, list[Wired]] = defaultdict(list)
        for wired in self.wired:
            if not isinstance(wired.part, Load):
                found[wired.a].append(wired)
                found[wired.b].append(wired)
        return found

    def reached(self, net: str, *, through: type | tuple[type, ...] = (Contact, Fuse, Link)) -> dict[str, list[Wired]]:
        """Nets that can be reached from a net without passing a load, each with the parts on a shortest way."""
        ways: dict[str, list[Wired]] = {net: []}
        waiting = [net]
        for here in waiting:
            if here != net and here in self.circuit.rails:
                continue  # beyond a rail another way begins
            for wired in self.conducting.get(here, ()):
                there = wired.b if wired.a == here else wired.a
                if there not in ways and isinstance(wired.part, through):
                    ways[there] = [*ways[here], wired]
                    waiting.append(there)
        return ways

    @cached_property
    def control_sources(self) -> tuple[tuple[Device, Source], ...]:
        """Sources whose rails feed a section of rungs."""
        rails = {rail for rung in self.circuit.rungs for rail in rung.section}
        ends = {end for rung in self.circuit.rungs for end in (rung.start, rung.end)}
        return tuple((d, s) for d, s in self.circuit.supplies if set(s.rails) & (rails | ends))

    def rail_net(self, device: Device, source: Source, rail: str) -> str | None:
        """Net of a rail of a source."""
        return self.net(f"{device.tag}.{source.terminals[source.rails.index(rail)]}")

    @cached_property
    def feeding(self) -> dict[str, set[str]]:
        """Motor, solenoid or brake to the contactors and relays whose contacts its current passes."""
        found: dict[str, set[str]] = {}
        for device in self.circuit.devices:
            leads = [f"{device.tag}.{lead}" for motor in device.motors for lead in motor.leads]
            nets = {net for lead in leads if (net := self.net(lead))}
            if device.motors:
                found[device.tag] = self._moved_contacts(nets)
        return found

    @cached_property
    def _hops(self) -> dict[str, int]:
        """Net to the number of contacts, fuses and links between it and the nearest rail."""
        hops = {net: 0 for rail in self.circuit.rails if (net := self.net(self.circuit.rails[rail][0])) is not None}
        waiting = list(hops)
        for here in waiting:
            for wired in self.conducting.get(here, ()):
                there = wired.b if wired.a == here else wired.a
                if there not in hops:
                    hops[there] = hops[here] + 1
                    waiting.append(there)
        return hops

    def _moved_contacts(self, nets: set[str]) -> set[str]:
        """Devices with a coil on the way from some nets to the rails."""
        return {tag for tag in self.on_the_way(nets) if any(load.drives for load in self.circuit.by_tag[tag].loads)}

    def on_the_way(self, nets: set[str]) -> set[str]:
        """Devices whose poles lie on the ways, never leading away again, from some nets to the rails."""
        seen, waiting, found = set(nets), list(nets), set[str]()
        for here in waiting:
            for wired in self.conducting.get(here, ()):
                there = wired.b if wired.a == here else wired.a
                if self._hops.get(there, 0) >= self._hops.get(here, 0):
                    continue
                found.add(wired.device.tag)
                if there not in seen:
                    seen.add(there)
                    waiting.append(there)
        return found

    def ways(self, net: str) -> Iterator[set[str]]:
        """The devices on each way from a net to a rail that never leads away from it."""
        if not self._hops.get(net):
            yield set()
            return
        for wired in self.conducting.get(net, ()):
            there = wired.b if wired.a == net else wired.a
            if self._hops.get(there, 0) < self._hops[net]:
                for way in self.ways(there):
                    yield {wired.device.tag, *way}

    @cached_property
    def motions(self) -> tuple[Wired, ...]:
        """Coils whose pulling in can move something; without a motor or solenoid, those of contactors."""
        feeders = set().union(*self.feeding.values()) if self.feeding else set()
        moving = [w for w in self.loads if w.device.tag in feeders or getattr(w.part, "sort", "") == "solenoid"]
        if not moving:
            moving = [w for w in self.coils if w.device.kind in ("contactor", "latched breaker")]
        return tuple(moving)

    def contacts_of(self, tag: str) -> tuple[Wired, ...]:
        """The wired contacts of a device."""
        return tuple(w for w in self.wired if w.device.tag == tag and isinstance(w.part, Contact))

    def rung_of(self, element: str) -> Rung | None:
        """The first rung that uses an element."""
        for rung in self.circuit.rungs:
            if any(use.element == element for use in uses_in(rung.body)):
                return rung
        return None

    def has_wires(self, device: Device, part: Contact | Load) -> bool:
        """Whether both ends of a part are wired."""
        return all(self.net(f"{device.tag}.{mark}") is not None for mark in (part.a, part.b))

    def spans_of(self, tag: str) -> Span | None:
        """The first use of a device in a rung, else its line."""
        uses = (use for rung in self.circuit.rungs for use in uses_in(rung.body) if use.device == tag and use.span)
        return next((use.span for use in uses), self.circuit.by_tag[tag].span)

    def span_at(self, net: str) -> Span | None:
        """The first use that touches a net."""
        near = (w.span for w in self.wired if net in (w.a, w.b))
        return next(near, None)

    def between_rails(self, source: Source) -> float:
        """Volts between two rails of a source: three phases against N are less than between lines."""
        if source.phases == 3 and "N" in source.rails:
            return source.volts / math.sqrt(3)
        return source.volts

    def fed_by(self, wired: Wired) -> list[tuple[Device, Source, float]]:
        """The sources that can have a load straight between two rails, through contacts and fuses, with the volts."""
        one, other = self.reached(wired.a), self.reached(wired.b)
        found: list[tuple[Device, Source, float]] = []
        for device, source in self.circuit.supplies:
            nets = {rail: self.rail_net(device, source, rail) for rail in source.rails if rail != "PE"}
            at_one = {rail for rail, net in nets.items() if net in one}
            at_other = {rail for rail, net in nets.items() if net in other}
            if at_one and at_other and not at_one & at_other:
                volts = source.volts
                if source.phases == 3 and "N" in at_one | at_other:
                    volts /= math.sqrt(3)
                found.append((device, source, volts))
        return found


def series_in(item: Item) -> Iterator[Series]:
    """Every series of a rung, the outermost first."""
    if isinstance(item, Series):
        yield item
        for inner in item.items:
            yield from series_in(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from series_in(branch)


def parallels_in(item: Item) -> Iterator[Parallel]:
    """Every parallel of a rung."""
    if isinstance(item, Parallel):
        yield item
        for branch in item.branches:
            yield from parallels_in(branch)
    elif isinstance(item, Series):
        for inner in item.items:
            yield from parallels_in(inner)


def lone_use(branch: Series) -> Use | None:
    """The use of a branch that has nothing else."""
    uses = [item for item in branch.items if not isinstance(item, Here)]
    return uses[0] if len(uses) == 1 and isinstance(uses[0], Use) else None
