"""What can be done next at the panel, and what each cause would make of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from ..circuit import Circuit, Contact, Do, Fuse, Is, Load, PathUse, net_of
from ..electrics import UnknownPlace
from ..wiring import Wiring
from .book import Book, Played, feeders
from .causes import Cause
from .evidence import Evidence, Reading, Seen, expected_value
from .meters import Meter
from .naming import states_of, works
from .places import at_terminal, place_of, return_for
from .probing import JOINED_OHMS, ohms_text, volts_text
from .situations import DEAD, Situation

# Effort in minutes and danger, as one number; common practice, no source
LOOK, LIVE, COLD, PUSH, ACT, MOVE = 0.4, 2.0, 2.0, 3.0, 1.0, 0.3
DANGER = 1.0  # more where the load current flows
FAR = 1.5  # what stands in the plant has to be walked to
LOW = 0.08  # of the supply's volts: below it a reading counts as nothing


@dataclass(frozen=True, slots=True)
class Test:
    """One thing to look at or to read. `kind`: "look", "volts" or "ohms". `a`, `b`: places; a tag in
    `a` to look at. `effort`: minutes and danger in one figure.
    """

    kind: str
    a: str
    b: str
    situation: Situation
    effort: float

    @property
    def unit(self) -> str:
        """Of the reading, "" for a look."""
        return {"volts": "V", "ohms": "ohm"}.get(self.kind, "")


Outcome = str


class Bench:
    """Asks a book what tests would show, in outcomes coarse enough for a real meter."""

    def __init__(self, book: Book, meter: Meter) -> None:
        self.book = book
        self.meter = meter
        self.scale_v = max((source.volts for _, source in book.circuit.supplies), default=24.0)

    def shown_by(self, test: Test, cause: Cause) -> Outcome | None:
        """What the panel with a cause in it would show; None when the cause cannot be put in, "?" for no such place."""
        key = cause.id, test, self.meter.name
        if key not in self.book.told:
            played = self.book.played(cause, test.situation)
            try:
                self.book.told[key] = None if played is None else self.outcome(test, played)
            except UnknownPlace:
                self.book.told[key] = "?"
        found = self.book.told[key]
        return None if found is None else str(found)

    def outcome(self, test: Test, played: Played) -> Outcome:
        """What this panel would show."""
        if test.kind == "look":
            return self.book.look(played, test.a, test.situation)
        value = expected_value(played, test.a, test.b, test.unit, self.meter)
        return self.outcome_of(test, value)

    def outcome_of(self, test: Test, value: float | None) -> Outcome:
        """A value as one of the outcomes that a meter tells apart for sure."""
        if test.kind == "ohms":
            if value is None or value > 5e5:
                return "open"
            return "0 ohm" if value <= 3 * JOINED_OHMS else f"some {ohms_text(float(f'{value:.1g}'))}"
        volts = abs(value or 0.0)
        if volts < max(1.0, LOW * self.control_v(test)):
            return "0 V"
        step = 0.15 * self.control_v(test)
        return f"some {volts_text(round(volts / step) * step)}" if volts < 0.85 * self.control_v(test) else volts_text(
            float(f"{volts:.2g}"))  # fmt: skip

    def control_v(self, test: Test) -> float:
        """Volts of the supply that a test is made in, as near as its places say."""
        for place in (test.b, test.a):
            device = self.book.circuit.by_tag.get(place.partition(".")[0])
            if device is not None and device.sources:
                return device.sources[0].volts
        return min((source.volts for _, source in self.book.circuit.supplies), default=self.scale_v)


def tests_for(book: Book, evidence: Sequence[Evidence], live: bool = True) -> Iterator[Test]:
    """Everything worth doing next: looks, volts with a parked lead and across parts, ohms with the power off.

    Only in situations that the evidence speaks of, so that nothing new has to be set up.
    """
    circuit = book.circuit
    inside = book.core.circuit.by_tag
    known = list(dict.fromkeys(piece.situation for piece in evidence)) or list(book.situations[:1])
    for situation in known:
        if not situation.is_dead:
            yield from looks(circuit, dict.fromkeys((*inside, *sorted(feeders(circuit)))), situation, evidence)
            if live:
                yield from volts_tests(book, situation)
    if live:
        yield from pushes(book, evidence)
    yield from cold_tests(book)


def pushes(book: Book, evidence: Sequence[Evidence]) -> Iterator[Test]:
    """A relay that does not pull in, pushed in by hand: does what it feeds work, does it hold?"""
    circuit = book.circuit
    out = [p.state.subject for p in evidence if isinstance(p, Seen) and p.state.state == "out" and p.situation.steps]
    for tag in dict.fromkeys(out):
        if any(load.drives for load in circuit.by_tag[tag].loads):
            steps = Do("push-in", (tag,)), Do("release", (tag,))
            pushed = Situation(f"{tag} pushed in by hand and let go", steps)
            yield Test("look", tag, "", pushed, PUSH)


def looks(
    circuit: Circuit, inside: Iterable[str], situation: Situation, evidence: Sequence[Evidence]
) -> Iterator[Test]:
    """Lamps, relays, fuses and motors that can be seen or heard."""
    told = {p.state.subject for p in evidence if isinstance(p, Seen) and p.situation == situation}
    for tag in inside:
        device = circuit.by_tag[tag]
        fuse = any(isinstance(part, Fuse) for part in device.parts)
        if tag not in told and (works(device) or fuse) and not device.sources:
            yield Test("look", tag, "", situation, LOOK * (FAR if _is_far(circuit, tag) else 1) + (ACT if fuse else 0))


def _is_far(circuit: Circuit, tag: str) -> bool:
    return circuit.by_tag[tag].place not in ("door", "plate")


def volts_tests(book: Book, situation: Situation) -> Iterator[Test]:
    """From each terminal of a rung to its return, and across each part."""
    circuit = book.circuit
    for terminal, parked in walked(book).items():
        yield Test("volts", terminal, parked, situation, LIVE + _way(circuit, terminal))
    yield from power_tests(book, situation)
    for tag in book.core.circuit.by_tag:
        for part in circuit.by_tag[tag].parts:
            if isinstance(part, Load | Contact | Fuse):
                ends = f"{tag}.{part.a}", f"{tag}.{part.b}"
                if all(end in net_of_book(book) for end in ends):
                    yield Test("volts", *ends, situation, LIVE + MOVE + _way(circuit, ends[0]))


def power_tests(book: Book, situation: Situation) -> Iterator[Test]:
    """Line to line behind each part of the power paths."""
    inside = book.core.circuit.by_tag
    for path in book.circuit.power_paths:
        for use in path.items:
            if not isinstance(use, PathUse) or use.device not in inside:
                continue
            for side in (0, 1):
                ends = [f"{use.device}.{pair[side]}" for pair in use.pairs if pair[side]]
                for a, b in combinations(ends, 2):
                    yield Test("volts", a, b, situation, LIVE + DANGER + _way(book.circuit, a))


def _way(circuit: Circuit, terminal: str) -> float:
    return {"plate": 0.0, "door": 0.4}.get(place_of(circuit, terminal), FAR)


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


def cold_tests(book: Book) -> Iterator[Test]:
    """Wires end to end, and parts, with the power off."""
    circuit = book.circuit
    inside = book.core.circuit.by_tag
    for wire in book.wiring.wires:
        if all(end.partition(".")[0] in inside for end in wire.ends):
            yield Test("ohms", *wire.ends, DEAD, COLD + max(_way(circuit, end) for end in wire.ends))
    for tag in inside:
        for part in circuit.by_tag[tag].parts:
            if isinstance(part, Load | Contact | Fuse):
                ends = f"{tag}.{part.a}", f"{tag}.{part.b}"
                if all(end in net_of_book(book) for end in ends):
                    yield Test("ohms", *ends, DEAD, COLD + _way(circuit, ends[0]))


def answer(test: Test, outcome_word: str, value: float | None, meter: Meter, words: str) -> Evidence:
    """A test that was made, as evidence."""
    if test.kind == "look":
        return Seen(Is(test.a, *_state_of(outcome_word)), test.situation, words)
    return Reading(test.a, test.b, test.unit, value, test.situation, meter, words)


def _state_of(word: str) -> tuple[str, str]:
    state, _, value = word.partition(" ")
    if word == "chattering":
        return "buzzing", ""
    if word in ("partly on", "hardly sounding", "between in and out"):
        return word, ""
    return state, value


def told_test(wiring: Wiring, test: Test) -> str:
    """What to do, in one sentence."""
    circuit = wiring.circuit
    if test.kind == "look":
        on, off = states_of(circuit.by_tag[test.a])
        device = circuit.by_tag[test.a]
        name = f"{test.a} ({device.text})" if device.text else test.a
        fuse = any(isinstance(part, Fuse) for part in device.parts)
        question = f"is {name} whole or blown" if fuse else f"is {name} {on} or {off}"
        danger = " (what it drives may start)" if "by hand" in test.situation.name else ""
        return f"Look, {test.situation.name}{danger}: {question}?"
    one, other = at_terminal(wiring, test.a), at_terminal(wiring, test.b)
    where = f" on {place_of(circuit, test.a)}" if place_of(circuit, test.a) else ""
    if test.kind == "ohms":
        return f"Power off, locked, proved dead: ohms from {one} to {other}{where}."
    return f"Live, {test.situation.name}: one lead at {other}, the other at {one}{where}. Volts?"
