"""A run told while it goes on: lines for the story, moves for the timing diagram."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from ..behaviour import Change, Run, Trace
from ..behaviour.trace import Doing
from ..circuit import Device, Load

Line = list[Any]  # seconds, text, kind ("did", "does" or "warns")
Move = list[Any]  # seconds, tag, whether it is operated, word

DID = {
    "press": "pressed", "release": "released", "tap": "tapped", "make": "made", "clear": "clear", "trip": "tripped",
    "reset": "reset", "switch-on": "switched on", "switch-off": "switched off", "push-in": "pushed in by hand",
}  # fmt: skip
WORKED = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
LOADS = {"lamp": ("lit", "dark", "dim"), "sounder": ("sounding", "silent", "hardly sounding")}
ON_OFF = ("on", "off", "partly on")


class Teller:
    """Tells what happened since it was last asked."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.seen = len(run.trace.steps)  # how it came to rest at the start is no story
        self.at_start: list[Move] = list(self._at_start())
        self._buzzes = 0

    def anything_new(self) -> bool:
        """Whether there is something to tell."""
        return len(self.run.trace.steps) > self.seen or len(self.run.buzzes) > self._buzzes

    def news(self) -> tuple[list[Line], list[Move]]:
        """Lines and moves since the last time."""
        steps = self.run.trace.steps
        since = max(0, self._last_moment(steps))
        trace = Trace(self.run.circuit, steps[since:])
        lines: list[Line] = []
        moves, self.at_start = self.at_start, []
        fresh = [step for step in steps[self.seen :] if isinstance(step, Doing)]
        changes = list(trace.changes)
        for doing in fresh:
            lines.append([round(doing.now, 3), did(doing), "did"])
        for now, together in groupby(changes, key=lambda change: round(change.now, 3)):
            words = [text for change in together if (text := self._words(change))]
            if words:
                lines.append([now, "; ".join(words) + ".", "does"])
        for change in changes:
            moves += self._moves(change)
        for buzz in self.run.buzzes[self._buzzes :]:
            lines.append([round(buzz.start, 3), f"{buzz}. It buzzes and never settles.", "warns"])
        lines += self._shorts(steps[self.seen :])
        self.seen, self._buzzes = len(steps), len(self.run.buzzes)
        lines.sort(key=lambda line: line[0])
        return lines, moves

    def _last_moment(self, steps: tuple[Any, ...]) -> int:
        at = self.seen - 1
        while at > 0 and isinstance(steps[at], Doing):
            at -= 1
        return at

    def _at_start(self) -> list[Move]:
        state = self.run.state
        moves = []
        for device in self.run.circuit.devices:
            for load in device.loads:
                if not load.drives and state.solution.loads[f"{device.tag}.{load.name}"].verdict == "full":
                    moves.append([0.0, device.tag, True, _load_words(load)[0]])
        return moves

    def _device(self, change: Change) -> Device:
        return self.run.circuit.by_tag[change.subject]

    def _words(self, change: Change) -> str:
        device, after = self._device(change), change.after
        if change.what in ("contacts", "timed contacts"):
            return _contact_words(device, change)
        if change.what == "load":
            load = device.part(change.element.partition(".")[2])
            if not isinstance(load, Load) or (load.drives and after != "partial"):
                return ""
            return f"{change.subject} {dict(zip(('full', 'none', 'partial'), _load_words(load), strict=True))[after]}"
        if change.what == "fuse":
            return f"{change.subject} {'blows' if after == 'blown' else 'is whole again'}"
        if change.what == "motor":
            return f"{change.subject} {after}"
        return ""  # the supply was told when it was switched

    def _moves(self, change: Change) -> list[Move]:
        device, now, after = self._device(change), round(change.now, 4), change.after
        sort = device.mechanism.sort
        if change.what == "contacts" and after != "moving":
            if device.mechanism.positions:
                return [[now, device.tag, after != device.mechanism.start, after]]
            return [[now, device.tag, after == "operated", WORKED.get(sort, "in")]]
        if change.what == "timed contacts" and after != "moving":
            return [[now, f"{device.tag} timed", after == "operated", "closed"]]
        if change.what == "load":
            load = device.part(change.element.partition(".")[2])
            if isinstance(load, Load) and not load.drives:
                words = dict(zip(("full", "none", "partial"), _load_words(load), strict=True))
                return [[now, device.tag, after != "none", words[after]]]
        if change.what == "motor":
            return [[now, device.tag, after != "stopped", after]]
        if change.what == "fuse":
            return [[now, device.tag, after == "blown", "blown"]]
        if change.what == "supply":
            return [[now, device.tag, after == "off", "off"]]
        return []

    def _shorts(self, steps: tuple[Any, ...]) -> list[Line]:
        lines: list[Line] = []
        for step in steps:
            if not isinstance(step, Doing) and step.solution.shorts:
                lines.append([round(step.now, 3), f"Short circuit: {step.solution.shorts[0]}.", "warns"])
        return lines[:1]


def did(doing: Doing) -> str:
    """What somebody did, as a sentence."""
    names = " and ".join(doing.targets)
    if doing.verb == "turn":
        return f"{names} turned to {doing.value}."
    if doing.verb == "power-off":
        return f"Power cut at {names}."
    if doing.verb == "power-on":
        return f"Power back at {names}."
    if doing.verb == "fault":
        return f"{doing.value}."
    return f"{names} {DID.get(doing.verb, doing.verb)}."


def _load_words(load: Load) -> tuple[str, str, str]:
    return LOADS.get(load.sort, ON_OFF)


def _contact_words(device: Device, change: Change) -> str:
    sort, after = device.mechanism.sort, change.after
    if after == "moving" or sort in WORKED or device.mechanism.positions:
        return ""  # what a hand or the plant moves was told when it did
    if change.what == "timed contacts":
        return f"{device.tag} time is up" if after == "operated" else f"{device.tag} timed contacts go back"
    return f"{device.tag} picks up" if after == "operated" else f"{device.tag} drops out"
