"""The parts of a circuit as the solver sees them: switches, consumers, valves and feeds between numbered nodes.

Node 0 is earth. Every net is a node, every terminal without a conductor a node of its own, and star points inside
supplies and motors are nodes without a name.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from ..circuit import Circuit, Contact, Device, Diode, Fuse, Link, Load, Motor, Net, Source, nets_of
from .contraction import Branch

EARTH = 0
DIODE_OHMS = 0.05  # slope of a conducting diode above its drop; common practice, no source
LIMIT_FACTOR = (
    1.1  # an electronic dc supply holds its current at this multiple of its rating; common practice, no source
)
MOTOR_POWER_FACTOR = 0.8  # of a loaded motor where nothing better is said; common practice, no source
BLOCKS_SIEMENS = 1e-12  # what a capacitor still lets through on dc, so that its far side is not undefined

# of a motor with leads U1 V1 W1 W2 U2 V2: where the other end of each winding is
WINDING_ENDS = (4, 5, 3)


@dataclass(frozen=True, slots=True)
class Switch:
    """Joins two nodes while closed. `sort`: contact, fuse, link or strap (the earth strap of a supply)."""

    id: str
    a: int
    b: int
    sort: str
    ohms: float = 0.0
    amps: float = 0.0  # rating of a fuse


@dataclass(frozen=True, slots=True)
class Consumer:
    """An impedance: a load, one winding of a motor, or a bridge that a fault or a meter makes.

    `polarised`: conducts only with `a` positive.
    """

    id: str
    a: int
    b: int
    ohms: float
    reactance_ohms: float = 0.0
    hertz: float = 0.0
    farads: float = 0.0
    polarised: bool = False

    def siemens(self, hertz: float) -> complex:
        """Admittance at a frequency, 0 for dc."""
        if self.farads:
            across = 2j * math.pi * hertz * self.farads + (1 / self.ohms if self.ohms else 0.0)
            return across or BLOCKS_SIEMENS
        if self.reactance_ohms < 0 and hertz == 0:
            return BLOCKS_SIEMENS
        scale = hertz / self.hertz if self.hertz else float(hertz > 0)
        reactance = self.reactance_ohms * scale if self.reactance_ohms > 0 else self.reactance_ohms / (scale or 1.0)
        impedance = complex(self.ohms, reactance)
        return 1 / impedance if impedance else 0.0


@dataclass(frozen=True, slots=True)
class Valve:
    """A diode, conducting from `a` to `b` above `drop_v`."""

    id: str
    a: int
    b: int
    drop_v: float
    ohms: float = DIODE_OHMS


@dataclass(frozen=True, slots=True)
class Feed:
    """A source between two nodes, or one phase of one: V(a) - V(b) = volts, less what drops in `ohms`.

    `limit_a`: a dc supply that holds its current there, 0 none. `short_ohms`: what is assumed inside it when it
    is shorted and nothing is declared. `primary`: element id of the load it lives from, "" when ideal;
    `primary_v` the volts which that is rated for.
    """

    id: str
    tag: str
    rail: str
    a: int
    b: int
    volts: complex
    hertz: float
    ohms: float = 0.0
    limit_a: float = 0.0
    rated_a: float = 0.0
    short_ohms: float = 1.0
    primary: str = ""
    primary_v: float = 0.0


Element = Switch | Consumer | Valve | Feed


@dataclass
class Elements:
    """All elements of a circuit, with the node of every terminal. Filled once, then only copied with changes."""

    nodes: int = 1
    node_of: dict[str, int] = field(default_factory=dict)  # terminals, rails and points ("@4") to nodes
    switches: dict[str, Switch] = field(default_factory=dict)
    consumers: dict[str, Consumer] = field(default_factory=dict)
    valves: dict[str, Valve] = field(default_factory=dict)
    feeds: dict[str, Feed] = field(default_factory=dict)
    ends: dict[str, tuple[str, ...]] = field(default_factory=dict)  # element id to the terminals of its nodes a, b
    _conducting: dict[float, dict[str, Branch]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def consumer_branches(self, hertz: float) -> dict[str, Branch]:
        """Every consumer as it conducts at a frequency when nothing else changes it; kept, so ask when all are in."""
        found = self._conducting.get(hertz)
        if found is None:
            found = self._conducting[hertz] = {c.id: (c.a, c.b, c.siemens(hertz), 0.0) for c in self.consumers.values()}
        return found

    def fresh(self) -> int:
        """A new node."""
        self.nodes += 1
        return self.nodes - 1

    def node(self, terminal: str) -> int:
        """Node of a terminal; a terminal without a conductor gets one of its own."""
        if terminal not in self.node_of:
            self.node_of[terminal] = self.fresh()
        return self.node_of[terminal]

    def all(self) -> Iterator[Element]:
        """Every element."""
        yield from self.switches.values()
        yield from self.consumers.values()
        yield from self.valves.values()
        yield from self.feeds.values()

    def land(self, element: Element, a: int, b: int) -> None:
        """Put an element between other nodes."""
        if isinstance(element, Switch):
            self.switches[element.id] = replace(element, a=a, b=b)
        elif isinstance(element, Consumer):
            self.consumers[element.id] = replace(element, a=a, b=b)
        elif isinstance(element, Valve):
            self.valves[element.id] = replace(element, a=a, b=b)
        else:
            self.feeds[element.id] = replace(element, a=a, b=b)

    def drop(self, element: Element) -> None:
        """Take an element out."""
        for table in (self.switches, self.consumers, self.valves, self.feeds):
            table.pop(element.id, None)

    def terminals(self, key: str) -> tuple[str, str]:
        """Terminals of the nodes a and b of an element or motor winding; "" for a star point inside."""
        ends = self.ends.get(key)
        if ends is not None and len(ends) == 2:
            return ends[0], ends[1]
        motor, _, number = key.rpartition(":")
        leads = self.ends.get(motor, ())
        if len(leads) >= 6:
            return leads[int(number) - 1], leads[WINDING_ENDS[int(number) - 1]]
        return (leads[int(number) - 1], "") if leads else ("", "")

    def copy(self) -> Elements:
        """A copy that may be changed."""
        return Elements(
            self.nodes,
            dict(self.node_of),
            dict(self.switches),
            dict(self.consumers),
            dict(self.valves),
            dict(self.feeds),
            dict(self.ends),
        )


def elements_of(circuit: Circuit) -> Elements:
    """The elements of an allotted circuit."""
    found = Elements(node_of={"earth": EARTH})
    nets = nets_of(circuit)
    used = {terminal for net in nets if len(net.terminals) > 1 or net.rails for terminal in net.terminals}
    for net in nets:
        _place_net(found, net)
    for device in circuit.devices:
        for part in device.parts:
            if isinstance(part, Source):
                _add_source(found, device, part, used)
            elif isinstance(part, Motor):
                _add_motor(found, device, part)
            else:
                _add_two_terminal(found, device, part)
        for mark in device.terminals:
            found.node(f"{device.tag}.{mark}")  # spare ones too: a lead can land there
    return found


def _place_net(found: Elements, net: Net) -> None:
    node = EARTH if net.protective else found.fresh()
    for name in (*net.terminals, *net.rails, *(f"@{point}" for point in net.points)):
        found.node_of[name] = node


def _add_two_terminal(found: Elements, device: Device, part: Contact | Load | Diode | Fuse | Link) -> None:
    key = f"{device.tag}.{part.name}"
    terminals = f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"
    a, b = (found.node(terminal) for terminal in terminals)
    found.ends[key] = terminals
    if isinstance(part, Contact):
        found.switches[key] = Switch(key, a, b, "contact", part.ohms)
    elif isinstance(part, Fuse):
        found.switches[key] = Switch(key, a, b, "fuse", 0.0, part.amps)
    elif isinstance(part, Link):
        found.switches[key] = Switch(key, a, b, "link", part.ohms)
    elif isinstance(part, Diode):
        found.valves[key] = Valve(key, a, b, part.drop_v)
    elif part.sort == "capacitor" and part.reactance_ohms and part.hertz:
        farads = 1 / (2 * math.pi * part.hertz * abs(part.reactance_ohms))
        found.consumers[key] = Consumer(key, a, b, 0.0, farads=farads)
    else:
        found.consumers[key] = Consumer(key, a, b, part.ohms, part.reactance_ohms, part.hertz, polarised=part.polarised)


def _add_source(found: Elements, device: Device, source: Source, used: set[str]) -> None:
    terminals = [f"{device.tag}.{mark}" for mark in source.terminals]
    by_rail = {rail: t for rail, t in zip(source.rails, terminals, strict=True) if rail != "PE"}
    for rail, terminal in zip(source.rails, terminals, strict=True):
        node = EARTH if rail == "PE" else found.node(terminal)
        found.node_of[terminal] = node
        found.node_of[rail] = node
    live = list(by_rail.items())
    if source.phases == 3:
        lines, neutral = live[:3], live[3:]
        star = found.node(neutral[0][1]) if neutral else found.fresh()
        for turn, (rail, terminal) in enumerate(lines):
            volts = cmath.rect(source.volts / math.sqrt(3), -turn * 2 * math.pi / 3)
            ends = (terminal, neutral[0][1] if neutral else "")
            _add_feed(found, device, source, rail, (found.node(terminal), star), volts, ends, used)
    else:
        (rail, first), (_, second) = live[:2]
        nodes = found.node(first), found.node(second)
        _add_feed(found, device, source, rail, nodes, source.volts, (first, second), used)
    if source.earthed_at:
        key = f"{device.tag}.earth"
        terminal = by_rail.get(source.earthed_at, "")
        found.switches[key] = Switch(key, found.node_of[source.earthed_at], EARTH, "strap")
        found.ends[key] = (terminal, "earth")


def _add_feed(
    found: Elements,
    device: Device,
    source: Source,
    rail: str,
    nodes: tuple[int, int],
    volts: complex,
    ends: tuple[str, str],
    used: set[str],
) -> None:
    key = f"{device.tag}.{source.name}" + (f":{rail}" if source.phases == 3 else "")
    rated_a = source.amps or (source.va / source.volts / (math.sqrt(3) if source.phases == 3 else 1.0))
    limits = source.current == "dc" and source.amps > 0 and not source.ohms
    primary = _primary_of(device, source, used)
    found.ends[key] = ends
    found.feeds[key] = Feed(
        key,
        device.tag,
        rail,
        *nodes,
        volts,
        source.hertz if source.current == "ac" else 0.0,
        source.ohms,
        source.amps * LIMIT_FACTOR if limits else 0.0,
        rated_a,
        _short_ohms(source, rated_a, limits),
        f"{device.tag}.{primary.name}" if primary else "",
        primary.rated_v if primary else 0.0,
    )


def _short_ohms(source: Source, rated_a: float, limits: bool) -> float:
    if limits:
        return source.volts / (source.amps * LIMIT_FACTOR)
    # a transformer gives some 15 times its rated current into a short, a mains feed 1000 A; common practice, no source
    return source.volts / (15 * rated_a if rated_a else 1000.0)


def _primary_of(device: Device, source: Source, used: set[str]) -> Load | None:
    """The primary that the source lives from, when something is wired to it."""
    if not source.fed_by:
        return None
    part = device.part(source.fed_by)
    if isinstance(part, Load) and {f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"} <= used:
        return part
    return None


def _add_motor(found: Elements, device: Device, motor: Motor) -> None:
    key = f"{device.tag}.{motor.name}"
    leads = [f"{device.tag}.{mark}" for mark in motor.leads]
    nodes = [found.node(lead) for lead in leads]
    found.ends[key] = tuple(leads)
    if motor.phases == 1 or len(leads) < 3:
        pairs, rated_ohms = [(nodes[0], nodes[1])], motor.volts / motor.amps
    elif len(leads) >= 6:
        # U1 V1 W1 W2 U2 V2: rated volts stand across each winding, in delta; winding current is amps / sqrt 3
        pairs = [(nodes[start], nodes[end]) for start, end in enumerate(WINDING_ENDS)]
        rated_ohms = motor.volts * math.sqrt(3) / motor.amps
    else:
        star = found.fresh()
        pairs, rated_ohms = [(node, star) for node in nodes[:3]], motor.volts / math.sqrt(3) / motor.amps
    resistance = rated_ohms * MOTOR_POWER_FACTOR
    reactance = rated_ohms * math.sqrt(1 - MOTOR_POWER_FACTOR**2)
    for number, (a, b) in enumerate(pairs, 1):
        name = key if len(pairs) == 1 else f"{key}:{number}"
        found.consumers[name] = Consumer(name, a, b, resistance, reactance)
