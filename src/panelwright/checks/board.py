"""The drawing board: one circuit with everything that rules ask about, worked out when first asked for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ..behaviour.standing import Standings
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
    Sentence,
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


class Board:
    """A circuit as rules look at it. `circuit` is the allotted one."""

    def __init__(self, circuit: Circuit) -> None:
        self.wiring: Wiring = wire(circuit)
        self.circuit: Circuit = self.wiring.circuit
        self.written: Circuit = circuit

    @cached_property
    def network(self) -> Network:
        """The network that is solved."""
        return Network(self.wiring)

    @cached_property
    def standings(self) -> Standings:
        """Questions about all settings of the devices."""
        return Standings(self.network)

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
        """Devices with a coil whose main contacts lie on the ways, never leading away again, from nets to the rails."""
        seen, waiting, found = set(nets), list(nets), set[str]()
        for here in waiting:
            for wired in self.conducting.get(here, ()):
                there = wired.b if wired.a == here else wired.a
                if self._hops.get(there, 0) >= self._hops.get(here, 0):
                    continue
                if isinstance(wired.part, Contact) and any(load.drives for load in wired.device.loads):
                    found.add(wired.device.tag)
                if there not in seen:
                    seen.add(there)
                    waiting.append(there)
        return found

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

    def waived(self, what: str, tag: str = "") -> Sentence | None:
        """The waiver of a standing promise ("no restart"), for everything or for one device."""
        for promise in self.circuit.promises:
            if promise.form == "waive" and promise.waives == what:
                tags = {state.subject for state in promise.states}
                if not tags or tag in tags:
                    return promise
        return None


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
