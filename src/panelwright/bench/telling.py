"""A run told while it goes on: sentences for the story, moves for the timing diagram."""

from __future__ import annotations

from ..behaviour import Change, Doing, Run, Trace
from ..behaviour.engine import Moment
from ..behaviour.telling import told
from ..circuit import Device, Load
from ..electrics import Short

Line = tuple[float, str, tuple[str, ...], str]  # seconds, reason, what followed, kind ("did", "does", "warns")
Move = tuple[float, str, bool, str]  # seconds, tag, whether it is operated, word

MOST_STEPS = 4000  # of a run that goes on for hours, so many are kept
KEPT_STEPS = 500
MOST_LINES = 1000
WORKED = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
LOADS = {"lamp": ("lit", "dark", "dim"), "sounder": ("sounding", "silent", "hardly sounding")}
ON_OFF = ("on", "off", "partly on")
VERDICTS = ("full", "none", "partial")


class Teller:
    """Tells a run as it grows. `story`: all sentences, of which only the last may still change."""

    def __init__(self, run: Run) -> None:
        self.run = run
        self.story: list[Line] = []
        self.moves: list[Move] = list(self._at_start())
        self._seen = len(run.trace.steps)  # how it came to rest at the start is no story
        self._from = self._seen - 1  # the moment before the sentence that is still open
        self._settled = 0  # sentences before that
        self._shorts: tuple[Short, ...] = ()

    def listen(self) -> None:
        """Bring `story` and `moves` up to now; both stay the same lists as long as they only grow."""
        steps = self.run.trace.steps
        if len(steps) == self._seen:
            return
        window = Trace(self.run.circuit, steps[self._from :], tuple(self.run.buzzes))
        self.story[self._settled :] = [
            (round(one.now, 3), one.reason, one.follows, self._kind(one.follows, window, one.now))
            for one in told(window)
        ]
        before = self._last_moment(steps, self._seen)
        for change in Trace(self.run.circuit, steps[before:]).changes:
            self.moves += self._move(change)
        self._seen = len(steps)
        self._settle(steps)

    def _kind(self, follows: tuple[str, ...], window: Trace, now: float) -> str:
        if any("buzzes" in words for words in follows):
            return "warns"
        return (
            "did"
            if any(isinstance(step, Doing) and round(step.now, 6) == round(now, 6) for step in window.steps)
            else "does"
        )

    def _settle(self, steps: tuple[Moment | Doing, ...]) -> None:
        """What lies before the last thing done is not told again."""
        last = max((i for i, step in enumerate(steps) if i >= self._from and isinstance(step, Doing)), default=None)
        if last is not None and (start := self._last_moment(steps, last)) > self._from:
            self._from, self._settled = start, max(0, len(self.story) - 1)
        elif len(steps) - self._from > KEPT_STEPS:
            self._from, self._settled = len(steps) - 1, len(self.story)
        if len(steps) > MOST_STEPS:
            gone = self.run.shorten_trace(len(steps) - self._from)
            self._seen, self._from = self._seen - gone, self._from - gone
        if len(self.story) > 2 * MOST_LINES:
            self.story = self.story[-MOST_LINES:]
            self._settled -= MOST_LINES
        if len(self.moves) > 4 * MOST_LINES:
            self.moves = self.moves[-2 * MOST_LINES :]

    def _last_moment(self, steps: tuple[Moment | Doing, ...], before: int) -> int:
        at = before - 1
        while at > 0 and isinstance(steps[at], Doing):
            at -= 1
        return max(0, at)

    def _at_start(self) -> list[Move]:
        """What is operated already when the run begins."""
        state = self.run.state
        return [
            (0.0, device.tag, True, _load_words(load)[0])
            for device in self.run.circuit.devices
            for load in device.loads
            if _shows(device, load) and state.solution.verdict(f"{device.tag}.{load.name}") == "full"
        ]

    def _move(self, change: Change) -> list[Move]:
        device, now, after = self.run.circuit.by_tag[change.subject], round(change.now, 4), change.after
        if change.what == "contacts" and after != "moving":
            if device.mechanism.positions:
                return [(now, device.tag, after != device.mechanism.start, after)]
            return [(now, device.tag, after == "operated", WORKED.get(device.mechanism.sort, "in"))]
        if change.what == "timed contacts" and after != "moving":
            return [(now, f"{device.tag} timed", after == "operated", "closed")]
        if change.what == "load":
            load = device.part(change.element.partition(".")[2])
            if isinstance(load, Load) and _shows(device, load):
                word = dict(zip(VERDICTS, _load_words(load), strict=True))[after]
                return [(now, device.tag, after != "none", word)]
        if change.what == "motor":
            return [(now, device.tag, after != "stopped", after)]
        if change.what == "fuse":
            return [(now, device.tag, after == "blown", "blown")]
        if change.what == "supply":
            return [(now, device.tag, after == "off", "off")]
        return []


def _shows(device: Device, load: Load) -> bool:
    """Whether a load is something that people watch: a lamp, not a coil or the primary of a supply."""
    return not load.drives and not device.sources and load.sort != "resistor"


def _load_words(load: Load) -> tuple[str, str, str]:
    return LOADS.get(load.sort, ON_OFF)
