"""The moving panel: mechanisms, calendar and currents together, one instant after another.

Deterministic: for given times the same steps give the same course. `Run` is the friendly face of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ..circuit import Contact, Device, Fuse, Load
from ..electrics import DeviceState, Network, Position, Solution, is_closed
from ..electrics.contraction import Groups
from .agenda import Agenda
from .fuses import seconds_to_blow
from .injection import Injected
from .mechanisms import Clock, Rule
from .stands import MOVING, Arm, Stand
from .timers import rule_of
from .times import Paces, Times, times_of

SAME_INSTANT_S = 1e-9
BOUNCES, BOUNCE_S = 6, 0.001  # a bouncing contact changes six times, a millisecond each; common practice, no source
QUICK_FUSE_S = 1.0  # a fuse that takes longer than this does not hold up the settling


@dataclass(frozen=True, slots=True)
class Moment:
    """What is true after one instant: kept to tell the story and to compare."""

    now: float
    stands: Mapping[str, Stand]
    position: Position
    solution: Solution
    network: Network


@dataclass(frozen=True, slots=True)
class Panel:
    """What never changes during a run."""

    network: Network
    contacts: Mapping[str, tuple[tuple[str, Contact], ...]]
    drivers: tuple[tuple[str, str, Load], ...]  # element, tag, load of everything that drives a mechanism
    held_by: Mapping[str, tuple[str, ...]]  # mechanically interlocked partners
    fuses: Mapping[str, Fuse]
    group_of: Mapping[str, int]  # devices with the same number may act on one another

    @classmethod
    def of(cls, network: Network) -> Panel:
        """Everything looked up once."""
        circuit = network.circuit
        partners: dict[str, list[str]] = defaultdict(list)
        for one, other in circuit.interlocks:
            partners[one].append(other)
            partners[other].append(one)
        return cls(
            network,
            {d.tag: tuple((f"{d.tag}.{c.name}", c) for c in d.contacts) for d in circuit.devices},
            tuple(
                (f"{d.tag}.{load.name}", d.tag, load)
                for d in circuit.devices
                if d.mechanism.sort != "fixed"
                for load in d.loads
                if load.drives or d.mechanism.sort == "off-delay"
            ),
            {tag: tuple(others) for tag, others in partners.items()},
            {f"{d.tag}.{p.name}": p for d in circuit.devices for p in d.parts if isinstance(p, Fuse)},
            groups_of(network),
        )


@dataclass
class Engine:
    """A panel in motion. Make one with `Engine.at_rest`, branch off with `copy`."""

    panel: Panel
    rules: dict[str, Rule]
    stands: dict[str, Stand]
    agenda: Agenda
    network: Network
    closed: set[str]
    paces: Paces = field(default_factory=Paces)
    injected: tuple[Injected, ...] = ()
    blown: set[str] = field(default_factory=set)
    unlatched: set[str] = field(default_factory=set)  # poles of breakers whose handle is off
    fluttered: set[str] = field(default_factory=set)  # bad contacts that are open just now
    bounces: dict[str, int] = field(default_factory=dict)  # how often a bouncing contact will still change
    off: set[str] = field(default_factory=set)
    now: float = 0.0
    touched: set[str] = field(default_factory=set)  # devices whose stand has changed since somebody last looked
    _heating: set[str] = field(default_factory=set)
    solution: Solution = field(init=False)
    position: Position = field(init=False)

    @classmethod
    def at_rest(cls, network: Network, paces: Paces | None = None) -> Engine:
        """Supplies off, nothing operated, selectors where they start, disconnects and breakers closed."""
        paces = paces or Paces()
        circuit = network.circuit
        rules = {d.tag: rule_of(d, times_of(d, paces.of(d.tag))) for d in circuit.devices}
        stands = {tag: rule.at_rest() for tag, rule in rules.items()}
        engine = cls(Panel.of(network), rules, stands, Agenda(), network, set(), paces)
        engine.off = {device.tag for device, _ in circuit.supplies}
        for tag in stands:
            engine._set_contacts(tag)
        engine.flow()
        return engine

    def copy(self, paces: Paces | None = None) -> Engine:
        """A panel of its own in the same state; with `paces`, whatever starts from now on runs at those."""
        twin = Engine(
            self.panel,
            self.rules if paces is None else self._rules_at(paces),
            dict(self.stands),
            self.agenda.copy(),
            self.network,
            set(self.closed),
            paces or self.paces,
            self.injected,
            set(self.blown),
            set(self.unlatched),
            set(self.fluttered),
            dict(self.bounces),
            set(self.off),
            self.now,
            set(self.touched),
            set(self._heating),
        )
        twin.solution, twin.position = self.solution, self.position
        return twin

    def _rules_at(self, paces: Paces) -> dict[str, Rule]:
        by_tag = self.network.circuit.by_tag
        return {tag: rule_of(by_tag[tag], self._times(by_tag[tag], paces)) for tag in self.rules}

    def _times(self, device: Device, paces: Paces) -> Times:
        times = times_of(device, paces.of(device.tag))
        for injected in self.injected:
            times = injected.times_of(device.tag, times)
        return times

    # -- what is asked ---------------------------------------------------------------------------------------------

    def moment(self) -> Moment:
        """What is true now."""
        return Moment(self.now, dict(self.stands), self.position, self.solution, self.network)

    def is_quick(self, due: float, tag: str, key: str) -> bool:
        """Whether an entry of the calendar is a movement, not a set time."""
        if key == "blow":
            return due - self.now < QUICK_FUSE_S
        return key != "flutter" and key in self.rules[tag].quick_keys()

    def is_moving(self) -> bool:
        """Whether anything is on its way, timers apart."""
        return any(self.is_quick(*entry) for entry in self.agenda.entries())

    def freeze_set_times(self, seconds: float, unless_by: float = 0.0) -> None:
        """Put off everything that is not a movement, and not due by `unless_by`."""
        for due, tag, key in tuple(self.agenda.entries()):
            if due > unless_by + SAME_INSTANT_S and not self.is_quick(due, tag, key):
                self.agenda.enter(due + seconds, tag, key)

    # -- what is done ----------------------------------------------------------------------------------------------

    def clock(self, tag: str) -> Clock:
        """The calendar as a device sees it now."""
        held = any(self.stands[other].plain.at != "rest" for other in self.panel.held_by.get(tag, ()))
        return Clock(tag, self.now, self.agenda, held)

    def work(self, tag: str, verb: str, value: str = "") -> None:
        """Work a device from outside, at this instant. The currents follow with `flow`."""
        if verb in ("reset", "switch-on"):
            self.blown -= {e for e in self.blown if e.startswith(f"{tag}.") and self.panel.fuses[e].resettable}
        elif verb == "renew":
            self.blown -= {element for element in self.blown if element.startswith(f"{tag}.")}
        elif verb == "take-out":
            self.blown |= {e for e, fuse in self.panel.fuses.items() if e.startswith(f"{tag}.") and not fuse.resettable}
        elif verb == "trip" and not self.rules[tag].device.contacts:
            self.blown |= {e for e, fuse in self.panel.fuses.items() if e.startswith(f"{tag}.") and fuse.resettable}
        self._take_stand(tag, self.rules[tag].do(self.stands[tag], verb, value, self.clock(tag)))

    def power(self, tag: str, on: bool) -> None:
        """A supply comes or goes."""
        (self.off.discard if on else self.off.add)(tag)

    def leap(self, seconds: float) -> None:
        """Let time go by while movements go on as they are; set times keep their moment."""
        for due, tag, key in tuple(self.agenda.entries()):
            if self.is_quick(due, tag, key):
                self.agenda.enter(due + seconds, tag, key)
        self.stands = {tag: later(stand, seconds) for tag, stand in self.stands.items()}
        self.now += seconds

    def _flutter(self, element: str) -> None:
        """A bad contact changes: open for a while, whatever its device does, then again as it should be."""
        half_s = next((s for fault in self.injected for e, s in fault.flutters if e == element), 0.0)
        if self.bounces.get(element):
            self.bounces[element] -= 1
            half_s = BOUNCE_S
        if not half_s:  # a loose one rests until the next jolt, a mended one for good
            self.fluttered.discard(element)
            return
        (self.fluttered.discard if element in self.fluttered else self.fluttered.add)(element)
        self.agenda.enter(self.now + half_s, element, "flutter")

    def step(self) -> None:
        """Go to the next instant at which something is due, and let all of it happen."""
        due = self.agenda.next_due()
        if due is None:
            return
        self.now = max(self.now, due)
        while (due := self.agenda.next_due()) is not None and due <= self.now + SAME_INSTANT_S:
            _, tag, key = self.agenda.take()
            if key == "blow":
                self.blown.add(tag)
            elif key == "flutter":
                self._flutter(tag)
            else:
                self._take_stand(tag, self.rules[tag].due(self.stands[tag], key, self.clock(tag)))
        self.flow()

    def flow(self) -> None:
        """Work out the currents and tell every coil what it gets."""
        closed, blown = frozenset(self.closed - self.fluttered), frozenset(self.blown | self.unlatched)
        self.position = Position(closed, blown, frozenset(self.off))
        self.solution = self.network.solve(self.position)
        for element, tag, load in self.panel.drivers:
            verdict = self.solution.verdict(element)
            if verdict != "partial":  # between its bands a coil keeps doing what it does
                stand = self.stands[tag]
                if (load.name in stand.fed) != (verdict == "full"):
                    self._take_stand(tag, self.rules[tag].feed(stand, load.name, verdict == "full", self.clock(tag)))
        self._heat_fuses()

    def _take_stand(self, tag: str, stand: Stand) -> None:
        before = self.stands[tag]
        if stand is before:
            return
        self.stands[tag] = stand
        self.touched.add(tag)
        if stand.plain.at == before.plain.at and stand.timed.at == before.timed.at:
            return
        self._set_contacts(tag)
        if self.injected:
            self._shake(tag, before, stand)
        if stand.plain.at == "rest" != before.plain.at:
            for other in self.panel.held_by.get(tag, ()):
                self._take_stand(other, self.rules[other].free(self.stands[other], self.clock(other)))

    def _shake(self, tag: str, before: Stand, stand: Stand) -> None:
        """What the arrival of a mechanism does to bad contacts: its own that bounce, loose ones in its place."""
        for fault in self.injected:
            for element in fault.bouncing:
                part = self.network.circuit.elements[element][1]
                closes = isinstance(part, Contact) and conducts(part, stand) and not conducts(part, before)
                if element.startswith(f"{tag}.") and closes:
                    self.bounces[element] = BOUNCES
                    self.agenda.enter(self.now + BOUNCE_S, element, "flutter")
        if stand.plain.at != MOVING:
            self._jolt(tag)

    def _jolt(self, tag: str) -> None:
        """A relay that arrives shakes its place: loose contacts there open for a moment."""
        device = self.rules[tag].device
        if not any(load.drives for load in device.loads):
            return
        for fault in self.injected:
            for element, seconds in fault.loose:
                if self.network.circuit.elements[element][0].place == device.place:
                    self.fluttered.add(element)
                    self.agenda.enter(self.now + seconds, element, "flutter")

    def _set_contacts(self, tag: str) -> None:
        stand = self.stands[tag]
        if self.rules[tag].device.mechanism.sort == "switch":
            handle = {element for element in self.panel.fuses if element.startswith(f"{tag}.")}
            self.unlatched = self.unlatched - handle if stand.plain.at == "operated" else self.unlatched | handle
        refitted = {element: form for fault in self.injected for element, form in fault.refitted}
        for element, contact in self.panel.contacts[tag]:
            if element in refitted:
                contact = replace(contact, form=refitted[element])
            if conducts(contact, stand):
                self.closed.add(element)
            else:
                self.closed.discard(element)

    def _heat_fuses(self) -> None:
        hot = {over.element: over for over in self.solution.overloads if over.blows}
        for element in self._heating - set(hot):
            self.agenda.strike(element, "blow")
        for element in set(hot) - self._heating:
            seconds = seconds_to_blow(self.panel.fuses[element], hot[element].amps)
            self.agenda.enter(self.now + seconds, element, "blow")
        self._heating = set(hot)

    # -- faults ----------------------------------------------------------------------------------------------------

    def inject(self, injected: tuple[Injected, ...]) -> None:
        """From now on exactly these faults are present. The currents follow with `flow`."""
        gone = [old for old in self.injected if old not in injected]
        new = [fault for fault in injected if fault not in self.injected]
        self.injected = injected
        self.network = self.panel.network.edited([edit for fault in injected for edit in fault.edits])
        self.rules = self._rules_at(self.paces)
        for fault in gone:
            for tag, _ in fault.stuck:
                self._take_stand(tag, self.rules[tag].unstick(self.stands[tag], self.clock(tag)))
            self.blown -= set(fault.blown)
        for fault in new:
            for tag, at in fault.stuck:
                self._take_stand(tag, self.rules[tag].stick(self.stands[tag], at, self.clock(tag)))
            self.blown |= set(fault.blown)
        for tag in {element.partition(".")[0] for fault in (*gone, *new) for element, _ in fault.refitted}:
            self._set_contacts(tag)
        for fault in new:
            for element, half_s in fault.flutters:
                self.agenda.enter(self.now + half_s, element, "flutter")


def groups_of(network: Network) -> dict[str, int]:
    """Devices that may act on one another: by a conductor between them that is no rail, or by an interlock."""
    circuit, elements = network.circuit, network.elements
    rails = {node for feed in elements.feeds.values() for node in (feed.a, feed.b)}
    joined = Groups(elements.nodes + len(circuit.devices))
    first = {device.tag: elements.nodes + at for at, device in enumerate(circuit.devices)}
    for key, terminals in elements.ends.items():
        tag = key.partition(".")[0]
        for terminal in terminals:
            node = elements.node_of.get(terminal)
            if node is not None and node not in rails and tag in first:
                joined.tie(first[tag], node, 0.0)
    for one, other in circuit.interlocks:
        joined.tie(first[one], first[other], 0.0)
    return {tag: joined.find(place) for tag, place in first.items()}


def later(stand: Stand, seconds: float) -> Stand:
    """The same stand, some time later: a movement that is under way has begun so much later."""
    if MOVING not in (stand.plain.at, stand.timed.at):
        return stand
    plain, timed = (replace(arm, since=arm.since + seconds) for arm in (stand.plain, stand.timed))
    return replace(stand, plain=plain, timed=timed)


def conducts(contact: Contact, stand: Stand) -> bool:
    """Whether a contact is closed; a selector's stays closed on the way between two positions that both close it."""
    if contact.form != "at":
        return is_closed(contact, DeviceState(stand.plain.at, stand.timed.at))  # type: ignore[arg-type]
    arm: Arm = stand.plain
    if arm.at == MOVING:
        return arm.left in contact.positions and arm.toward in contact.positions
    return arm.at in contact.positions
