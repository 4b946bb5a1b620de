"""What is known about a fault: what was seen, what was read, and how well each cause explains it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from ..behaviour import UnclearPlace
from ..behaviour.places import place_of
from ..circuit import Circuit, Is
from ..electrics import UnknownPlace
from .book import Book, Played, has_tripped
from .causes import Cause
from .meters import Meter, meter_called
from .probing import JOINED_OHMS, MOST_OHMS, volts_shown
from .situations import Situation, situation_called

SURE, SOMETIMES = 0.97, 0.7  # how far one piece is believed; common practice, no source
READ = 0.98
NEAR, NEAR_V = 0.12, 1.0  # a reading fits within 12 % or 1 V; common practice, no source
NEAR_A = 0.1  # a clamp shows no less for sure; common practice, no source
NEAR_OHMS = 0.3  # resistances of coils vary with warmth and make; common practice, no source


@dataclass(frozen=True, slots=True)
class Seen:
    """A device is seen in a state. `state.state`: any state of a trial, "buzzing", or "blown". `sometimes`: not always.

    `words`: as the user said it.
    """

    state: Is
    situation: Situation
    words: str
    sometimes: bool = False

    @property
    def belief(self) -> float:
        """How far it is believed."""
        return SOMETIMES if self.sometimes else SURE

    def fits(self, book: Book, cause: Cause, played: Played) -> bool:
        """Whether the cause would show this."""
        if self.state.subject not in played.state.circuit.by_tag:  # what the core leaves out is sound
            played = book.sound(self.situation)
        fits = shows(played, self.state)
        if self.sometimes and not fits:
            return any(fault.form in ("flutters", "loose", "bounces") for fault in cause.faults)
        return fits


@dataclass(frozen=True, slots=True)
class Reading:
    """A meter reading: `unit` "V", "ohm" or "A"; `value` None for open. `a`, `b`: places; for amps a wire's ends."""

    a: str
    b: str
    unit: str
    value: float | None
    situation: Situation
    meter: Meter
    words: str

    @property
    def belief(self) -> float:
        """How far it is believed."""
        return READ

    def fits(self, book: Book, cause: Cause, played: Played) -> bool:
        """Whether the cause would give this reading, within what meters and parts differ."""
        expected = expected_value(played, self.a, self.b, self.unit, self.meter)
        if self.unit == "A" and expected is None:
            return True  # nothing is known against it
        return values_agree(self.unit, self.value, expected)


@dataclass(frozen=True, slots=True)
class Differs:
    """Something else was seen than this; what, was not said."""

    states: tuple[Is, ...]
    situation: Situation
    words: str

    @property
    def belief(self) -> float:
        """How far it is believed."""
        return SURE

    def fits(self, book: Book, cause: Cause, played: Played) -> bool:
        """Whether the cause would show anything else."""
        return not all(shows(played, state) for state in self.states)


AS_DRAWN, NOT_AS_DRAWN = "as drawn", "not as drawn"


@dataclass(frozen=True, slots=True)
class Leads:
    """The leads on a device were looked at against the drawing, and tugged."""

    tag: str
    right: bool
    situation: Situation
    words: str

    @property
    def belief(self) -> float:
        """How far it is believed."""
        return SURE

    def fits(self, book: Book, cause: Cause, played: Played) -> bool:
        """Whether the cause would look so; a wire that is open may be off in plain sight, or broken inside."""
        if self.tag in wrong_leads(cause):
            return not self.right
        unsure = not cause.is_miswire and self.tag in cause.tags
        return self.right or (unsure and any(fault.form in MAY_BE_SEEN for fault in cause.faults))


MAY_BE_SEEN = ("wire open", "resistance", "lifted")
SEEN_AT_LEADS = ("terminal-loose", "terminals-bridged")


def wrong_leads(cause: Cause) -> tuple[str, ...]:
    """Tags of the devices at which somebody who compares the leads with the drawing sees a cause."""
    if cause.kind == "pair":
        return cause.wrong_at
    if cause.is_miswire or cause.kind in SEEN_AT_LEADS:
        return cause.wrong_at or cause.tags
    return ()


Evidence = Seen | Reading | Differs | Leads


def shows(played: Played, wanted: Is) -> bool:
    """Whether a panel shows a state; a relay that hums may be seen in or out."""
    tag, state = wanted.subject, wanted.state
    if state == "buzzing":
        return tag in played.buzzing if tag else bool(played.buzzing)
    if state == "not buzzing":
        return tag not in played.buzzing
    if state == "hums":
        return tag in played.state.circuit.by_tag and played.state.word(tag) == "hums"
    try:
        if tag in played.state.circuit.by_tag and has_tripped(played.state, tag):
            return state in ("tripped", "blown")
        return played.state.seen(wanted)[0]
    except (KeyError, UnknownPlace):
        return False


def expected_value(played: Played, a: str, b: str, unit: str, meter: Meter) -> float | None:
    """What the meter would show, in its unit; None for open. Raises UnknownPlace."""
    if unit == "ohm":
        ohms = played.ohms.between(a, b)
        return None if ohms is None or ohms > MOST_OHMS else ohms
    if unit == "A":
        return _amps(played, a, b)
    network = played.state.network
    key = network.node(a), network.node(b), meter.name
    if key not in played.volts:
        played.volts[key] = _volts(played, a, b, meter)
    return played.volts[key]


def _amps(played: Played, a: str, b: str) -> float | None:
    """Amps in a wire; None where its net is parted and the share of this wire is not known."""
    network = played.state.network
    if network.node(a) != network.node(b):
        return 0.0  # the wire between them is open
    try:
        return played.state.solution.amps_in_wire(a, b).effective
    except UnknownPlace:
        return None


def _volts(played: Played, a: str, b: str, meter: Meter) -> float:
    solution = played.state.solution
    level = solution.volts(a, b)
    if level.floating and solution.are_apart(a, b):
        return 0.0  # a meter between two places that nothing else joins carries nothing
    if level.floating or meter.ohms < 1e6 or _has_stray(played):
        return volts_shown(played.state, a, b, meter).value or 0.0
    return level.ac_effective if level.ac_effective > abs(level.dc) else level.dc


def _has_stray(played: Played) -> bool:
    """Whether something feeds through so high a resistance that the meter matters."""
    return any(getattr(edit, "farads", 0.0) or getattr(edit, "ohms", 0.0) > 1e4 for edit in played.state.network.edits)


def values_agree(unit: str, read: float | None, expected: float | None) -> bool:
    """Whether a reading is what was expected, within what meters and parts differ."""
    if unit == "ohm":
        if read is None or expected is None:
            return read is expected or (read or expected or 0.0) > MOST_OHMS / 10
        if read <= 2 * JOINED_OHMS or expected <= 2 * JOINED_OHMS:
            return abs(read - expected) <= 3 * JOINED_OHMS
        return abs(read - expected) <= NEAR_OHMS * max(read, expected)
    read, expected = read or 0.0, expected or 0.0
    if unit == "V" and (read >= 0) != (expected >= 0) and read > 0:
        expected = abs(expected)  # the leads the other way round; only a typed minus means it
    slack = NEAR * max(abs(read), abs(expected))
    return abs(read - expected) <= max(NEAR_V if unit == "V" else NEAR_A, slack)


class Unclear(ValueError):
    """Words that are not understood; the message says what would be."""


READING = re.compile(
    r"(?P<a>[^\s:]+?)\s*(?:-|–| to | and |\s)\s*(?P<b>[^\s:]+)\s*(?::|=|\bis\b|\breads\b)\s*"
    r"(?P<value>-?[\d.]+(?:e-?\d+)?|open|o\.?l\.?|infinite|beeps?|silent|nothing|lights|dark)\s*"
    r"(?P<unit>kohms?|mohms?|ohms?|k|m?v|volts?|m?a|amps?|Ω|kΩ|MΩ)?(?:\s*(?:ac|dc))?"
    r"(?:\s*@\s*(?P<at>.+?))?(?:\s+(?:with|by)\s+(?P<meter>[\w -]+))?",
    re.IGNORECASE,
)
UNITS = {"v": ("V", 1), "volt": ("V", 1), "volts": ("V", 1), "mv": ("V", 1e-3), "a": ("A", 1), "ma": ("A", 1e-3),
         "amp": ("A", 1), "amps": ("A", 1), "ohm": ("ohm", 1), "ohms": ("ohm", 1), "ω": ("ohm", 1), "k": ("ohm", 1e3),
         "kohm": ("ohm", 1e3), "kohms": ("ohm", 1e3), "kω": ("ohm", 1e3), "mohm": ("ohm", 1e6), "mohms": ("ohm", 1e6),
         "mω": ("ohm", 1e6)}  # fmt: skip
EXAMPLE = '"K1.13 to G1.-: 0 V @ S2 held", "S1.11 to S1.12: open @ power off"'


def read_reading(book: Book, text: str, situation: Situation | None = None, meter: Meter | None = None) -> Reading:
    """A reading from words: places, value, after @ the situation, after "with" the meter.

    Raises: Unclear when the words mean nothing here.
    """
    match = _split(text.strip())
    if match is None:
        raise Unclear(f"'{text}' is no reading; write two places, the value and the situation, as in {EXAMPLE}")
    a, b = (named_place(book.circuit, match[name]) for name in "ab")
    at = situation_called(book.network, match["at"]) if match["at"] else situation or _default(book, match)
    meter = meter_called(match["meter"]) if match["meter"] else meter or meter_called("digital")
    unit, value = _value(match)
    if unit == "ohm" and not at.is_dead:
        at = situation_called(book.network, f"{at.name}, power off" if at.steps else "power off")
    return Reading(a, b, unit, value, at, meter, text.strip())


def _default(book: Book, match: re.Match[str]) -> Situation:
    return situation_called(book.network, "power off" if _value(match)[0] == "ohm" else "at rest")


def _split(text: str) -> re.Match[str] | None:
    """Marks may have signs in them ("G1.-"), so the two places are split with care before the rest is read."""
    head, colon, tail = text.partition(":")
    words = re.split(r"\s+to\s+|\s+and\s+|\s*[-–]\s*(?=\w+\.|earth|@|[A-Z]\d*$|[-+]$)|\s+", head.strip())
    if colon and len(words) >= 2:
        return READING.fullmatch(f"{words[0]} to {' '.join(words[1:])}:{tail}")
    return READING.fullmatch(text)


def _value(match: re.Match[str]) -> tuple[str, float | None]:
    word, unit = match["value"].lower(), (match["unit"] or "").lower()
    if word in ("open", "ol", "o.l", "o.l.", "infinite", "silent"):
        return "ohm", None
    if word in ("beep", "beeps"):
        return "ohm", 0.0
    if word in ("nothing", "dark"):
        return "V", 0.0
    if word == "lights":
        raise Unclear("say how many volts; a test lamp only shows that there are some")
    name, factor = UNITS.get(unit, ("V", 1.0))
    return name, float(word) * factor


def named_place(circuit: Circuit, word: str) -> str:
    """A terminal, point, rail, or earth ("ground", "PE"). Raises Unclear."""
    if word.lower() in ("earth", "ground", "gnd", "pe", "chassis"):
        return "earth"
    for name in (word, word.upper(), f"@{word}"):
        try:
            return place_of(circuit, name)
        except UnclearPlace as reason:
            problem = reason.problem
            if name == word:
                first = problem
    raise Unclear(f"{first.message}; {first.mend}")


def with_situation(evidence: Evidence, situation: Situation) -> Evidence:
    """The same in another situation."""
    return replace(evidence, situation=situation)
