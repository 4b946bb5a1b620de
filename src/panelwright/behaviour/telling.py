"""The story of a run in words: one sentence for each thing done and each time that ran out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ..circuit import Circuit, Contact, Device, Load
from ..electrics import Position
from .engine import SAME_INSTANT_S, Moment
from .paths import conducts_in, contacts_on, feeding, feeding_path, listed, spoken
from .stands import MOVING, OPERATED, REST
from .trace import Change, Doing, Trace, changes_between

DONE = {
    "press": "pressed",
    "release": "released",
    "make": "made",
    "clear": "cleared",
    "trip": "tripped",
    "reset": "reset",
    "switch-on": "switched on",
    "switch-off": "switched off",
    "push-in": "pushed in by hand",
    "renew": "renewed",
    "take-out": "taken out",
    "power-on": "on",
    "power-off": "off",
}
RUNS = {"forward": "runs forward", "reverse": "runs in reverse", "stopped": "stops", "hums": "hums"}
LOADS = {
    "lamp": ("lights", "goes dark", "glows dimly"),
    "sounder": ("sounds", "falls silent", "hardly sounds"),
    "solenoid": ("pulls", "lets go", "may pull or not"),
}


@dataclass(frozen=True, slots=True)
class Sentence:
    """What was done or ran out at a time (seconds), and what followed, in order."""

    now: float
    reason: str
    follows: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.reason}: {'; '.join(self.follows) or 'nothing changes'}"


@dataclass
class _Open:
    """A sentence being written."""

    now: float
    reason: str
    follows: list[str] = field(default_factory=list)


def told(trace: Trace) -> tuple[Sentence, ...]:
    """The whole story, in order of time."""
    return tuple(Sentence(one.now, one.reason, tuple(dict.fromkeys(one.follows))) for one in _Teller(trace).sentences())


class _Teller:
    """Walks along a trace once and remembers through what each coil was fed."""

    def __init__(self, trace: Trace) -> None:
        self.trace = trace
        self.circuit: Circuit = trace.circuit
        self.through: dict[str, str] = {}
        self.reason: dict[str, str] = {}
        self.buzzes = list(trace.buzzes)

    def sentences(self) -> Iterator[_Open]:
        sentence: _Open | None = None
        before: Moment | None = None
        previous: object = None
        for step in self.trace.steps:
            if isinstance(step, Doing):
                words = doing_words(self.circuit, step)
                if sentence is not None and isinstance(previous, Doing):
                    sentence.reason += f", {words}"
                else:
                    if sentence is not None:
                        yield sentence
                    sentence = _Open(step.now, words)
            elif before is None:
                before = step
            else:
                changes = tuple(changes_between(self.circuit, before, step))
                ran_out = [c.subject for c in changes if c.what == "timed contacts" and c.before != "moving"]
                if ran_out and not isinstance(previous, Doing) and self._by_time(ran_out, changes):
                    if sentence is not None:
                        yield sentence
                    sentence = _Open(step.now, f"{listed(ran_out)} {'has' if len(ran_out) == 1 else 'have'} run out")
                if sentence is not None:
                    sentence.follows += self._followed(changes, before, step)
                before = step
            previous = step
        if sentence is not None:
            yield sentence

    def _by_time(self, tags: list[str], changes: tuple[Change, ...]) -> bool:
        """Whether timed contacts moved by themselves, not along with their coil."""
        return not any(c.subject in tags and c.what == "contacts" for c in changes)

    def _followed(self, changes: tuple[Change, ...], before: Moment, now: Moment) -> Iterator[str]:
        for change in changes:
            if change.what == "load":
                yield from self._load(change, before, now)
            elif change.what == "contacts":
                yield from self._contacts(change, now)
            elif change.what == "motor":
                connection = now.solution.motor(change.element).connection
                yield f"{change.subject} {RUNS[change.after]}" + (f" in {connection}" if connection else "")
            elif change.what == "fuse" and change.after == "blown":
                yield f"{change.subject} blows"
        while self.buzzes and self.buzzes[0].start + self.buzzes[0].period_s <= now.now + SAME_INSTANT_S:
            buzz = self.buzzes.pop(0)
            yield f"{listed(sorted(buzz.tags))} {'buzzes' if len(buzz.tags) == 1 else 'buzz'} without end"

    def _load(self, change: Change, before: Moment, now: Moment) -> Iterator[str]:
        device, load = self.circuit.elements[change.element]
        if change.after == "full":
            path = contacts_on(self.circuit, feeding_path(now.network, now.position, change.element))
            names = listed([spoken(self.circuit, e) for e in path])
            self.through[change.element] = f" through {names}" if names else ""
        elif change.after == "none":
            self.reason[device.tag] = self._interrupted(change.element, before, now)
        if isinstance(load, Load) and load.drives:
            yield from self._coil(change, load, now)
            return
        lit, dark, dim = LOADS.get(getattr(load, "sort", ""), ("", "", ""))
        word = {"full": lit, "none": dark, "partial": dim}[change.after]
        if word:
            yield f"{device.tag} {word}" + (self.through[change.element] if change.after == "full" else "")

    def _coil(self, change: Change, load: Load, now: Moment) -> Iterator[str]:
        """What is worth telling of a coil before anything moves."""
        tag = change.subject
        if change.after == "partial":
            volts = now.solution.load(change.element).acting_v
            yield f"{spoken(self.circuit, change.element)} gets only {volts:.3g} V and stays as it is"
        elif change.after == "full" and load.drives == "coil" and now.stands[tag].plain.at == REST:
            holders = [a if b == tag else b for a, b in self.circuit.interlocks if tag in (a, b)]
            holding = [other for other in holders if now.stands[other].plain.at != REST]
            if holding:
                yield f"{tag} gets its volts, but {listed(holding)} holds it out mechanically"

    def _interrupted(self, element: str, before: Moment, now: Moment) -> str:
        """What interrupted the way that the current took before."""
        was = feeding(before.network, before.position, element)
        if was is None:
            return ""
        if was.supply in now.position.off:
            return f"{was.supply} is off"
        conducts, switches = conducts_in(now.network, now.position), now.network.elements.switches
        path = contacts_on(self.circuit, was.path)
        gone = [spoken(self.circuit, e) for e in path if e not in switches or not conducts(e)]
        return f"{listed(gone)} opened its path" if gone else ""

    def _contacts(self, change: Change, now: Moment) -> Iterator[str]:
        device = self.circuit.by_tag[change.subject]
        feeds = [load.drives for load in device.loads if load.drives]
        if not feeds:
            return
        leaves = change.before if change.before != MOVING else ""
        if device.mechanism.sort in ("impulse", "alternating"):
            if leaves:
                yield f"{device.tag} changes over"
        elif leaves == REST:
            yield from self._pulls_in(device)
        elif leaves == OPERATED:
            yield from self._drops_out(device)
        if change.after == OPERATED and "coil" in feeds:
            yield from self._holding(device.tag, now)

    def _pulls_in(self, device: Device) -> Iterator[str]:
        element = next(f"{device.tag}.{load.name}" for load in device.loads if load.drives not in ("", "reset"))
        word = "is set" if device.mechanism.sort == "latching" else "pulls in"
        times = device.mechanism.sort in ("on-delay", "interval", "star-delta")
        yield f"{device.tag} {word}{self.through.get(element, '')}" + (_starts(device) if times else "")

    def _drops_out(self, device: Device) -> Iterator[str]:
        if device.mechanism.sort == "latching":
            element = next((f"{device.tag}.{load.name}" for load in device.loads if load.drives == "reset"), "")
            yield f"{device.tag} is reset{self.through.get(element, '')}"
            return
        reason = self.reason.get(device.tag, "")
        times = _starts(device) if device.mechanism.sort.startswith("off-delay") else ""
        yield f"{device.tag} drops out{times}" + (f": {reason}" if reason else "")

    def _holding(self, tag: str, now: Moment) -> Iterator[str]:
        """The contact of its own through which a coil stays fed once every button is let go."""
        free = let_go(self.circuit, now)
        for load in self.circuit.by_tag[tag].loads:
            path = contacts_on(self.circuit, feeding_path(now.network, free, f"{tag}.{load.name}"))
            own = [e for e in path if e.startswith(f"{tag}.")]
            if own and load.drives == "coil":
                yield f"{listed([spoken(self.circuit, e) for e in own])} closes and holds it in"


def _starts(device: Device) -> str:
    return f" and starts its {device.mechanism.delay_s:g} s"


def let_go(circuit: Circuit, moment: Moment) -> Position:
    """The contact position as if every spring-return button were let go."""
    closed = set(moment.position.closed)
    for device in circuit.devices:
        if device.mechanism.sort == "push" and moment.stands[device.tag].pulled:
            for contact in device.contacts:
                _put(closed, f"{device.tag}.{contact.name}", contact)
    return Position(frozenset(closed), moment.position.blown, moment.position.off)


def _put(closed: set[str], element: str, contact: Contact) -> None:
    if contact.form == "nc":
        closed.add(element)
    else:
        closed.discard(element)


def doing_words(circuit: Circuit, doing: Doing) -> str:
    """ "S2 pressed", "SA1 turned to HAND", "power off"."""
    if doing.verb == "fault":
        return doing.value
    if doing.verb == "turn":
        return f"{listed(list(doing.targets))} turned to {doing.value}"
    words = DONE.get(doing.verb, doing.verb)
    if doing.verb.startswith("power"):
        supplies = {device.tag for device in circuit.devices if device.sources}
        return f"power {words}" if set(doing.targets) == supplies else f"{listed(list(doing.targets))} {words}"
    return f"{listed(list(doing.targets))} {words}"
