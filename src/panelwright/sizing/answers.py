"""What sizing answers: a choice, the arithmetic that led to it, the rule and the source of every step.

An answer that lacks a fact says exactly which one and the line that would tell it; it never guesses.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace

from ..catalog.shelf import Trust
from ..circuit import Device


@dataclass(frozen=True, slots=True)
class Working:
    """One line of arithmetic or one table cell: "22 A x 1.25 = 27.5 A".

    `rule`: the clause that asks for it ("NEC 430.22"), "" for plain arithmetic or physics. `source`: where the
    figures in it come from. `trust`: how far those were checked; what is remembered is marked on the sheet.
    """

    text: str
    rule: str = ""
    source: str = ""
    trust: Trust = "seen"

    @property
    def remembered(self) -> bool:
        """Whether somebody has to look the figure up before anything is approved with it."""
        return self.trust == "from memory"


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that the file does not tell. `what` is asked, `why` it is needed, `mend` is the line to write."""

    what: str
    why: str
    mend: str


@dataclass(frozen=True, slots=True)
class Allowed:
    """Another choice that a reading of the rule allows. `why`: which reading."""

    choice: str
    why: str
    value: float | None = None


@dataclass(frozen=True, slots=True)
class Fitted:
    """What the file has at that place, and whether it will do; `fits` None when that cannot be told."""

    text: str
    fits: bool | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """One question about one device, wire or place, answered.

    `about`: a tag ("1MTR", "W2"), a rail or a place. `choice` as it is bought or set ("10 AWG copper", "60 A"); ""
    when something is missing. `value` in `unit`, for programs. `also`: other choices that the rule allows.
    """

    about: str
    question: str
    choice: str = ""
    value: float | None = None
    unit: str = ""
    workings: tuple[Working, ...] = ()
    also: tuple[Allowed, ...] = ()
    fitted: Fitted | None = None
    warnings: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def answered(self) -> bool:
        """Whether there is a choice."""
        return bool(self.choice)

    @property
    def remembered(self) -> bool:
        """Whether the choice rests on a figure that is only remembered."""
        return any(working.remembered for working in self.workings)

    @property
    def falls_short(self) -> bool:
        """Whether what the file has will not do."""
        return self.fitted is not None and self.fitted.fits is False


@dataclass(frozen=True, slots=True)
class Part:
    """Answers that belong under one heading: one motor, one control circuit, one enclosure."""

    heading: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class SizingSheet:
    """All that was sized in one panel. `rules`: name of the code and edition; `taken`: what was taken for granted."""

    title: str
    rules: str
    parts: tuple[Part, ...]
    taken: tuple[str, ...] = ()
    cautions: tuple[str, ...] = field(default=())

    @property
    def answers(self) -> tuple[Answer, ...]:
        """Every answer, in order."""
        return tuple(answer for part in self.parts for answer in part.answers)

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What the file should tell, each once."""
        return tuple(dict.fromkeys(one for answer in self.answers for one in answer.missing))

    @property
    def shortfalls(self) -> tuple[Answer, ...]:
        """The answers where what the file has will not do."""
        return tuple(answer for answer in self.answers if answer.falls_short)

    def only(self, tags: Collection[str]) -> SizingSheet:
        """The parts whose heading names one of the tags, and of the others the answers about them."""
        parts = []
        for part in self.parts:
            whole = bool({*part.heading.replace(":", " ").replace(",", " ").split()} & {*tags})
            answers = part.answers if whole else tuple(a for a in part.answers if a.about in tags)
            if answers:
                parts.append(replace(part, answers=answers))
        return replace(self, parts=tuple(parts))

    def about(self, tag: str, question: str = "") -> tuple[Answer, ...]:
        """The answers about a device, wire or place; those to one question if it is given."""
        return tuple(a for a in self.answers if a.about == tag and question in ("", a.question))


def not_answered(about: str, question: str, missing: Iterable[Missing], workings: Iterable[Working] = ()) -> Answer:
    """An answer that has to wait for facts."""
    return Answer(about, question, workings=tuple(workings), missing=tuple(missing))


def in_amps(value: float) -> str:
    """ "27.5 A"."""
    return amount(value, "A")


def amount(value: float, unit: str = "", digits: int = 4) -> str:
    """A number as the sheet prints it: at most `digits` figures, no exponent, no zeros that say nothing."""
    text = f"{value:.{digits}g}"
    if "e" in text:
        text = f"{value:.0f}"
    return f"{text} {unit}".rstrip()


def tags_told(tags: Sequence[str], most: int = 6) -> str:
    """ "K1, Q1 and 3 more"."""
    return ", ".join(tags[:most]) + (f" and {len(tags) - most} more" if len(tags) > most else "")


def line_with(device: Device, *added: str) -> str:
    """The line of a device with further facts on it, as it would stand in the panel file."""
    facts = [fact.text for fact in device.facts]
    return "  ".join([device.tag, device.kind, *facts, *added])
