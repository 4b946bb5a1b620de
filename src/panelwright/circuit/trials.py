"""Trials: steps to take and what must then be seen."""

from __future__ import annotations

from dataclasses import dataclass, field

from .problems import Span
from .sentences import Condition, Fault, Is


@dataclass(frozen=True, slots=True)
class Do:
    """One thing done. All `targets`, and everything in `also`, at the same instant.

    `verb`: press release tap hold turn make clear trip reset switch-on switch-off power-off power-on wait push-in
    renew, take-out (a fuse link).
    `value`: position for turn. `seconds`: for hold, wait, power-off for a time. Targets of power: supply tags or ().
    """

    verb: str
    targets: tuple[str, ...] = ()
    value: str = ""
    seconds: float | None = None
    also: tuple[Do, ...] = ()
    text: str = ""
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Inject:
    """From here on the fault is present."""

    fault: Fault
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Mend:
    """From here on the fault about `subject` ("" all faults) is gone."""

    subject: str = ""
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Expect:
    """One thing that must be seen.

    `form`: "state" (with `state`), "stays" (`state` for `seconds`), "never" (`condition`, at any moment since the last
    expectation), "buzzes" (subject or ""), "race", "no race",
    "short circuit", "no short circuit", "volts" (`value` +- `tolerance` from `subject` to `other`), "amps" (in
    `subject`). For "volts" across a part, subject is the element as written ("K1.coil") and other is "".
    `within`: seconds in which it has to come true, None: when settled.
    """

    form: str
    state: Is | None = None
    subject: str = ""
    other: str = ""
    value: float | None = None
    tolerance: float | None = None
    seconds: float | None = None
    within: float | None = None
    text: str = ""
    condition: Condition | None = None
    span: Span | None = field(default=None, compare=False)


Step = Do | Inject | Mend | Expect


@dataclass(frozen=True, slots=True)
class Trial:
    """A little test in trade words; starts with the supplies on and nothing operated."""

    name: str
    steps: tuple[Step, ...]
    span: Span | None = field(default=None, compare=False)
