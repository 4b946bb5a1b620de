"""A course as lines over time: what a timing diagram shows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from string import ascii_lowercase

from ..circuit import Circuit, Device, Load
from .telling import told
from .trace import Change, Trace

HIGH, LOW, BETWEEN = 1.0, 0.0, 0.5
CONTACT_WORDS = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
LOAD_WORDS = {"lamp": ("lit", "dim"), "sounder": ("sounding", "hardly"), "solenoid": ("on", "partly")}


@dataclass(frozen=True, slots=True)
class ChartLine:
    """One device over time. `steps`: (second, level, word) from then on; level 1 high, 0 low, between: partly.

    The first step holds from the beginning. `element`: element id of a load, else "".
    """

    tag: str
    words: str
    steps: tuple[tuple[float, float, str], ...]
    element: str = ""


@dataclass(frozen=True, slots=True)
class ChartEvent:
    """Something that was done or ran out: its second, the letter that marks it, the sentence that tells it."""

    time_s: float
    letter: str
    sentence: str


@dataclass(frozen=True, slots=True)
class ChartTime:
    """A set time that was counted, beside the line of `tag`."""

    tag: str
    start_s: float
    end_s: float
    text: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Lines in the order in which devices first moved, events in order of time."""

    lines: tuple[ChartLine, ...]
    events: tuple[ChartEvent, ...]
    set_times: tuple[ChartTime, ...]
    end_s: float


@dataclass
class _Row:
    tag: str
    words: str
    element: str = ""
    steps: list[tuple[float, float, str]] = field(default_factory=list)

    def add(self, now: float, level: float, word: str) -> None:
        """A step; one at the same instant replaces the one before."""
        if self.steps and self.steps[-1][0] == now:
            self.steps.pop()
        self.steps.append((now, level, word))


def chart_of(trace: Trace) -> Chart:
    """The chart of everything that moved in a course; what never changed has no line."""
    rows: dict[tuple[str, str], _Row] = {}
    for change in trace.changes:
        step = _step(trace.circuit, change)
        if step is None:
            continue
        name, element, before, after = step
        row = rows.get((name, element))
        if row is None:
            device = trace.circuit.by_tag[change.subject]
            row = rows[name, element] = _Row(name, device.text, element)
            row.add(0.0, *before)
        row.add(change.now, *after)
    lines = tuple(ChartLine(row.tag, row.words, tuple(row.steps), row.element) for row in rows.values())
    moments = trace.moments
    return Chart(lines, tuple(_events(trace)), tuple(_set_times(trace)), moments[-1].now if moments else 0.0)


Look = tuple[float, str]


def _step(circuit: Circuit, change: Change) -> tuple[str, str, Look, Look] | None:
    """Name of the line, element, and how it looks before and after; None for what is not shown."""
    device = circuit.by_tag[change.subject]
    if change.what in ("contacts", "timed contacts"):
        timed = change.what == "timed contacts"
        name = f"{device.tag} timed" if timed else device.tag
        looks = [_contact_look(device, at, timed) for at in (change.before, change.after)]
    elif change.what == "load":
        load = device.part(change.element.partition(".")[2])
        if not isinstance(load, Load) or load.drives or load.sort == "primary":
            return None
        name, looks = device.tag, [_load_look(load, verdict) for verdict in (change.before, change.after)]
    elif change.what == "motor":
        name, looks = device.tag, [_motor_look(state) for state in (change.before, change.after)]
    else:
        name = device.tag
        looks = [(LOW, word) if word in ("blown", "off") else (HIGH, "") for word in (change.before, change.after)]
        if change.now == 0.0:  # every course begins with power on
            return None
    return name, change.element if change.what == "load" else "", looks[0], looks[1]


def _contact_look(device: Device, at: str, timed: bool) -> Look:
    positions = device.mechanism.positions
    if positions:
        level = positions.index(at) / max(1, len(positions) - 1) if at in positions else BETWEEN
        return level, at if at in positions else ""
    word = "operated" if timed else CONTACT_WORDS.get(device.mechanism.sort, "in")
    return {"operated": (HIGH, word), "rest": (LOW, "")}.get(at, (BETWEEN, ""))


def _load_look(load: Load, verdict: str) -> Look:
    full, partial = LOAD_WORDS.get(load.sort, ("on", "partly"))
    return {"full": (HIGH, full), "partial": (BETWEEN, partial)}.get(verdict, (LOW, ""))


def _motor_look(state: str) -> Look:
    return {"forward": (HIGH, "forward"), "reverse": (HIGH, "reverse"), "hums": (BETWEEN, "hums")}.get(state, (LOW, ""))


def _events(trace: Trace) -> Iterator[ChartEvent]:
    names = [*ascii_lowercase, *(one + other for one in ascii_lowercase for other in ascii_lowercase)]
    shown = [sentence for sentence in told(trace) if sentence.now > 0 or sentence.reason != "power on"]
    for letter, sentence in zip(names, shown, strict=False):
        yield ChartEvent(sentence.now, letter, str(sentence))


def _set_times(trace: Trace) -> Iterator[ChartTime]:
    """From the last change of a timer's coil, or of its timed contacts, until these move by themselves."""
    counts_from: dict[str, float] = {}
    for change in trace.changes:
        tag = change.subject
        if change.what == "load" and change.element in (f"{tag}.coil",):
            counts_from[tag] = change.now
        elif change.what == "timed contacts" and change.before != "moving":
            start_s = counts_from.get(tag)
            delay_s = trace.circuit.by_tag[tag].mechanism.delay_s
            if start_s is not None and change.now - start_s > delay_s / 2:
                yield ChartTime(tag, start_s, change.now, f"{change.now - start_s:.3g} s")
            counts_from[tag] = change.now
