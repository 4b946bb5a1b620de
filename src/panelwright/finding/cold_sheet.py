"""The cold test: every wire proved with as few readings as can be, and every single miswire found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..behaviour import Injected, inject
from ..circuit import Circuit, Contact, Device, Do, Fault, Fuse, Load, Net
from ..electrics import DeviceState, Network, Position, UnknownPlace, position_of, rest_state
from ..wiring import Wiring
from .causes import Cause, causes_of
from .places import at_terminal, part_words
from .probing import MOST_OHMS, Ohms, ohms_text
from .sheet import Part, Sheet, SheetLine
from .situations import DEAD, Situation, inputs

CAUTIONS = (
    "Switch off, lock, hang the tag, try the start, prove dead with a tester that was proved before and after.",
    "Let capacitors and drives run down. Take plug-in electronics out before the insulation test.",
    "Local codes and a licensed person decide; this sheet follows the drawing and knows nothing else of the panel.",
)
ONLY_THE_WIRE = (
    "A buzzer or ohmmeter has to show the conductor and nothing else: hold what is named, so that no other way beeps."
)
BEEP_OHMS = 30.0  # a buzzer sounds below it; common practice, no source
BARE_OHMS = 0.5  # most for a bare conductor of a panel; common practice, no source
INSULATION_MOHM, INSULATION_V = 1.0, 500  # IEC 60204-1 18.3: at least 1 Mohm at 500 V dc; from memory
EARTH_OHMS = 0.1  # usual limit for bonded metal parts at a panel; IEC 60204-1 18.2 asks by cross-section; from memory
MOST_NEVER = 8  # mistakes named that no resistance shows


@dataclass(frozen=True, slots=True)
class ColdPosition:
    """A dead panel with one thing held: `name` and the contact position."""

    situation: Situation
    position: Position


class ColdBench:
    """A dead panel and every wiring mistake in it, as resistances."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit: Circuit = wiring.circuit
        self.network = Network(wiring)
        self._sound: dict[Situation, Ohms] = {}
        self._wrong: dict[tuple[str, Situation], Ohms | None] = {}

    @cached_property
    def positions(self) -> tuple[ColdPosition, ...]:
        """At rest; then each device worked by hand, one at a time."""
        found = [ColdPosition(DEAD, self.position({}))]
        for device, verb, _, value, word in inputs(self.circuit):
            step = Do(verb, (device.tag,), value)
            found.append(self.held(device, f"{device.tag} {word}", step, value))
        for device in self.circuit.devices:
            if any(load.drives for load in device.loads) and device.contacts:
                step = Do("push-in", (device.tag,))
                found.append(self.held(device, f"{device.tag} pushed in by hand", step))
        return tuple(found)

    def held(self, device: Device, words: str, step: Do, value: str = "") -> ColdPosition:
        state = DeviceState("operated", "operated")
        if value:
            state = DeviceState(at=value)
        elif step.verb == "switch-off":
            state = DeviceState("rest", "rest")
        return ColdPosition(DEAD.then(words, step), self.position({device.tag: state}))

    def position(self, states: dict[str, DeviceState]) -> Position:
        stands = {device.tag: rest_state(device) for device in self.circuit.devices} | states
        supplies = frozenset(device.tag for device, _ in self.circuit.supplies)
        bare = position_of(self.circuit, stands)
        off = [d for d in self.circuit.devices if d.mechanism.sort == "switch" and stands[d.tag].stage == "rest"]
        open_poles = {f"{d.tag}.{part.name}" for d in off for part in d.parts if isinstance(part, Fuse)}
        return Position(bare.closed, bare.blown | open_poles, supplies)

    def ohms(self, at: ColdPosition, a: str, b: str) -> float | None:
        """Of the sound panel."""
        if at.situation not in self._sound:
            self._sound[at.situation] = Ohms(self.network, at.position)
        return _clipped(self._sound[at.situation].between(a, b))

    def wrong_ohms(self, cause: Cause, at: ColdPosition, a: str, b: str) -> float | None:
        """Of the panel with a cause in it. Raises UnknownPlace when it cannot be put in."""
        key = cause.id, at.situation
        if key not in self._wrong:
            network = self.edited(cause)
            self._wrong[key] = Ohms(network, at.position) if network else None
        ohms = self._wrong[key]
        if ohms is None:
            raise UnknownPlace(cause.id)
        return _clipped(ohms.between(a, b))

    def edited(self, cause: Cause) -> Network | None:
        """The network with a cause in it; None when it changes nothing there."""
        edits = []
        for fault in cause.faults:
            injected = inject(self.circuit, fault)
            if not isinstance(injected, Injected):
                return None
            edits += list(injected.edits)
        try:
            return self.network.edited(edits) if edits else None
        except UnknownPlace:
            return None

    def tells(self, cause: Cause, at: ColdPosition, a: str, b: str) -> bool:
        """Whether this reading shows this cause for sure."""
        try:
            return differ(self.ohms(at, a, b), self.wrong_ohms(cause, at, a, b))
        except UnknownPlace:
            return False


def _clipped(ohms: float | None) -> float | None:
    return None if ohms is None or ohms > MOST_OHMS else ohms


def differ(expected: float | None, read: float | None) -> bool:
    """Whether two readings differ for sure: by a factor of two, or one of them open or joined."""
    one, other = (MOST_OHMS if ohms is None else max(ohms, 1.0) for ohms in (expected, read))
    return max(one, other) > 2 * min(one, other) + 1


def wiring_mistakes(wiring: Wiring) -> tuple[Cause, ...]:
    """What a hand that wires may have done wrong, one thing at a time: left out, landed wrong, exchanged, bridged."""
    kinds = ("wire-open", "terminal-loose", "terminals-bridged", "cores-bridged", "conductor-earthed")
    return tuple(c for c in causes_of(wiring) if c.is_miswire or c.kind in kinds)


def cold_sheet(wiring: Wiring) -> Sheet:
    """The cold test sheet of a panel, in the order of the work."""
    bench = ColdBench(wiring)
    pairs = [line for net in wiring.nets for line in net_lines(bench, net)]
    parts_lines = tuple(part_lines(bench))
    mistakes = [cause for cause in wiring_mistakes(wiring) if bench.edited(cause) is not None]
    readings = [*pairs, *parts_lines]
    missed = [cause for cause in mistakes if not _bridges_fuse(bench.circuit, cause)]
    missed = [cause for cause in missed if not any(_line_tells(bench, cause, line) for line in readings)]
    extra, never = extra_lines(bench, missed, readings)
    terminals = sum(len(net.terminals) for net in wiring.nets if len(net.terminals) > 1)
    bound = sum((len(net.terminals) + 1) // 2 for net in wiring.nets if len(net.terminals) > 1)
    covers = (
        f"Wires: {len(wiring.wires)}, on {terminals} terminals, proved by {len(pairs)} readings; "
        f"fewer than {bound} cannot touch every terminal of every net.",
        f"Single wiring mistakes looked at: {len(mistakes)}; shown by a reading here: {len(mistakes) - len(never)}.",
        *(f"No resistance shows: {cause.words}." for cause in never[:MOST_NEVER]),
        *([f"... and {len(never) - MOST_NEVER} more like these."] if len(never) > MOST_NEVER else []),
        *(
            [
                "These change nothing, or show in the live test: leads at the two ends of one part exchanged, "
                "LED lamps the wrong way round."
            ]
            if never
            else []
        ),
    )
    parts = (
        Part("Before any reading", tuple(first_ticks(wiring))),
        Part("Wires, end to end", tuple(pairs), (ONLY_THE_WIRE,)),
        Part("Parts and contacts", parts_lines),
        Part("No bridge, nothing landed wrong", tuple(extra),
             ("These show what the lines before cannot: leads on a wrong terminal, strands across.",)),
        Part("Earth and insulation", tuple(last_lines(wiring))),
    )  # fmt: skip
    return Sheet("cold", _title(wiring), CAUTIONS, tuple(part for part in parts if part.lines), covers)


def _title(wiring: Wiring) -> str:
    heading = wiring.circuit.heading
    return ", ".join(filter(None, (heading.title, heading.revision and f"revision {heading.revision}", heading.date)))


def _line_tells(bench: ColdBench, cause: Cause, line: SheetLine) -> bool:
    at = next((p for p in bench.positions if p.situation == line.situation), None)
    return at is not None and line.kind == "ohms" and bench.tells(cause, at, line.a, line.b)


def _bridges_fuse(circuit: Circuit, cause: Cause) -> bool:
    """Across a fuse that can be taken out: the line with the fuse out shows it."""
    if cause.kind != "terminals-bridged" or len(cause.tags) != 1:
        return False
    device = circuit.by_tag[cause.tags[0]]
    marks = {end.partition(".")[2] for end in cause.ends}
    fuses = [part for part in device.parts if isinstance(part, Fuse)]
    return device.mechanism.sort != "switch" and any({part.a, part.b} == marks for part in fuses)


def net_lines(bench: ColdBench, net: Net) -> Iterator[SheetLine]:
    """Pairs of terminals so that every terminal is touched and every wire lies between some pair.

    Half a turn apart in the order in which the wires reach them: any one wire parts the terminals in two stretches,
    and no pair lies on one side only.
    """
    order = wired_order(bench.wiring, net)
    if len(order) < 2:
        return
    half = len(order) // 2
    pairs = [(order[i], order[i + half]) for i in range(half)]
    if len(order) % 2:
        pairs.append((order[0], order[-1]))
    for a, b in pairs:
        at, mind = quiet_position(bench, a, b)
        held = at.situation.name.partition(", ")[2]
        do = f"{a} to {b}, wire {bench.wiring.numbers.get(net.id, '')}" + (f", with {held}" if held else "")
        yield SheetLine(do, "0 ohm, beeps", "ohms", a, b, at.situation, 0.0, mind=mind)


def wired_order(wiring: Wiring, net: Net) -> list[str]:
    """The terminals of a net in the order in which one reaches them along its wires, depth first."""
    ways: dict[str, list[str]] = defaultdict(list)
    for wire in wiring.wires:
        if wire.net == net.id:
            ways[wire.ends[0]].append(wire.ends[1])
            ways[wire.ends[1]].append(wire.ends[0])
    found: list[str] = []
    for start in sorted(net.terminals, key=lambda t: (len(ways[t]), net.terminals.index(t))):
        line = [start]
        while line:
            here = line.pop()
            if here not in found:
                found.append(here)
                line += [other for other in reversed(ways[here]) if other not in found]
    return [terminal for terminal in found if ways[terminal]]


def quiet_position(bench: ColdBench, a: str, b: str) -> tuple[ColdPosition, str]:
    """Where no other way round would beep if the wires were missing, and a word about it where there is none."""
    first_words = ""
    for at in bench.positions:
        around = ohms_around(bench, at, a, b)
        if around is None or around > BEEP_OHMS:
            return at, ""
        first_words = (
            first_words or f"beeps falsely through other parts ({ohms_text(around)}): take the lead off {a} first"
        )
    return bench.positions[0], first_words


def ohms_around(bench: ColdBench, at: ColdPosition, a: str, b: str) -> float | None:
    """Ohms between two terminals of one net if `a` hung on its own: what a buzzer would hear without the wires."""
    lifted = Cause(f"lifted {a}", "", "", "", (_lifted(a),), 1.0, 1.0)
    try:
        return bench.wrong_ohms(lifted, at, a, b)
    except UnknownPlace:
        return None


def _lifted(terminal: str) -> Fault:
    return Fault("lifted", terminal)


def part_lines(bench: ColdBench) -> Iterator[SheetLine]:
    """Every contact both ways, every fuse, every coil."""
    circuit = bench.circuit
    for device in circuit.devices:
        for part in device.parts:
            if not isinstance(part, Contact | Load | Fuse):
                continue
            a, b = f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"
            if a not in bench.network.elements.node_of or b not in bench.network.elements.node_of:
                continue
            if not (_wired(bench.wiring, a) and _wired(bench.wiring, b)):
                continue
            name = part_words(circuit, f"{device.tag}.{part.name}")
            if isinstance(part, Fuse) and device.mechanism.sort != "switch":
                yield SheetLine(f"{name} taken out, {a} to {b}", "open")  # that nothing bridges its holder
            for at in _ways_of(bench, device, part):
                ohms = bench.ohms(at, a, b)
                held = at.situation.name.partition(", ")[2]
                do = f"{name}, {a} to {b}" + (f", {held}" if held else ", at rest")
                yield SheetLine(do, expected_words(ohms), "ohms", a, b, at.situation, ohms, mind=_mind(part, ohms))


def _mind(part: object, ohms: float | None) -> str:
    if isinstance(part, Load) and part.polarised:
        return "an LED lamp shows open to a meter"
    if isinstance(part, Contact) and ohms is not None and ohms > 1:
        return "an open contact: the ohms are those of what lies beside it"
    return ""


def _ways_of(bench: ColdBench, device: Device, part: object) -> Iterator[ColdPosition]:
    yield bench.positions[0]
    moves = isinstance(part, Contact) or (isinstance(part, Fuse) and device.mechanism.sort == "switch")
    if moves:
        for at in bench.positions[1:]:
            if any(device.tag in step.targets for step in at.situation.steps):
                at_word = [step.value for step in at.situation.steps]
                if isinstance(part, Contact) and part.form == "at" and not part.positions & set(at_word):
                    continue
                yield at
                return


def _wired(wiring: Wiring, terminal: str) -> bool:
    return any(terminal in wire.ends for wire in wiring.wires)


def expected_words(ohms: float | None) -> str:
    """ "0 ohm, beeps", "open", "650 ohm"."""
    if ohms is None:
        return "open"
    return "0 ohm, beeps" if ohms <= 1 else ohms_text(ohms)


def extra_lines(
    bench: ColdBench, missed: Sequence[Cause], pairs: Sequence[SheetLine] = ()
) -> tuple[list[SheetLine], list[Cause]]:
    """Readings that show what the others miss, greedily the one that shows most; and what none shows.

    First between nets with everything at rest; for what is left, every pair again with something held, because a
    closed contact beside a wire hides where that is landed.
    """
    rest, *held = bench.positions
    found, left = _greedy(bench, [(rest, a, b) for a, b in _between_nets(bench)], list(missed))
    ends = list(dict.fromkeys((line.a, line.b) for line in pairs))
    more, never = _greedy(bench, [(at, a, b) for at in held for a, b in ends], left)
    return [*found, *more], never


Probe = tuple[ColdPosition, str, str]


def _greedy(bench: ColdBench, probes: Sequence[Probe], missed: list[Cause]) -> tuple[list[SheetLine], list[Cause]]:
    shows: dict[Probe, set[str]] = {}
    for at, a, b in probes:
        told = {cause.id for cause in missed if bench.tells(cause, at, a, b)}
        if told:
            shows[at, a, b] = told
    left = {cause.id for cause in missed}
    found: list[SheetLine] = []
    while left and shows:
        best = max(shows, key=lambda probe: len(shows[probe] & left))
        if not shows[best] & left:
            break
        left -= shows[best]
        at, a, b = best
        ohms = bench.ohms(at, a, b)
        words = at.situation.name.partition(", ")[2]
        do = f"{at_terminal(bench.wiring, a)} to {at_terminal(bench.wiring, b)}" + (f", {words}" if words else "")
        found.append(SheetLine(do, expected_words(ohms), "ohms", a, b, at.situation, ohms))
    return found, [cause for cause in missed if cause.id in left]


def _between_nets(bench: ColdBench) -> Iterator[tuple[str, str]]:
    """One terminal of every net against one of every other, and against earth."""
    ends = [net.terminals[0] for net in bench.wiring.nets if not net.protective]
    ends = ends[:40]
    for index, a in enumerate(ends):
        yield a, "earth"
        for b in ends[index + 1 :]:
            yield a, b


def first_ticks(wiring: Wiring) -> Iterator[SheetLine]:
    """What eyes and hands check."""
    circuit = wiring.circuit
    yield SheetLine("The drawing in hand is the last revision, and somebody checks who did not wire it")
    ratings = [f"{d.tag} {p.rated_v:g} V" for d in circuit.devices for p in d.parts if isinstance(p, Load) and p.drives]
    if ratings:
        yield SheetLine(f"Coils as drawn: {', '.join(ratings)}")
    fuses = [f"{d.tag} {p.amps:g} A" for d in circuit.devices for p in d.parts if isinstance(p, Fuse)]
    if fuses:
        yield SheetLine(f"Fuses and breakers as drawn: {', '.join(dict.fromkeys(fuses))}")
    for place in dict.fromkeys(place for wire in wiring.wires for place in wire.places):
        ends = sum(wire.places.count(place) for wire in wiring.wires)
        yield SheetLine(f"On {place}: {ends} wire ends torqued and tugged, numbers on both ends, no loose strand")


def last_lines(wiring: Wiring) -> Iterator[SheetLine]:
    """Protective conductor and insulation."""
    circuit = wiring.circuit
    protective = [t for net in wiring.nets if net.protective for t in net.terminals]
    for terminal in protective[1:]:
        yield SheetLine(f"{protective[0]} to {terminal}, protective conductor", f"at most {EARTH_OHMS:g} ohm", "ohms",
                        protective[0], terminal, DEAD, 0.0)  # fmt: skip
    for device, source in circuit.supplies:
        earthed = f": open the link from {source.earthed_at} to earth first" if source.earthed_at else ""
        yield SheetLine(f"{device.tag}: its rails together against earth, {INSULATION_V} V dc{earthed}",
                        f"at least {INSULATION_MOHM:g} Mohm")  # fmt: skip
