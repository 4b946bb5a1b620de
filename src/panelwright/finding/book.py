"""What every cause would make of the panel: played once for each cause and situation, then kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property

from ..behaviour import PanelState, Run
from ..circuit import (
    Circuit,
    Contact,
    Device,
    Diode,
    Fault,
    Fuse,
    Link,
    Load,
    Motor,
    Net,
    Part,
    Source,
    net_of,
    nets_of,
)
from ..electrics import Network
from ..wiring import Wiring
from .causes import Cause, causes_of
from .probing import Ohms
from .situations import DEAD, REST, Situation, play, usual_situations, waiting_s

SMALL = 40  # devices; a panel of no more is always played whole
MOST_PLAYED = 6_000  # solved panels that one book keeps, some 100 kB each in a panel of 25 devices
DEPTH = 2  # this many relays back from what is seen


@dataclass
class Played:
    """A panel with a cause in it, in one situation. `buzzing`: tags that hummed or fluttered on the way."""

    state: PanelState
    buzzing: frozenset[str] = frozenset()
    volts: dict[tuple[int, int, str], float] = field(default_factory=dict)  # shown, by nodes and meter

    @cached_property
    def ohms(self) -> Ohms:
        """Resistances, for a dead panel."""
        return Ohms(self.state.network, self.state.position)


class Book:
    """Everything that can be said of one panel beforehand. Fills while it is asked; make one for each search.

    `about`: tags that the search is about. Causes in what these depend on (the core) are played in the core alone,
    which is quicker; the others in the whole panel.
    """

    def __init__(self, wiring: Wiring, about: Iterable[str] = ()) -> None:
        self.wiring = wiring
        self.circuit = wiring.circuit
        self.network = Network(wiring)
        self.wait_s = waiting_s(self.circuit)
        about = sorted(tag for tag in about if tag in self.circuit.by_tag)
        self.core = self._core(about)
        self._played: dict[Situation, dict[tuple[str, bool], Played | None]] = {}
        self._count = 0
        self._rested: dict[tuple[str, int], Run | None] = {}
        self.told: dict[object, object] = {}  # answers once worked out, by whoever asked
        self.shown: dict[tuple[object, str], dict[str, str | None]] = {}  # by test and meter, then by cause

    def _core(self, about: list[str]) -> Network:
        if len(self.circuit.devices) <= SMALL or not about:
            return self.network
        return Network(replace(self.wiring, circuit=cut(self.circuit, about)))

    @cached_property
    def causes(self) -> tuple[Cause, ...]:
        """Every cause that may act on what the search is about."""
        if self.core is self.network:
            return causes_of(self.wiring)
        feeding = feeders(self.circuit)
        near = set(self.core.circuit.by_tag) | feeding
        nets = {terminal for net in nets_of(self.core.circuit) for terminal in net.terminals}
        return tuple(c for c in causes_of(self.wiring) if all(tag in near for tag in c.tags)
                     and (not c.ends or set(c.ends) & nets or set(c.tags) <= feeding))  # fmt: skip

    @cached_property
    def situations(self) -> tuple[Situation, ...]:
        """The usual situations of the sound panel."""
        return tuple(usual_situations(self.network))

    def sound(self, situation: Situation) -> Played:
        """The sound panel, whole."""
        found = self.played(SOUND, situation)
        assert found is not None
        return found

    def played(self, cause: Cause, situation: Situation, whole: bool = False) -> Played | None:
        """The panel with a cause in it; None when the cause cannot be put in. `whole`: not the core alone."""
        kept = self._played.setdefault(situation, {})
        key = cause.id, whole
        if key not in kept:
            self._make_room(situation)
            kept[key] = self._play(cause, situation, whole)
            self._count += 1
        return kept[key]

    def _make_room(self, wanted: Situation) -> None:
        """Drop the situation that was asked for the longest ago; what was told of it stays."""
        self._played[wanted] = self._played.pop(wanted)
        while self._count >= MOST_PLAYED and len(self._played) > 1:
            self._count -= len(self._played.pop(next(iter(self._played))))

    def look(self, played: Played, tag: str, situation: Situation) -> str:
        """What is seen of a device, in a word of its own; what the core leaves out is as in the sound panel."""
        if tag not in played.state.circuit.by_tag:
            played = self.sound(situation)
        if has_tripped(played.state, tag):
            return "tripped"
        return "chattering" if tag in played.buzzing else played.state.word(tag)

    def _play(self, cause: Cause, situation: Situation, whole: bool) -> Played | None:
        usual = usual_situations(self.network).get(situation)
        if cause is SOUND and usual is not None:
            return Played(usual)
        network = self.network if whole else self._network_for(cause, situation)
        run = self._run(cause, network, situation)
        if run is not None and network is not self.network and _is_shorted(run):
            run = self._run(cause, self.network, situation)  # what opens then may lie outside the core
        return None if run is None else Played(run.state, humming(run, cause))

    def _run(self, cause: Cause, network: Network, situation: Situation) -> Run | None:
        run = self._at_rest(cause, network, situation.altered)
        if run is None or not situation.steps:
            return run
        return play(run.copy(), situation.steps, self.wait_s)

    def _network_for(self, cause: Cause, situation: Situation) -> Network:
        """The core when cause and steps lie in it."""
        inside = self.core.circuit.by_tag
        worked = {tag for step in situation.steps for tag in step.targets}
        altered = [place for fault in situation.altered for place in (fault.subject, fault.other) if place]
        lies = cause is not SOUND and all(tag in inside for tag in (*cause.tags, *worked)) and not self._feeds(cause)
        return self.core if lies and all(self._is_inside(end) for end in (*cause.ends, *altered)) else self.network

    def _is_inside(self, terminal: str) -> bool:
        """Whether the core has a terminal with everything that hangs on it; rails are taken as given."""
        if terminal not in self.core.elements.node_of:
            return False
        net = self._net_at.get(terminal)
        return net is None or bool(net.rails) or net.id in self._whole_nets

    @cached_property
    def _net_at(self) -> dict[str, Net]:
        return net_of(self.circuit)

    @cached_property
    def _whole_nets(self) -> set[str]:
        inside = self.core.circuit.by_tag.keys()
        return {n.id for n in nets_of(self.circuit) if {end.partition(".")[0] for end in n.terminals} <= inside}

    def _feeds(self, cause: Cause) -> bool:
        """Whether it does more to a supply than to take a wire off it: the core takes supplies as given."""
        at_supply = any(self.circuit.by_tag[tag].sources for tag in cause.tags)
        return at_supply and not all(fault.form in ("wire open", "lifted") for fault in cause.faults)

    def _at_rest(self, cause: Cause, network: Network, altered: tuple[Fault, ...]) -> Run | None:
        if altered:  # asked once or twice, for one test: not worth its room
            return self._put_in(self._at_rest(cause, network, ()), altered)
        key = cause.id, id(network)
        if key not in self._rested:
            self._rested[key] = self._put_in(self._rest(network), cause.faults)
        return self._rested[key]

    def _put_in(self, run: Run | None, faults: tuple[Fault, ...]) -> Run | None:
        """A copy with faults in it, its set times run out; None when one cannot be put in."""
        if run is None:
            return None
        run = run.copy()
        if any(run.put_in(fault) is not None for fault in faults):
            return None
        if self.wait_s and faults and run.timers_due():
            run.advance(self.wait_s)
        return run

    def _rest(self, network: Network) -> Run:
        kept: Run | None = network.__dict__.get("_rest")
        if kept is None:
            kept = network.__dict__["_rest"] = Run(network)
        return kept


def _is_shorted(run: Run) -> bool:
    state = run.state
    return bool(state.position.blown or state.solution.shorts or run.shorts)


MOST_BOOKS = 4  # kept for one circuit; each may hold some thousand solved panels


def book_about(wiring: Wiring, about: Iterable[Iterable[str]]) -> Book:
    """The book about these tags, one group of them for each piece that is known, in the order in which they came.

    The first group decides; a later one counts where the core of the earlier ones does not hold it. So the book, and
    with it every answer, follows from what is known alone and not from what was asked before. A panel of up to SMALL
    devices has one book. Kept on the circuit.
    """
    books: dict[tuple[str, ...], Book] = wiring.circuit.__dict__.setdefault("_books", {})
    wanted: tuple[str, ...] = ()
    if len(wiring.circuit.devices) > SMALL:
        for tags in about:
            missing = set(tags) & set(wiring.circuit.by_tag)
            if missing and not (wanted and missing <= _kept(books, wiring, wanted).core.circuit.by_tag.keys()):
                wanted = tuple(sorted(missing.union(wanted)))
    return _kept(books, wiring, wanted)


def _kept(books: dict[tuple[str, ...], Book], wiring: Wiring, wanted: tuple[str, ...]) -> Book:
    if wanted not in books:
        while len(books) >= MOST_BOOKS:
            del books[next(iter(books))]
        books[wanted] = Book(wiring, wanted)
    return books[wanted]


def has_tripped(state: PanelState, tag: str) -> bool:
    """Whether a breaker has opened by itself; anybody sees it at its lever."""
    fuses = (part for part in state.circuit.by_tag[tag].parts if isinstance(part, Fuse) and part.resettable)
    return any(f"{tag}.{fuse.name}" in state.position.blown for fuse in fuses) and state.word(tag) != "off"


SOUND = Cause("sound", "own-nothing", "nothing is broken", "", (), 1.0, 1.0)


def humming(run: Run, cause: Cause) -> frozenset[str]:
    """What chatters or hums: goes to and fro, stands between its bands, or has the fault that hums."""
    found = set(run.state.buzzing) | {tag for buzz in run.buzzes for tag in _tags_of(buzz)}
    found |= {element.partition(".")[0] for element in run.state.doubtful}
    for fault in cause.faults:
        if fault.form == "hums" and run.state.stands[fault.subject].is_in:
            found.add(fault.subject)
        if fault.form in ("flutters", "loose"):
            found |= _shaken(run, fault.subject)
    return frozenset(found)


def _tags_of(buzz: object) -> tuple[str, ...]:
    return tuple(getattr(buzz, "tags", ()))


def _shaken(run: Run, element: str) -> set[str]:
    """Relays whose path goes through a contact that makes and breaks."""
    from ..behaviour.paths import feeding_path

    state = run.state
    found = set()
    for device in state.circuit.devices:
        for load in device.loads:
            path = feeding_path(state.network, state.position, f"{device.tag}.{load.name}") if load.drives else ()
            if element in path:
                found.add(device.tag)
    return found


def cut(circuit: Circuit, about: Iterable[str]) -> Circuit:
    """What the named devices depend on: their nets, back through `DEPTH` relays, and the supplies taken as given.

    The rungs stay whole, so that wires and numbers are those of the panel.
    """
    depth = _reached(circuit, list(about))
    kept = {device.tag for device in circuit.devices if device.sources} | set(depth)
    part = replace(circuit, devices=tuple(device for device in circuit.devices if device.tag in kept))
    supplied = {f"{d.tag}.{mark}" for d, source in circuit.supplies for mark in source.terminals}
    nets = [
        net for net in nets_of(circuit) if any(t in supplied or t.partition(".")[0] in depth for t in net.terminals)
    ]
    part.__dict__["_nets"] = tuple(nets)  # those that nothing kept stands on would only cost time
    return part


def _reached(circuit: Circuit, about: list[str]) -> dict[str, int]:
    """Tags to relays in between: along the contacts that feed a load, then from the coils that move those contacts."""
    net_at = net_of(circuit)
    at_net: dict[str, list[tuple[Device, Part]]] = {}
    for device in circuit.devices:
        for part in device.parts:
            for end in _ends(device, part):
                if end in net_at:
                    at_net.setdefault(net_at[end].id, []).append((device, part))
    depth = dict.fromkeys(about, 0)
    line = [(net_at[end].id, 0) for tag in about for end in _starts(circuit.by_tag[tag]) if end in net_at]
    rails = {net.id for net in net_at.values() if net.rails}
    seen: set[str] = set()
    for net, far in line:
        if net in seen or net in rails:
            continue
        seen.add(net)
        for device, part in at_net.get(net, ()):
            depth.setdefault(device.tag, far)
            if isinstance(part, Contact | Fuse | Link | Diode):
                line += [(net_at[end].id, far) for end in _ends(device, part) if end in net_at]
            coils = [load for load in device.loads if load.drives]
            if isinstance(part, Contact) and coils and far < DEPTH:
                line += [(net_at[e].id, far + 1) for coil in coils for e in _ends(device, coil) if e in net_at]
    for terminal, on in net_at.items():  # strips have no parts, but leads that may be off or wrong
        tag = terminal.partition(".")[0]
        if on.id in seen and not circuit.by_tag[tag].parts:
            depth.setdefault(tag, 0)
    return depth


def _ends(device: Device, part: Part) -> tuple[str, ...]:
    if isinstance(part, Source):
        return ()
    marks = part.leads if isinstance(part, Motor) else (part.a, part.b)
    return tuple(f"{device.tag}.{mark}" for mark in marks)


def _starts(device: Device) -> list[str]:
    """Where the way back from a device begins: at its loads and motors, else at all of it."""
    loads = [part for part in device.parts if isinstance(part, Load | Motor)]
    return [end for part in loads or device.parts for end in _ends(device, part)]


def feeders(circuit: Circuit) -> set[str]:
    """Supplies, and fuses, breakers and disconnects on the way to the primaries and rails."""
    near = _near(circuit)
    found = {device.tag for device in circuit.devices if device.sources}
    line = list(found)
    for tag in line:
        for other in near.get(tag, ()):
            if other not in found and _passes(circuit, other):
                found.add(other)
                line.append(other)
    return found


def _passes(circuit: Circuit, tag: str) -> bool:
    device = circuit.by_tag[tag]
    return device.mechanism.sort in ("switch", "fixed") and not device.loads and not device.motors


def _near(circuit: Circuit) -> dict[str, set[str]]:
    """Devices that share a net."""
    found: dict[str, set[str]] = {}
    for net in nets_of(circuit):
        tags = {terminal.partition(".")[0] for terminal in net.terminals}
        for tag in tags:
            found.setdefault(tag, set()).update(tags - {tag})
    return found


__all__ = ["DEAD", "REST", "SOUND", "Book", "Played", "cut"]
