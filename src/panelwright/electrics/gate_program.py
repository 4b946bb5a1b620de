"""The circuit as gates: for every contact position at once, which loads have full volts, which have none.

Two eliminations of one graph. In the first only closed contacts conduct: a load whose two ends are joined to two
rails has their full difference, whatever else is connected. In the second every load and diode conducts as well:
a load not even then between two rails surely gets nothing. Between the two answers it is *partial*, and the
electrical solution of that position says how much (see docs/why/what-flows.md).
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING

from ..circuit import Load
from .contraction import CLASH_V
from .edits import MOVES_WIRES, place, terminal_at
from .elements import Element, Switch
from .elimination import Elimination
from .gates import FALSE, TRUE, GateBuilder, Gates
from .motor_gates import motor_gates
from .potentials import Potentials
from .solution import Level, Verdict, acting_volts, working_volts
from .solving import NEGLIGIBLE_OHMS

if TYPE_CHECKING:
    from .network import Network

Place = int | str  # a node; with `at_terminals` a terminal where its net has wires
LiteralOf = Callable[[GateBuilder, str], int]
Joins = Mapping[str, tuple[str, str]]


@dataclass(frozen=True)
class GateProgram:
    """Literals into `gates` (see `Gates` for evaluating and walking).

    Inputs are named: a contact or fuse by element id, true while it conducts; "supply:G1", true while it is on;
    with `at_terminals` also "wire:K1.9 S2.13", true while it is whole; the names of `joins`, true while they touch.
    `full`: load gets the full volts that it works with. `may`: it may get something; none = not may.
    `short`: a supply is shorted or set against another, `shorts` the same by tag; in such a position `full` and
    `may` say what is joined to the rails, not what is left of their volts.
    `live`: the supply has its volts. `forward`, `reverse`: by motor, full volts in that direction;
    `touched`: the motor may get something; touched and in neither direction is partial.
    `joined`: by terminal and kept rail terminal, joined through contacts; `reach` the same for anything that may
    carry a voltage, loads included.
    """

    gates: Gates
    full: dict[str, int]
    may: dict[str, int]
    short: int
    shorts: dict[str, int]
    live: dict[str, int]
    forward: dict[str, int]
    reverse: dict[str, int]
    touched: dict[str, int]
    rails: tuple[str, ...]
    joined: dict[str, dict[str, int]]
    reach: dict[str, dict[str, int]]

    def verdicts(self, true: Iterable[str]) -> dict[str, Verdict]:
        """Verdict of every load with these inputs true and the others false."""
        loads = list(self.full)
        held = self.gates.values(true, [*(self.full[load] for load in loads), *(self.may[load] for load in loads)])
        answers: dict[str, Verdict] = {}
        for load, full, may in zip(loads, held[: len(loads)], held[len(loads) :], strict=True):
            answers[load] = "full" if full else "partial" if may else "none"
        return answers


def own_input(gates: GateBuilder, name: str) -> int:
    """Every contact, fuse, supply and wire is an input of its own."""
    return gates.input(name)


def compile_gates(
    network: Network,
    literal_of: LiteralOf = own_input,
    at_terminals: bool | Collection[int] = False,
    joins: Joins | None = None,
) -> GateProgram:
    """The gate program of a network, its edits included.

    `literal_of(gates, name)`: the literal that stands for a contact, fuse, supply or wire. Returning one literal for
    all make contacts of a relay and its negation for the break contacts makes the program one of device states;
    returning TRUE for a supply leaves "supply off" out.
    `at_terminals`: every wire becomes an input, for faults, or those of some nodes; the network needs its wires.
    `joins`: places that may touch by a fault ("earth", "@4", terminals, rails), by the name of their input. Many at
    once make many gates: some tens a program are a good number.
    Raises UnknownPlace, and ValueError for wires told apart after an edit that has moved or cut some.
    """
    if at_terminals and any(isinstance(edit, MOVES_WIRES) for edit in network.edits):
        raise ValueError("wires cannot be told apart in a network whose edits have moved or cut some of them")
    return _Compiler(network, literal_of, at_terminals, joins or {}).program()


class _Compiler:
    def __init__(
        self, network: Network, literal_of: LiteralOf, at_terminals: bool | Collection[int], joins: Joins
    ) -> None:
        self.network = network
        self.elements = network.elements
        self.gates = GateBuilder()
        self.literal_of = literal_of
        self.joins = joins
        self.wired = set(network.wires) if at_terminals is True else set(at_terminals or ()) & set(network.wires)
        self.feeds = list(self.elements.feeds.values())
        self.potentials = Potentials(self.elements, self.place)
        self.rails: tuple[Place, ...] = self.potentials.rails
        self.on: dict[str, int] = {}
        self.may_on: dict[str, int] = {}

    def place(self, element: Element, side: int) -> Place:
        """Node of one end of an element, or its terminal where wires are told apart."""
        node = element.b if side else element.a
        return self.elements.terminals(element.id)[side] or node if node in self.wired else node

    def where(self, terminal: str) -> Place:
        """Node of a place, or of its terminal where wires are told apart."""
        node = place(self.elements, terminal)
        return terminal_at(self.elements, terminal) if node in self.wired else node

    def switch_edges(self) -> Iterator[tuple[Place, Place, int]]:
        for switch in self.elements.switches.values():
            if switch.ohms <= NEGLIGIBLE_OHMS:
                yield self.place(switch, 0), self.place(switch, 1), self.switch_literal(switch)
        for node in self.wired:
            for start, end in self.network.wires[node]:
                yield start, end, self.literal_of(self.gates, f"wire:{start} {end}")
        for name, (one, other) in self.joins.items():
            yield self.where(one), self.where(other), self.literal_of(self.gates, name)

    def switch_literal(self, switch: Switch) -> int:
        return self.literal_of(self.gates, switch.id) if switch.sort in ("contact", "fuse") else TRUE

    def loose_edges(self) -> Iterator[tuple[Place, Place, int]]:
        """What conducts only in the second elimination, and the closed contacts."""
        yield from self.switch_edges()
        for switch in self.elements.switches.values():
            if switch.ohms > NEGLIGIBLE_OHMS:
                yield from self.loose_edge(switch, self.switch_literal(switch))
        resistive: tuple[Element, ...] = (*self.elements.consumers.values(), *self.elements.valves.values())
        for element in resistive:
            yield from self.loose_edge(element, TRUE)

    def loose_edge(self, element: Element, literal: int) -> Iterator[tuple[Place, Place, int]]:
        """Besides the edge itself: with one end joined to a rail, it leads from its other end to that rail."""
        a, b = self.place(element, 0), self.place(element, 1)
        yield a, b, literal
        for here, there in ((a, b), (b, a)):
            for rail, joined in self.tight.get(there, {}).items():
                if rail in self.rails:
                    yield here, rail, self.gates.and_(literal, joined)

    def program(self) -> GateProgram:
        stars = [self.where(terminal) for terminal in self._star_leads()]
        tight = Elimination(self.gates, self.switch_edges(), [*self.rails, *stars])
        self.tight = tight.joined_to()
        for feed in self.feeds:
            self.on[feed.tag] = self.live_literal(feed.tag)
        passes = {place: self.free_literal(place) for place in self.tight}
        self.loose = Elimination(self.gates, self.loose_edges(), self.rails, passes).joined_to(self.tight)
        for feed in self.feeds:
            self.may_on[feed.tag] = self.may_live_literal(feed.tag)
        return self.outputs()

    def _star_leads(self) -> Iterator[str]:
        for device in self.network.circuit.devices:
            for motor in device.motors:
                if len(motor.leads) >= 6:
                    yield from (f"{device.tag}.{lead}" for lead in motor.leads[3:6])

    def live_literal(self, tag: str) -> int:
        """The supply is on and, where it lives from a primary, that has full volts."""
        if tag not in self.on:
            self.on[tag] = FALSE  # a supply that would live from itself does not
            literal = self.literal_of(self.gates, f"supply:{tag}")
            primary = next((f.primary for f in self.feeds if f.tag == tag), "")
            if primary:
                literal = self.gates.and_(literal, self.full(primary))
            self.on[tag] = literal
        return self.on[tag]

    def may_live_literal(self, tag: str) -> int:
        if tag not in self.may_on:
            self.may_on[tag] = FALSE
            literal = self.literal_of(self.gates, f"supply:{tag}")
            primary = next((f.primary for f in self.feeds if f.tag == tag), "")
            if primary:
                literal = self.gates.and_(literal, self.may(primary))
            self.may_on[tag] = literal
        return self.may_on[tag]

    def free_literal(self, place: Place) -> int:
        """Not joined to a live rail: such a net stands at the volts of the rail, and nothing passes on through it."""
        found = TRUE
        for rail in self.rails:
            live = self.gates.any_of(self.on[tag] for tag in self.potentials.tags_at(rail))
            found = self.gates.and_(found, self.gates.and_(self.tight[place][rail], live) ^ 1)
        return found

    def load(self, element: str) -> Load:
        part = self.network.circuit.elements[element][1]
        assert isinstance(part, Load)
        return part

    def ends(self, element: str) -> tuple[Place, Place]:
        consumer = self.elements.consumers[element]
        return self.place(consumer, 0), self.place(consumer, 1)

    def full(self, element: str) -> int:
        """The load stands between two rails, through contacts, whose difference it surely works with."""
        if element not in self.elements.consumers:
            return FALSE
        load, (a, b) = self.load(element), self.ends(element)
        works_v, _ = working_volts(load)
        found = FALSE
        for pair in self.potentials.pairs:
            if acting_volts(load, pair.level) >= works_v * (1 - 1e-9):
                lit = self.gates.and_(self.to(self.tight, a, pair.a), self.to(self.tight, b, pair.b))
                found = self.gates.or_(found, self.gates.and_(lit, self.all_on(pair.tags)))
        return found

    def may(self, element: str) -> int:
        """The load may get something that it notices, if everything else happens to conduct."""
        if element not in self.elements.consumers:
            return FALSE
        load, (a, b) = self.load(element), self.ends(element)
        _, rests_v = working_volts(load)
        found = FALSE
        for pair in self.potentials.pairs:
            if acting_volts(load, pair.level) > rests_v:
                found = self.gates.or_(found, self.may_stand(a, b, pair.a, pair.b, pair.tags))
        strange = FALSE
        for one, other in self.potentials.strangers:
            strange = self.gates.or_(strange, self.may_stand(a, b, one, other, ()))
        anything_on = self.gates.any_of(self.may_live_literal(feed.tag) for feed in self.feeds)
        return self.gates.or_(found, self.gates.and_(strange, anything_on))

    def may_stand(self, a: Place, b: Place, rail_a: Place, rail_b: Place, tags: Sequence[str]) -> int:
        lit = self.gates.and_(self.to(self.loose, a, rail_a), self.to(self.loose, b, rail_b))
        if lit == FALSE:
            return FALSE
        return self.gates.and_(lit, self.gates.all_of(self.may_live_literal(tag) for tag in tags))

    def to(self, joined: dict[Place, dict[Place, int]], place: Place, rail: Place) -> int:
        row = joined.get(place)
        return row.get(rail, FALSE) if row else (TRUE if place == rail else FALSE)

    def all_on(self, tags: Iterable[str]) -> int:
        return self.gates.all_of(self.live_literal(tag) for tag in tags)

    def outputs(self) -> GateProgram:
        circuit = self.network.circuit
        loads = [f"{device.tag}.{load.name}" for device in circuit.devices for load in device.loads]
        full = {element: self.full(element) for element in loads}
        # between rails of unlike volts, and joined through contacts, the full verdict is no guess
        may = {element: self.gates.or_(self.may(element), full[element]) for element in loads}
        shorts = self.short_literals()
        short = self.gates.any_of(shorts.values())
        forward, reverse, touched = motor_gates(self)
        rails = {rail: self.name_of(rail) for rail in self.rails}
        terminals = [name for name in self.elements.node_of if "." in name and not name.startswith("@")]
        return GateProgram(
            Gates.of(self.gates),
            full,
            may,
            short,
            shorts,
            dict(self.on),
            forward,
            reverse,
            touched,
            tuple(rails.values()),
            {t: self.named_row(self.tight, t, rails) for t in terminals},
            {t: self.named_row(self.loose, t, rails) for t in terminals},
        )

    def named_row(
        self, joined: dict[Place, dict[Place, int]], terminal: str, rails: dict[Place, str]
    ) -> dict[str, int]:
        place = self.where(terminal)
        return {name: self.to(joined, place, rail) for rail, name in rails.items()}

    def name_of(self, rail: Place) -> str:
        """A terminal on the rail."""
        if isinstance(rail, str):
            return rail
        return next(name for name, node in self.elements.node_of.items() if node == rail and "." in name)

    def short_literals(self) -> dict[str, int]:
        """By supply: two of its rails, or one of its and one of another, are joined at different volts."""
        found: dict[str, int] = {feed.tag: FALSE for feed in self.feeds}
        pairs = self.potentials.pairs
        for pair in pairs:
            if pair.level.effective > CLASH_V:
                self._add_short(found, pair.tags, [(pair.a, pair.b)])
        apart = set(self.potentials.strangers)
        for one, other in product(pairs, pairs):  # two supplies side by side, or two circuits joined in two places
            if not unlike(one.level, other.level):
                continue
            if (one.a, one.b) == (other.a, other.b):
                self._add_short(found, (*one.tags, *other.tags), [])  # by the rails that they share alone
            elif (one.a, other.a) in apart:
                self._add_short(found, (*one.tags, *other.tags), [(one.a, other.a), (one.b, other.b)])
        return found

    def _add_short(self, found: dict[str, int], tags: Sequence[str], joined: Sequence[tuple[Place, Place]]) -> None:
        lit = self.gates.all_of(self.tight[a][b] for a, b in joined)
        if lit != FALSE:
            lit = self.gates.and_(lit, self.all_on(tags))
            for tag in dict.fromkeys(tags):
                found[tag] = self.gates.or_(found[tag], lit)


def unlike(one: Level, other: Level) -> bool:
    """Whether two differences of volts cannot hold between the same two nets."""
    ac = dict(one.ac)
    for hertz, volts in other.ac:
        ac[hertz] = ac.get(hertz, 0.0) - volts
    return abs(one.dc - other.dc) > CLASH_V or any(abs(volts) > CLASH_V for volts in ac.values())
