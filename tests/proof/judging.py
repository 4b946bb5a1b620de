"""Sentences judged on one course of what really happened, not on gates: written apart from the monitors of the prover.

A course is a list of views, each of them the panel at one instant. It says that a sentence is broken only where it
surely is. Source of the meanings: the table of sentences in docs/look-up/panel-file.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from panelwright.behaviour.proof.asking import POSITIVE, atoms, atoms_of, motions
from panelwright.behaviour.proof.courses import Moment
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.proving import _Proving
from panelwright.behaviour.run import Run
from panelwright.circuit import AllOf, AnyOf, Condition, Device, Happens, Is, Not, Sentence
from panelwright.electrics import DeviceState, Position, Solution, position_of

HANDS = ("push", "latched push", "field", "trip", "switch")


@dataclass(frozen=True)
class View:
    """The panel at one instant. `rests`: nothing will move any more unless something is done."""

    panel: Panel
    states: Mapping[str, DeviceState]
    solution: Solution
    rests: bool

    def holds(self, condition: Condition | None) -> bool:
        """Whether a condition holds; none always does."""
        if condition is None:
            return True
        if isinstance(condition, AllOf):
            return all(self.holds(part) for part in condition.parts)
        if isinstance(condition, AnyOf):
            return any(self.holds(part) for part in condition.parts)
        if isinstance(condition, Not):
            return not self.holds(condition.part)
        if condition.state.startswith("not "):
            return not self._is(condition.subject, condition.state.removeprefix("not "), condition.value)
        return self._is(condition.subject, condition.state, condition.value)

    def _is(self, tag: str, word: str, value: str) -> bool:
        if tag == "power":
            on = [self.states[device.tag].on for device, _ in self.panel.circuit.supplies]
            return all(on) if word == "on" else not any(on)
        device = self.panel.circuit.by_tag[tag]
        if word == "at":
            return self.states[tag].at == value
        if device.sources:
            return self.states[tag].on == (word == "on")
        if device.mechanism.sort in HANDS or any(load.drives for load in device.loads):
            operated, rest = self.stands(tag)
            return operated if word in ("in", "pressed", "made", "tripped") else rest
        verdicts = {self.solution.load(f"{tag}.{load.name}").verdict for load in device.loads}
        if word == "lit":
            return "full" in verdicts
        return verdicts == {"none"} if word == "dark" else "partial" in verdicts and "full" not in verdicts

    def stands(self, tag: str) -> tuple[bool, bool]:
        """Whether a device is in, and out. With contacts of one form wired there is nothing between the two."""
        forms, stage = self.panel.forms.get((tag, ""), set()), self.states[tag].stage
        if forms == {"nc"}:
            return stage != "rest", stage == "rest"
        if forms == {"no", "nc"}:
            return stage == "operated", stage == "rest"
        return stage == "operated", stage != "operated"

    @property
    def inputs(self) -> tuple[object, ...]:
        """Where everything stands that is worked by hand, by the plant or by the supply."""
        found: list[object] = []
        for device in self.panel.circuit.devices:
            state = self.states[device.tag]
            if device.mechanism.sort in HANDS:
                found.append((device.tag, self.stands(device.tag)))
            if device.mechanism.positions:
                found.append((device.tag, state.at))
            if device.sources:
                found.append((device.tag, state.on))
        return tuple(found)


# ---- where courses come from
def views_of_run(panel: Panel, run: Run, resting: Iterable[int]) -> list[View]:
    """A run as views. `resting`: numbers of the moments of its trace after which all had come to rest."""
    rests = set(resting)
    return [
        View(panel, _states(panel, moment.stands, moment.position), moment.solution, number in rests)
        for number, moment in enumerate(run.trace.moments)
    ]


def _states(panel: Panel, stands: Mapping[str, object], position: Position) -> dict[str, DeviceState]:
    found: dict[str, DeviceState] = {}
    for device in panel.circuit.devices:
        stand, at = stands.get(device.tag), ""
        on = device.tag not in position.off
        if stand is None:
            found[device.tag] = DeviceState(on=on)
            continue
        plain, timed = stand.plain.at, stand.timed.at  # type: ignore[attr-defined]
        if device.mechanism.positions:
            plain, at = "rest", plain
        found[device.tag] = DeviceState(plain, timed, at, on=on)
    return found


def views_of_course(panel: Panel, course: Sequence[Moment], promise: Sentence) -> list[View]:
    """A way to break a promise as views, volts and amps worked out anew for each. What the promise does not depend on
    is no part of the course, and may move as it likes.
    """
    tags = panel.depends(_Proving(panel, promise, 0.0, "")._tags())
    return [_view(panel, moment, tags) for moment in course]


def _view(panel: Panel, moment: Moment, tags: set[str]) -> View:
    solution = panel.network.solve(position_of(panel.circuit, moment.states))
    devices = [device for device in panel.circuit.devices if device.tag in tags]
    rests = all(_stands_still(panel, device, moment.states, solution) for device in devices)
    return View(panel, moment.states, solution, rests)


def _stands_still(panel: Panel, device: Device, states: Mapping[str, DeviceState], solution: Solution) -> bool:
    """Whether a device stays as it stands, by the volts at its coils; one with part of its volts may."""
    state, sort = states[device.tag], device.mechanism.sort
    if "moving" in (state.stage, state.timed):
        return False
    gets = {load.drives: solution.load(f"{device.tag}.{load.name}").verdict for load in device.loads if load.drives}
    if not gets or sort in ("impulse", "alternating"):
        return True
    if sort == "latching":
        return (gets["set"], gets["reset"], state.stage) not in {("full", "none", "rest"), ("none", "full", "operated")}
    others = [b if a == device.tag else a for a, b in panel.circuit.interlocks if device.tag in (a, b)]
    if state.stage == "rest" and any(states[other].stage != "rest" for other in others):
        return True  # held out mechanically
    follows = (gets["coil"], state.stage) not in {("full", "rest"), ("none", "operated")}
    return follows and _has_timed_out(sort, fed=state.stage == "operated", timed=state.timed == "operated")


def _has_timed_out(sort: str, *, fed: bool, timed: bool) -> bool:
    """Whether no time runs in a device."""
    if sort in ("on-delay", "off-delay"):
        return fed == timed
    return not timed if sort == "interval" else not (sort == "flasher" and fed)


# ---- the judge
class Judge:
    """One sentence on one course."""

    def __init__(self, views: Sequence[View], sentence: Sentence) -> None:
        self.views, self.sentence = views, sentence
        self.panel = views[0].panel
        opposite = {"running": "stopped", "on": "off", "in": "out"}
        self.motions = motions(self.panel)
        self.states = sentence.states or tuple(Is(m.subject, opposite[m.state]) for m in self.motions)
        self.positive = any(state.state in POSITIVE for state in self.states)
        self.p = [all(view.holds(state) for state in self.states) for view in views]
        self.powered = [self._powered(view) for view in views]
        self.news = [False, *(a.inputs != b.inputs for a, b in pairwise(views))]

    def _powered(self, view: View) -> bool:
        """Every supply is on that the sentence does not name."""
        named = {state.subject for state in atoms_of(self.sentence)}
        supplies = {device.tag for device, _ in self.panel.circuit.supplies}
        return "power" in named or all(view.states[tag].on for tag in supplies - named)

    def broken(self) -> bool:
        """Whether the course breaks the sentence."""
        return any(JUDGES[self.sentence.form](self, at) for at in range(len(self.views)))

    # ---- words
    def holds(self, at: int, condition: Condition | None) -> bool:
        return self.views[at].holds(condition)

    def excepted(self, at: int) -> bool:
        """`unless` holds."""
        return self.sentence.unless is not None and self.holds(at, self.sentence.unless)

    def wanted(self, at: int) -> bool:
        """The condition holds, without its exception, with the supplies that matter on."""
        owed = self.powered[at] or not self.positive
        return owed and self.holds(at, self.sentence.condition) and not self.excepted(at)

    def rises(self, at: int, condition: Condition) -> bool:
        """It holds here and did not one instant before."""
        return at > 0 and self.holds(at, condition) and not self.holds(at - 1, condition)

    def happens(self, at: int, event: Happens | None) -> bool:
        """The event happens here, and no input besides changes at that instant."""
        assert event is not None
        if not self.rises(at, event.becomes):
            return False
        tags = {state.subject for state in atoms(event.becomes)}
        if "power" in tags:
            state = next(atoms(event.becomes)).state
            if not self.holds(at - 1, Is("power", {"on": "off", "off": "on"}[state])):
                return False
            tags |= {device.tag for device, _ in self.panel.circuit.supplies}
        before, now = (
            [one for one in self.views[k].inputs if one[0] not in tags]
            for k in (at - 1, at)  # type: ignore[index]
        )
        return before == now

    def since(self, at: int, event: Happens | None) -> list[int]:
        """Where the event happened with nothing new done from there to here."""
        found = []
        for start in range(at, 0, -1):
            if self.happens(start, event):
                found.append(start)
            if self.news[start]:
                break
        return found

    # ---- the sentences: whether it is seen here that they are broken
    def when(self, at: int) -> bool:
        return self.views[at].rests and self.wanted(at) and not self.p[at]

    def once_when(self, at: int) -> bool:
        start = at
        while start >= 0 and self.wanted(start):
            start -= 1
        return self.views[at].rests and self.wanted(at) and not any(self.p[start + 1 : at + 1])

    def only_while(self, at: int) -> bool:
        some = any(self.holds(at, state) for state in self.states)
        return some and not self.holds(at, self.sentence.condition)

    def exactly_while(self, at: int) -> bool:
        return self.when(at) or self.only_while(at)

    def after(self, at: int) -> bool:
        if not self.views[at].rests or (self.positive and not self.powered[at]):
            return False
        starts = [one for one in self.since(at, self.sentence.event) if not self.excepted(one)]
        return any(not any(self.p[start : at + 1]) for start in starts)

    def stays_after(self, at: int) -> bool:
        if self.p[at] or (self.positive and not self.powered[at]):
            return False
        return any(
            self.views[start - 1].rests
            and self.p[start - 1]
            and not self.excepted(start - 1)
            and (self.powered[start] or not self.positive)
            for start in self.since(at, self.sentence.event)
        )

    def stays_until(self, at: int) -> bool:
        def free(k: int) -> bool:
            return self.holds(k, self.sentence.until) or (self.positive and not self.powered[k])

        if at == 0 or self.p[at] or free(at):
            return False
        start = at - 1
        while start > 0 and self.p[start] and not free(start):
            if not self.p[start - 1]:
                return True
            start -= 1
        return False

    def only_after(self, at: int) -> bool:
        comes = any(self.rises(at, state) for state in self.states)
        return comes and not any(self.holds(k, self.sentence.condition) for k in (at - 1, at))

    def never_together(self, at: int) -> bool:
        return sum(self.holds(at, state) for state in self.states) > 1

    def never(self, at: int) -> bool:
        return self.holds(at, self.sentence.condition)

    def always(self, at: int) -> bool:
        return not self.holds(at, self.sentence.condition)

    def while_always(self, at: int) -> bool:
        return self.holds(at, self.sentence.condition) and not self.holds(at, self.sentence.until)

    def after_until(self, at: int) -> bool:
        if self.holds(at, self.sentence.condition) or self.holds(at, self.sentence.until):
            return False
        for start in range(at, 0, -1):
            if self.happens(start, self.sentence.event):
                return True
            if self.holds(start - 1, self.sentence.until):
                return False
        return False

    def in_order(self, at: int) -> bool:
        pairs = pairwise(self.states)
        return any(
            self.rises(at, later) and not any(self.holds(k, earlier) for k in (at - 1, at)) for earlier, later in pairs
        )

    def take_turns(self, at: int) -> bool:
        for state in self.states:
            others = [other for other in self.states if other is not state]
            if self.rises(at, state) and self.holds(at, self.sentence.condition):
                for k in range(at - 1, 0, -1):
                    if any(self.rises(k, other) for other in others):
                        break
                    if self.rises(k, state) and self.holds(k, self.sentence.condition):
                        return True
        return False

    def nothing_starts(self, at: int) -> bool:
        def no_push(k: int) -> bool:
            pushes = [d.tag for d in self.panel.circuit.devices if d.mechanism.sort == "push"]
            return all(self.views[k].stands(tag)[1] for tag in pushes)

        still = {state.subject for state in self.states}
        starts = any(self.rises(at, motion) for motion in self.motions if motion.subject in still)
        if not starts or not no_push(at):
            return False
        return any(self.views[k - 1].rests and no_push(k) for k in self.since(at, self.sentence.event))

    def again(self, at: int) -> bool:
        if not self.views[at].rests:
            return False
        on = Is("power", "on")
        for start in range(at, 0, -1):
            if self.rises(start, on) and not any(self.p[start : at + 1]):
                failed = start - 1
                while failed > 0 and not self.holds(failed, on):
                    if self.p[failed - 1]:
                        return True
                    failed -= 1
            if self.news[start]:
                break
        return False

    def rests(self, at: int) -> bool:
        if not self.views[at].rests:
            return False
        starts = self.since(at, self.sentence.event)
        return any(not any(self._as_at_rest(k) for k in range(start, at + 1)) for start in starts)

    def _as_at_rest(self, at: int) -> bool:
        """Every load gets what it got before anything was done; one that gets a part then, whatever it likes."""
        circuit = self.panel.circuit
        before, now = self.panel.network.solve(position_of(circuit, {})), self.views[at].solution
        loads = [f"{device.tag}.{load.name}" for device in circuit.devices for load in device.loads]
        pairs = [(before.load(load).verdict, now.load(load).verdict) for load in loads]
        return all((one == "full") == (other == "full") for one, other in pairs if one != "partial")


JUDGES: dict[str, Callable[[Judge, int], bool]] = {
    "when": Judge.when,
    "at least once when": Judge.once_when,
    "only while": Judge.only_while,
    "exactly while": Judge.exactly_while,
    "after": Judge.after,
    "stays after": Judge.stays_after,
    "stays until": Judge.stays_until,
    "only after": Judge.only_after,
    "never together": Judge.never_together,
    "never": Judge.never,
    "always": Judge.always,
    "while always": Judge.while_always,
    "after until": Judge.after_until,
    "in order": Judge.in_order,
    "take turns": Judge.take_turns,
    "nothing starts": Judge.nothing_starts,
    "again when power returns": Judge.again,
    "everything rests after": Judge.rests,
}
