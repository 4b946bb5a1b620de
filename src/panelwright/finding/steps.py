"""What can be done next at the panel, and what each cause would make of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ..circuit import Fuse, Is
from ..electrics import UnknownPlace
from ..wiring import Wiring
from .book import Book, Played
from .causes import Cause
from .efforts import effort_of
from .evidence import AS_DRAWN, NOT_AS_DRAWN, Evidence, Leads, Reading, Seen, expected_value, wrong_leads
from .meters import Meter
from .naming import states_of
from .places import at_terminal, place_of
from .probing import JOINED_OHMS, ohms_text, volts_text
from .situations import Situation
from .symptoms import state_called

LOW = 0.08  # of the supply's volts: below it a reading counts as nothing
UNKNOWN = "?"  # no such place in the panel with that cause in it
LEAST_AMPS = 0.3  # a clamp tells nothing for sure below; common practice, no source


@dataclass(frozen=True, slots=True)
class Test:
    """One thing to do. `kind`: "look", "leads", "volts", "ohms" or "amps". `a`, `b`: places; a tag in `a` to look at.

    `minutes`: what it costs. `row`: its row of `efforts.toml`, which says what is dangerous in it.
    """

    kind: str
    a: str
    b: str
    situation: Situation
    minutes: float
    row: str = ""

    @property
    def unit(self) -> str:
        """Of the reading, "" for a look."""
        return {"volts": "V", "ohms": "ohm", "amps": "A"}.get(self.kind, "")

    @property
    def hazard(self) -> int:
        """0 for none, 1 before live parts, 2 where something may move."""
        return effort_of(self.row or self.kind).hazard

    @property
    def danger(self) -> str:
        """What to mind, "" for nothing beyond the usual."""
        return effort_of(self.row or self.kind).danger


Outcome = str


class Bench:
    """Asks a book what tests would show, in outcomes coarse enough for a real meter."""

    def __init__(self, book: Book, meter: Meter) -> None:
        self.book = book
        self.meter = meter
        self.scale_v = max((source.volts for _, source in book.circuit.supplies), default=24.0)

    def shown_by(self, test: Test, cause: Cause) -> Outcome | None:
        """What the panel with a cause in it would show; None when the cause cannot be put in, "?" for no such place."""
        return self.shown_by_each(test, (cause,))[0]

    def shown_by_each(self, test: Test, causes: Iterable[Cause]) -> list[Outcome | None]:
        """The same for several causes, in their order."""
        row = self.book.shown.setdefault((test, self.meter.name), {})
        found: list[Outcome | None] = []
        for cause in causes:
            if cause.id not in row:
                row[cause.id] = self._works_out(test, cause)
            found.append(row[cause.id])
        return found

    def _works_out(self, test: Test, cause: Cause) -> Outcome | None:
        if test.kind == "leads":
            return NOT_AS_DRAWN if test.a in wrong_leads(cause) else AS_DRAWN
        played = self.book.played(cause, test.situation)
        try:
            return None if played is None else self.outcome(test, played)
        except UnknownPlace:
            return UNKNOWN

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
        if test.kind == "amps":
            if value is None:
                return UNKNOWN
            amps = abs(value)
            return "0 A" if amps < LEAST_AMPS / 2 else f"some {float(f'{amps:.1g}'):g} A"
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


def answer(test: Test, outcome_word: str, value: float | None, meter: Meter, words: str) -> Evidence:
    """A test that was made, as evidence."""
    if test.kind == "leads":
        return Leads(test.a, outcome_word == AS_DRAWN, test.situation, f"leads on {test.a} are {outcome_word}")
    if test.kind == "look":
        return Seen(Is(test.a, *state_called(outcome_word)), test.situation, words)
    return Reading(test.a, test.b, test.unit, value, test.situation, meter, words)


def told_test(wiring: Wiring, test: Test) -> str:
    """What to do, in one sentence, with its danger."""
    return f"{_told(wiring, test)}{f' Mind: {test.danger}.' if test.danger else ''}"


def _told(wiring: Wiring, test: Test) -> str:
    circuit = wiring.circuit
    if test.kind == "look":
        on, off = states_of(circuit.by_tag[test.a])
        fuses = [part for part in circuit.by_tag[test.a].parts if isinstance(part, Fuse)]
        words = f"{on} or {off}"
        if fuses:
            words = "on, off or tripped" if fuses[0].resettable else "whole or blown"
        question = f"is {named(wiring, test.a)} {words}"
        return f"Look, {test.situation.name}: {question}?"
    where = f" on {place_of(circuit, test.a)}" if place_of(circuit, test.a) else ""
    if test.kind == "leads":
        return f"Power off, locked, proved dead: is every lead on {named(wiring, test.a)}{where} as drawn, and tight?"
    one, other = at_terminal(wiring, test.a), at_terminal(wiring, test.b)
    if test.kind == "amps":
        return f"Live, {test.situation.name}: clamp round the lead from {one} to {other}{where}. Amps?"
    if test.kind == "ohms":
        off = ", ".join(f"leads off {fault.subject}" for fault in test.situation.altered)
        state = f"Power off, locked, proved dead{f', {off}' if off else ''}"
        return f"{state}: ohms from {one} to {other}{where}."
    return f"Live, {test.situation.name}: one lead at {other}, the other at {one}{where}. Volts?"


def named(wiring: Wiring, tag: str) -> str:
    """ "H1 (Running)"."""
    text = wiring.circuit.by_tag[tag].text
    return f"{tag} ({text})" if text else tag
