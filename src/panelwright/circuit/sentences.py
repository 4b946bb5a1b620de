"""Promises and assumptions: sentences about states and events, each with one fixed meaning."""

from __future__ import annotations

from dataclasses import dataclass, field

from .problems import Span


@dataclass(frozen=True, slots=True)
class Is:
    """`subject` (a tag, "@point", or "power") is in `state`.

    States: in out moving lit dark dim sounding silent running stopped on off pressed released made clear tripped
    reset at live dead blown; in a promise also with "not " before. `value`: position for "at", "forward" or
    "reverse" for "running", "" otherwise.
    """

    subject: str
    state: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class AllOf:
    """Every part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """At least one part holds."""

    parts: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """The part does not hold."""

    part: Condition


Condition = Is | AllOf | AnyOf | Not


@dataclass(frozen=True, slots=True)
class Happens:
    """An event: `condition` becomes true (S2 is released, K1 picks up, SA1 turns to HAND, power returns)."""

    becomes: Condition


@dataclass(frozen=True, slots=True)
class Sentence:
    """A promise or an assumption.

    `form` names the row of the table of sentences in the language reference; the other fields hold what that row
    speaks of and are empty where it does not:
      promises: "when" "at least once when" "only while" "exactly while" "after" "stays after" "stays until"
        "stays at least" "stays at most" "only after" "never together" "never" "always" "while always" "after until"
        "in order" "take turns" "nothing starts" "again when power returns" "everything rests after" "waive"
      assumptions: "makes before" "never together" "only while" "makes only while" "within after" "stays at most"
        "stays at least" "always let go" "stays at" "never" "always" "power stays on" "power dips at most"
        "inputs one at a time" "inputs only at rest" "stays on"
    `states`: what it is about, in the order written. `subject`: "everything" or "nothing" where that is meant.
    `faults`: of `with FAULT:`; `one_fault`: `even with one fault`; `not_kept`: shown on purpose.
    """

    form: str
    text: str
    states: tuple[Is, ...] = ()
    condition: Condition | None = None
    unless: Condition | None = None
    event: Happens | None = None
    until: Condition | None = None
    seconds: float | None = None
    subject: str = ""
    waives: str = ""
    faults: tuple[Fault, ...] = ()
    one_fault: bool = False
    not_kept: bool = False
    why: str = ""
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Fault:
    """Something broken, or wired wrong, by name.

    `form`: "open" "shorted" "stuck open" "stuck closed" "stuck in" "stuck out" "stuck pressed" "stuck released"
    "touches" "lost" "blown" "lifted" "wire open" "reversed" "supply at" "time at" "never times out" "exchanged"
    "in place of" "landed on" "resistance" "leakage" "capacitance" "coupled" "flutters" "loose" "weak supply" "hums"
    "jams" "assumption broken" "stuck made" "stuck clear" "stuck tripped" "stuck reset" "never closes" "bounces"
    "earthed"
    "with shorted turns" "spring broken" "fitted as NO" "fitted as NC" "fed from" "in parallel".
    `subject` and `other`: a part "K1.no1" or "K1.coil", a terminal "K1.A1", a point "@3", a rail, "earth", a tag.
    `value`: in SI units of the form (volts, seconds, ohms, farads). `text`: as written.
    """

    form: str
    subject: str
    other: str = ""
    value: float | None = None
    text: str = ""
    span: Span | None = field(default=None, compare=False)
