"""Changes to a circuit as it stands: what breaks, what is joined by mistake, and what a meter adds.

Each edit is a value; `Network.edited` returns a network with it in place. Elements go by id ("K1.13-14"),
terminals by tag and mark ("K1.13"); "earth" is the earth, "@4" the named point 4, a rail goes by its name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from .elements import Consumer, Elements, Switch


@dataclass(frozen=True, slots=True)
class Opened:
    """The element no longer conducts: a broken coil, a contact that stays open, a lost phase ("Q0.out:L2")."""

    element: str


@dataclass(frozen=True, slots=True)
class Shorted:
    """The element is bridged, with `ohms`."""

    element: str
    ohms: float = 0.0


@dataclass(frozen=True, slots=True)
class Joined:
    """Two places touch, through `ohms`; `farads` in parallel (then `ohms` 0 means none)."""

    a: str
    b: str
    ohms: float = 0.0
    farads: float = 0.0


@dataclass(frozen=True, slots=True)
class Meter(Joined):
    """A meter between two places; `ohms` is its inner resistance."""


@dataclass(frozen=True, slots=True)
class InSeries:
    """A bad joint: `ohms` between the terminal and the conductors that land on it."""

    terminal: str
    ohms: float


@dataclass(frozen=True, slots=True)
class Lifted:
    """The conductors are off the terminal; they stay joined to one another."""

    terminal: str


@dataclass(frozen=True, slots=True)
class Exchanged:
    """The conductors of two terminals are exchanged; on both ends of one part, it is reversed."""

    terminal: str
    other: str


@dataclass(frozen=True, slots=True)
class Moved:
    """The conductors of `terminal` landed on `to` instead."""

    terminal: str
    to: str


@dataclass(frozen=True, slots=True)
class WireOpened:
    """One wire is open, or with `ohms` a bad conductor. `ends`: its two terminals."""

    ends: tuple[str, str]
    ohms: float = 0.0


@dataclass(frozen=True, slots=True)
class SupplyAt:
    """A supply gives other volts than it should; 0 is a supply without volts."""

    tag: str
    volts: float


@dataclass(frozen=True, slots=True)
class SupplyLimited:
    """A supply that gives at most `amps`: a dc one holds its current there, an ac one loses volts on the way to it."""

    tag: str
    amps: float


@dataclass(frozen=True, slots=True)
class Conductors:
    """Wires that have a resistance: the two terminals of each and its ohms. Comes before all other edits."""

    ohms: tuple[tuple[tuple[str, str], float], ...]


@dataclass(frozen=True, slots=True)
class Taking:
    """A load that takes another current than its rated one: a coil whose armature is still open."""

    element: str
    ohms: float
    reactance_ohms: float = 0.0


Edit = (
    Opened | Shorted | Joined | InSeries | Lifted | Exchanged | Moved | WireOpened | SupplyAt | SupplyLimited
    | Conductors | Taking
)  # fmt: skip
MOVES_WIRES = (InSeries, Lifted, Exchanged, Moved, WireOpened)  # what lands elsewhere than the wiring says
Wires = Mapping[int, tuple[tuple[str, str], ...]]  # the wires of every node


class UnknownPlace(ValueError):
    """An edit names something that the circuit does not have; `name` is what it named."""

    def __init__(self, name: str) -> None:
        super().__init__(f"there is nothing called {name} in this circuit")
        self.name = name


def apply_edits(base: Elements, edits: Iterable[Edit], wires: Wires) -> Elements:
    """The elements with the edits made. Raises UnknownPlace."""
    elements = base.copy()
    for count, edit in enumerate(edits):
        _apply(elements, edit, count, wires)
    return elements


def _apply(elements: Elements, edit: Edit, count: int, wires: Wires) -> None:
    if isinstance(edit, Opened):
        _open(elements, edit.element)
    elif isinstance(edit, Shorted):
        nodes = _nodes_of(elements, edit.element)
        key = f"short:{edit.element}"
        _bridge(elements, key, nodes, edit.ohms, 0.0, elements.terminals(edit.element))
    elif isinstance(edit, Joined):
        nodes = place(elements, edit.a), place(elements, edit.b)
        ends = terminal_at(elements, edit.a), terminal_at(elements, edit.b)
        _bridge(elements, bridge_id(count, edit), nodes, edit.ohms, edit.farads, ends)
    elif isinstance(edit, InSeries):
        outside = place(elements, edit.terminal)
        _reland(elements, {edit.terminal: elements.fresh()})
        inside = elements.node_of[edit.terminal]
        _bridge(elements, f"joint:{edit.terminal}", (inside, outside), edit.ohms, 0.0, ("", edit.terminal))
    elif isinstance(edit, Lifted):
        place(elements, edit.terminal)
        _reland(elements, {edit.terminal: elements.fresh()})
    elif isinstance(edit, Exchanged):
        one, other = place(elements, edit.terminal), place(elements, edit.other)
        _reland(elements, {edit.terminal: other, edit.other: one})
    elif isinstance(edit, Moved):
        _move(elements, edit)
    elif isinstance(edit, WireOpened):
        _open_wire(elements, edit, wires)
    elif isinstance(edit, SupplyLimited):
        _limit_supply(elements, edit)
    elif isinstance(edit, Conductors):
        _lay_conductors(elements, edit, wires)
    elif isinstance(edit, Taking):
        consumer = elements.consumers.get(edit.element)
        if consumer is None:
            raise UnknownPlace(edit.element)
        elements.consumers[edit.element] = replace(consumer, ohms=edit.ohms, reactance_ohms=edit.reactance_ohms)
    else:
        _set_supply(elements, edit)


def place(elements: Elements, name: str) -> int:
    """Node of a terminal, point ("@4"), rail or "earth". Raises UnknownPlace."""
    node = elements.node_of.get(name)
    if node is None:
        raise UnknownPlace(name)
    return node


def bridge_id(count: int, edit: Joined) -> str:
    """Element id of a bridge; `count`: how many edits of the network come before it."""
    return f"bridge {count}:{edit.a}:{edit.b}"


def terminal_at(elements: Elements, name: str) -> str:
    """A terminal at a place, for a place that is named otherwise."""
    if "." in name and not name.startswith("@"):
        return name
    node = elements.node_of[name]
    return next((t for t, n in elements.node_of.items() if n == node and "." in t and not t.startswith("@")), name)


def _nodes_of(elements: Elements, key: str) -> tuple[int, int]:
    for element in elements.all():
        if element.id == key:
            return element.a, element.b
    raise UnknownPlace(key)


def _open(elements: Elements, key: str) -> None:
    if key not in elements.ends and f"{key}:1" not in elements.consumers:
        raise UnknownPlace(key)
    for element in list(elements.all()):
        if element.id == key or element.id.startswith(f"{key}:"):
            elements.drop(element)


def _bridge(
    elements: Elements, key: str, nodes: tuple[int, int], ohms: float, farads: float, ends: tuple[str, str]
) -> None:
    elements.ends[key] = ends
    if ohms or farads:
        elements.consumers[key] = Consumer(key, *nodes, ohms, farads=farads)
    else:
        elements.switches[key] = Switch(key, *nodes, "link")


def _reland(elements: Elements, landed: Mapping[str, int]) -> None:
    """Put terminals on other nodes, and with them the ends of the elements that they belong to."""
    for terminal, node in landed.items():
        elements.node_of[terminal] = node
    for element in list(elements.all()):
        first, last = elements.terminals(element.id)
        if first in landed or last in landed:
            elements.land(element, landed.get(first, element.a), landed.get(last, element.b))


def _move(elements: Elements, edit: Moved) -> None:
    """The net keeps its node; the terminal it leaves hangs free, and the terminal it lands on joins it."""
    left = place(elements, edit.terminal)
    reached = place(elements, edit.to)
    _reland(elements, {edit.terminal: elements.fresh()})
    _bridge(elements, f"landed:{edit.to}", (left, reached), 0.0, 0.0, (edit.terminal, edit.to))


def _open_wire(elements: Elements, edit: WireOpened, wires: Wires) -> None:
    start, end = edit.ends
    node = place(elements, start)
    if place(elements, end) != node:
        raise UnknownPlace(f"wire from {start} to {end}")
    left = [wire for wire in wires.get(node, ()) if set(wire) != set(edit.ends)]
    if len(left) == len(wires.get(node, ())):
        raise UnknownPlace(f"wire from {start} to {end}")
    apart = _reached(end, left)
    if start in apart:
        return  # another wire still joins the two ends
    far = elements.fresh()
    _reland(elements, dict.fromkeys(apart, far))
    if edit.ohms:
        _bridge(elements, f"wire:{start}:{end}", (node, far), edit.ohms, 0.0, edit.ends)


def _lay_conductors(elements: Elements, edit: Conductors, wires: Wires) -> None:
    """Part every net along its wires with a resistance. The piece with the supply keeps the node, rails and points."""
    ohms = {frozenset(ends): value for ends, value in edit.ohms if value > 0}
    sources = {terminal for feed in elements.feeds.values() for terminal in elements.terminals(feed.id)}
    for laid in list(wires.values()):
        bad = [ends for ends in laid if frozenset(ends) in ohms]
        if not bad:
            continue
        good = [ends for ends in laid if frozenset(ends) not in ohms]
        pieces = _pieces({terminal for ends in laid for terminal in ends}, good)
        pieces.sort(key=lambda piece: (not piece & sources, -len(piece), min(piece)))
        for piece in pieces[1:]:
            _reland(elements, dict.fromkeys(piece, elements.fresh()))
        for start, end in bad:
            nodes = elements.node_of[start], elements.node_of[end]
            _bridge(elements, f"wire:{start}:{end}", nodes, ohms[frozenset((start, end))], 0.0, (start, end))


def _pieces(terminals: set[str], wires: list[tuple[str, str]]) -> list[set[str]]:
    """Terminals by what the wires join."""
    pieces: list[set[str]] = []
    left = set(terminals)
    while left:
        piece = _reached(min(left), wires)
        pieces.append(piece)
        left -= piece
    return pieces


def _reached(start: str, wires: Iterable[tuple[str, str]]) -> set[str]:
    """Terminals that the wires join to `start`."""
    reached = {start}
    growing = True
    while growing:
        growing = False
        for a, b in wires:
            if (a in reached) != (b in reached):
                reached.update((a, b))
                growing = True
    return reached


def _limit_supply(elements: Elements, edit: SupplyLimited) -> None:
    feeds = [feed for feed in elements.feeds.values() if feed.tag == edit.tag]
    if not feeds:
        raise UnknownPlace(edit.tag)
    for feed in feeds:
        ohms = abs(feed.volts) / edit.amps
        weaker = replace(feed, ohms=ohms) if feed.hertz else replace(feed, limit_a=edit.amps, short_ohms=ohms, ohms=0.0)
        elements.feeds[feed.id] = weaker


def _set_supply(elements: Elements, edit: SupplyAt) -> None:
    feeds = [feed for feed in elements.feeds.values() if feed.tag == edit.tag]
    if not feeds:
        raise UnknownPlace(edit.tag)
    for feed in feeds:
        if edit.volts == 0:
            del elements.feeds[feed.id]
            continue
        rated = abs(feed.volts) * (3**0.5 if ":" in feed.id else 1.0)
        elements.feeds[feed.id] = replace(feed, volts=feed.volts * edit.volts / rated)
