"""Everything worth doing next: looks, readings, and tests that are neither."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations

from ..circuit import Circuit, Contact, Do, Fuse, Load, PathUse, net_of, nets_of
from ..electrics import UnknownPlace
from .book import Book, feeders
from .causes import Cause
from .efforts import effort_of, minutes, way_to
from .evidence import Evidence, Seen, expected_value
from .meters import meter_called
from .naming import states_of, works
from .places import return_for
from .probing import JOINED_OHMS
from .situations import DEAD, Situation
from .steps import LEAST_AMPS, Test

NOT_BRIDGED = ("latched push", "trip")  # what stops in an emergency or protects is never bypassed for a test;
BRIDGED = ("no", "at")  # nor is a break contact: it stops, limits or interlocks


def tests_for(book: Book, evidence: Sequence[Evidence], live: bool = True) -> Iterator[Test]:
    """Looks, volts with a parked lead and across parts, amps, ohms with the power off, leads against the drawing.

    Only in situations that the evidence speaks of, so that nothing new has to be set up.
    """
    inside = book.core.circuit.by_tag
    known = list(dict.fromkeys(p.situation for p in evidence)) or list(book.situations[:1])
    seen = dict.fromkeys((*inside, *sorted(feeders(book.circuit))))
    for situation in known:
        if not situation.is_dead:
            yield from looks(book.circuit, seen, situation, evidence)
            if live:
                yield from volts_tests(book, situation)
                yield from amps_tests(book, situation)
    if live:
        yield from pushes(book, evidence)
    yield from cold_tests(book)
    yield from lead_looks(book)


def late_tests(book: Book, evidence: Sequence[Evidence], causes: Sequence[Cause], live: bool = True) -> Iterator[Test]:
    """What is only worth its trouble among a few causes: a lead taken off, a fuse renewed, a test lead put on."""
    for tag in dict.fromkeys(tag for cause in causes for tag in cause.tags if tag in book.core.circuit.by_tag):
        yield from leads_off(book, tag)
    if live:
        yield from renewals(book, evidence, causes)
        yield from test_leads(book, evidence, causes)


# -- looks -------------------------------------------------------------------------------------------------------------


def looks(
    circuit: Circuit, inside: Iterable[str], situation: Situation, evidence: Sequence[Evidence]
) -> Iterator[Test]:
    """Lamps, relays, fuses and motors that can be seen or heard."""
    told = {p.state.subject for p in evidence if isinstance(p, Seen) and p.situation == situation}
    for tag in inside:
        device = circuit.by_tag[tag]
        fuse = any(isinstance(part, Fuse) for part in device.parts)
        if tag not in told and (works(device) or fuse) and not device.sources:
            row = "fuse" if fuse else "look"
            far = 0.0 if device.place in ("door", "plate") else effort_of("look").minutes / 2
            yield Test("look", tag, "", situation, minutes(row) + far, row)


def pushes(book: Book, evidence: Sequence[Evidence]) -> Iterator[Test]:
    """A relay that does not pull in, pushed in by hand: does what it feeds work, does it hold?"""
    circuit = book.circuit
    out = [p.state.subject for p in evidence if isinstance(p, Seen) and p.state.state == "out" and p.situation.steps]
    for tag in dict.fromkeys(out):
        if any(load.drives for load in circuit.by_tag[tag].loads):
            steps = Do("push-in", (tag,)), Do("release", (tag,))
            pushed = Situation(f"{tag} pushed in by hand and let go", steps)
            yield Test("look", tag, "", pushed, minutes("push-in"), "push-in")


def lead_looks(book: Book) -> Iterator[Test]:
    """Whether the leads of a device are on the terminals of the drawing."""
    for tag in book.core.circuit.by_tag:
        device = book.circuit.by_tag[tag]
        leads = sum(f"{tag}.{mark}" in net_of_book(book) for mark in device.terminals)
        if leads and not device.sources:
            cost = minutes("leads", *["each_lead"] * leads) + way_to(book.circuit, tag)
            yield Test("leads", tag, "", DEAD, cost)


# -- live --------------------------------------------------------------------------------------------------------------


def volts_tests(book: Book, situation: Situation) -> Iterator[Test]:
    """From each terminal of a rung to its return, and across each part."""
    circuit = book.circuit
    for terminal, parked in walked(book).items():
        yield Test("volts", terminal, parked, situation, minutes("volts") + way_to(circuit, terminal))
    yield from power_tests(book, situation)
    for tag in book.core.circuit.by_tag:
        for part in circuit.by_tag[tag].parts:
            if isinstance(part, Load | Contact | Fuse):
                ends = f"{tag}.{part.a}", f"{tag}.{part.b}"
                if all(end in net_of_book(book) for end in ends):
                    yield Test("volts", *ends, situation, minutes("volts", "next_to") + way_to(circuit, ends[0]))


def power_tests(book: Book, situation: Situation) -> Iterator[Test]:
    """Line to line behind each part of the power paths."""
    inside = book.core.circuit.by_tag
    cost = minutes("volts", "load_current")
    for path in book.circuit.power_paths:
        for use in path.items:
            if not isinstance(use, PathUse) or use.device not in inside:
                continue
            for side in (0, 1):
                ends = [f"{use.device}.{pair[side]}" for pair in use.pairs if pair[side]]
                for a, b in combinations(ends, 2):
                    yield Test("volts", a, b, situation, cost + way_to(book.circuit, a))


def amps_tests(book: Book, situation: Situation) -> Iterator[Test]:
    """Leads in which the sound panel has amps enough for a clamp."""
    inside = book.core.circuit.by_tag
    for wire in book.wiring.wires:
        if all(end.partition(".")[0] in inside for end in wire.ends) and _sound_amps(book, wire.ends, situation):
            cost = minutes("amps") + max(way_to(book.circuit, end) for end in wire.ends)
            yield Test("amps", *wire.ends, situation, cost)


def _sound_amps(book: Book, ends: tuple[str, str], situation: Situation) -> bool:
    key = "amps", ends, situation
    if key not in book.told:
        try:
            amps = expected_value(book.sound(situation), *ends, "A", meter_called("digital"))
        except UnknownPlace:
            amps = 0.0
        book.told[key] = abs(amps or 0.0) >= LEAST_AMPS
    return bool(book.told[key])


def net_of_book(book: Book) -> Mapping[str, object]:
    """Terminals that have a conductor."""
    found = book.told.get("nets")
    if found is None:
        found = book.told["nets"] = net_of(book.circuit)
    assert isinstance(found, dict)
    return found


def walked(book: Book) -> dict[str, str]:
    """Terminals of the core's rungs in walking order, with the place at which the other lead is parked."""
    from .walks import walk_of

    found: dict[str, str] = {}
    inside = book.core.circuit.by_tag
    for rung in book.circuit.rungs:
        parked = return_for(book.circuit, rung.section)
        for terminal in walk_of(rung):
            if terminal.partition(".")[0] in inside and terminal != parked:
                found.setdefault(terminal, parked)
    return found


# -- with the power off ------------------------------------------------------------------------------------------------


def cold_tests(book: Book) -> Iterator[Test]:
    """Wires end to end, parts, and each net to earth, with the power off."""
    circuit = book.circuit
    inside = book.core.circuit.by_tag
    for wire in book.wiring.wires:
        if all(end.partition(".")[0] in inside for end in wire.ends):
            cost = minutes("ohms") + max(way_to(circuit, end) for end in wire.ends)
            yield Test("ohms", *wire.ends, DEAD, cost)
    for tag in inside:
        for part in circuit.by_tag[tag].parts:
            if isinstance(part, Load | Contact | Fuse):
                ends = f"{tag}.{part.a}", f"{tag}.{part.b}"
                if all(end in net_of_book(book) for end in ends):
                    yield Test("ohms", *ends, DEAD, minutes("ohms") + way_to(circuit, ends[0]))
    for net in nets_of(circuit):
        near = [end for end in net.terminals if end.partition(".")[0] in inside]
        if near and not net.protective:
            best = min(near, key=lambda end: way_to(circuit, end))
            yield Test("ohms", best, "earth", DEAD, minutes("ohms", "next_to") + way_to(circuit, best))


def leads_off(book: Book, tag: str) -> Iterator[Test]:
    """Ohms of a load on its own, as a fault may lie beside it; of a contact where a sound panel reads more than it."""
    circuit = book.circuit
    for part in circuit.by_tag[tag].parts:
        if not isinstance(part, Load | Contact):
            continue
        a, b = f"{tag}.{part.a}", f"{tag}.{part.b}"
        if not all(end in net_of_book(book) for end in (a, b)):
            continue
        alone = DEAD.with_leads_off(a)
        if isinstance(part, Load) or not _reads_alone(book, a, b, alone):
            yield Test("ohms", a, b, alone, minutes("leads-off") + way_to(circuit, a), "leads-off")


def _reads_alone(book: Book, a: str, b: str, alone: Situation) -> bool:
    """Whether nothing beside a part is read along with it in the sound panel."""
    return _near(*(expected_value(book.sound(at), a, b, "ohm", meter_called("digital")) for at in (DEAD, alone)))


def _near(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) <= max(JOINED_OHMS, 0.05 * other)


# -- tests that change something ---------------------------------------------------------------------------------------


def renewals(book: Book, evidence: Sequence[Evidence], causes: Sequence[Cause]) -> Iterator[Test]:
    """A fuse renewed: does it hold in the situation in which something was seen?"""
    seen = [p for p in evidence if isinstance(p, Seen) and not p.situation.is_dead]
    fuses = dict.fromkeys(cause.tags[0] for cause in causes if cause.kind == "fuse-blown" and cause.tags)
    fuses |= dict.fromkeys(p.state.subject for p in seen if p.state.state in ("blown", "tripped"))
    fuses = {tag: None for tag in fuses if any(isinstance(part, Fuse) for part in book.circuit.by_tag[tag].parts)}
    for tag in fuses:
        for situation in dict.fromkeys(p.situation for p in seen):
            word = "reset" if _resets(book.circuit, tag) else "renewed"
            name = f"{tag} {word}, {situation.name}" if situation.steps else f"{tag} {word}"
            step = Do("reset" if word == "reset" else "renew", (tag,))
            renewed = Situation(name, (step, *situation.steps), situation.altered)
            yield Test("look", tag, "", renewed, minutes("renew"), "renew")


def _resets(circuit: Circuit, tag: str) -> bool:
    return any(isinstance(part, Fuse) and part.resettable for part in circuit.by_tag[tag].parts)


def test_leads(book: Book, evidence: Sequence[Evidence], causes: Sequence[Cause]) -> Iterator[Test]:
    """A test lead across a contact or wire of the control circuit: does what stays off then work?"""
    off = [p for p in evidence if isinstance(p, Seen) and _is_off(book, p) and not p.situation.altered]
    for a, b in _bridges(book, causes):
        for piece in off[:1]:
            bridged = piece.situation.with_test_lead(a, b)
            if not _would_short(book, bridged):
                cost = minutes("test-lead") + way_to(book.circuit, a)
                yield Test("look", piece.state.subject, "", bridged, cost, "test-lead")


def _is_off(book: Book, piece: Seen) -> bool:
    device = book.circuit.by_tag.get(piece.state.subject)
    return device is not None and works(device) and piece.state.state == states_of(device)[1]


def _bridges(book: Book, causes: Sequence[Cause]) -> dict[tuple[str, str], None]:
    """Ends of the make contacts and control wires that the causes are about, without what protects."""
    circuit = book.circuit
    found: dict[tuple[str, str], None] = {}
    about = {tag for cause in causes for tag in cause.tags}
    ends_about = {end for cause in causes for end in cause.ends}
    for tag in book.core.circuit.by_tag:
        device = circuit.by_tag[tag]
        if tag in about and device.mechanism.sort not in NOT_BRIDGED:
            for part in device.parts:
                if isinstance(part, Contact) and not part.main and part.form in BRIDGED:
                    ends = f"{tag}.{part.a}", f"{tag}.{part.b}"
                    if all(end in net_of_book(book) for end in ends):
                        found[ends] = None
    for wire in book.wiring.wires:
        if not wire.power and set(wire.ends) & ends_about:
            found[wire.ends] = None
    return found


def _would_short(book: Book, situation: Situation) -> bool:
    """Whether a test lead would short a supply or blow a fuse of the sound panel."""
    state = book.sound(situation).state
    return bool(state.solution.shorts) or bool(state.position.blown)
