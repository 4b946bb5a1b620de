"""A way to break a promise as a trial that fails, and whether it does at the times of the catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, combinations, islice, pairwise

from ...circuit import AllOf, AnyOf, Condition, Do, Expect, Fault, Inject, Is, Load, Not, Sentence, Step, Trial
from ...electrics import Network
from ..run import Run
from ..state import PanelState
from ..times import TIMER_SORTS, Pace, times_of
from ..trials import try_trial
from .asking import motions
from .cone import HAND
from .courses import VERBS, Moment
from .panel import Panel
from .proving import Proof

OPPOSITE = {
    "in": "out", "lit": "dark", "sounding": "silent", "running": "stopped", "on": "off", "pressed": "released",
    "made": "clear", "tripped": "reset", "live": "dead", "blown": "whole",
}  # fmt: skip
OPPOSITE |= {other: one for one, other in OPPOSITE.items()}
MOST_WAITS = 40  # set times that run out between two things done
WAIT_STEP_S = 0.1  # waits are told in whole tenths of a second
MOST_PACES = 150
MOST_ROUNDS = 3  # of times that run out one after the other, once a course is over
PACE_ENDS: tuple[Pace, ...] = ("slow", "fast")
SLOW_S, QUICK_S = 0.1, 0.001  # of a device that is slower, or quicker, than any other near it
COMES = (
    "when", "at least once when", "after", "stays after", "stays until", "stays at least", "again when power returns",
)  # fmt: skip


def trial_of(network: Network, promise: Sentence, faults: tuple[Fault, ...], course: tuple[Moment, ...]) -> Trial:
    """The course as a trial: faults first, what is done at one instant as one step, waits where set times run out.

    `network`: of the panel without the faults. What should have been true stands at the end.
    """
    builder = _built(network, faults, course)
    return _named(promise, (*builder.steps, *expectations(network, promise, builder.run)))


def _built(network: Network, faults: tuple[Fault, ...], course: tuple[Moment, ...]) -> _Building:
    builder = _Building(network, faults)
    builder.start(course[0])
    begun: dict[str, str] = {}
    for before, after in pairwise(course):
        done = tuple(_done(network, before, after, begun))
        if done:
            builder.wait_for(before, after.at_s)
            builder.do(_together(done))
        elif after.at_s is None:
            builder.run_out([tag for tag, what in after.moved if "timed" in what])
    builder.wait_for(course[-1], course[-1].at_s)
    return builder


def _done(network: Network, before: Moment, after: Moment, begun: dict[str, str]) -> Iterator[Do]:
    """What is done: a hand that sets out does it then, whenever it arrives. `begun`: who has set out to what."""
    for do in after.done:
        if begun.pop(do.targets[0], "") != do.verb:
            yield do
    for tag, what in after.moved:
        sort = network.circuit.by_tag[tag].mechanism.sort
        if sort in HAND and what == "on its way":
            begun[tag] = VERBS[sort][0 if before.states[tag].stage == "rest" else 1]
            yield Do(begun[tag], (tag,))


def _named(promise: Sentence, steps: tuple[Step, ...]) -> Trial:
    return Trial(f"Breaks: {promise.text.removeprefix('not kept:').strip()}", steps)


def with_trial(network: Network, proof: Proof) -> Proof:
    """The proof with its course as a trial that fails, some device slow or quick where that is what it takes.

    `fails` is left False when none was found: then the trial shows what is done, and nothing goes wrong in it.
    """
    if proof.outcome != "broken" or not proof.course:
        return proof
    usual = trial_of(network, proof.promise, proof.faults, proof.course)
    for trial in chain((usual,), _with_what_else(network, proof), _at_other_paces(network, proof)):
        if _fails(network, trial):
            return replace(proof, trial=trial, fails=True)
    return replace(proof, trial=usual)


def _with_what_else(network: Network, proof: Proof) -> Iterator[Trial]:
    """The course with what goes wrong in it besides: a coil on part of its volts on the way, a short circuit, buzzing.

    At the end, or after times have run out that run on.
    """
    if proof.promise.form == "no race":
        return
    builder = _built(network, proof.faults, proof.course)
    if builder.doubted:
        yield _named(proof.promise, builder.doubted)
    for _ in range(MOST_ROUNDS):
        wrong = [*[Expect("no short circuit")][: len(builder.run.shorts)], *_full_volts(builder.run.state)]
        wrong += [Expect("no buzzing")][: len(builder.run.buzzes)]
        if wrong:
            yield _named(proof.promise, (*builder.steps, *wrong))
        due = builder.run.timers_due()
        if not due:
            return
        builder.do(Do("wait", seconds=_rounded_up(due[0][0] + SLOW_S)))


def _at_other_paces(network: Network, proof: Proof) -> Iterator[Trial]:
    trials = (_otherwise(network, proof, paces) for paces in _paces(network, proof))
    return (trial for trial in trials if trial is not None)


def _fails(network: Network, trial: Trial) -> bool:
    """Whether something that the trial expects is not seen."""
    return any(failure.problem.code == "trial-failed" for failure in try_trial(network, trial).failures)


def _otherwise(network: Network, proof: Proof, paces: tuple[Fault, ...]) -> Trial | None:
    """The trial with devices out of the ordinary; of a race it expects the end that is usual."""
    faults = (*proof.faults, *paces)
    if proof.promise.form != "no race":
        return trial_of(network, proof.promise, faults, proof.course)
    usual, other = _built(network, proof.faults, proof.course).run.state, _built(network, faults, proof.course)
    tags = [d.tag for d in network.circuit.devices if any(load.drives for load in d.loads)]
    ends = [Is(tag, usual.word(tag)) for tag in tags if usual.word(tag) != other.run.state.word(tag)]
    return _named(proof.promise, (*other.steps, *(Expect("state", end) for end in ends))) if ends else None


def _paces(network: Network, proof: Proof) -> Iterator[tuple[Fault, ...]]:
    """Devices slow or quick: one, two slow, one slow and one quick; where seconds are asked about, timers at the ends
    of their tolerance.
    """
    if proof.course[-1].at_s is not None:
        yield from _ends_of_tolerance(network)
        return
    done = {tag for moment in proof.course for do in moment.done for tag in do.targets}
    tags = [
        device.tag
        for device in network.circuit.devices
        if device.mechanism.sort not in (*TIMER_SORTS, "fixed", "switch")
        and (device.tag in done or any(load.drives for load in device.loads))
    ]
    slow = [Fault("time at", tag, value=SLOW_S) for tag in tags]
    quick = [Fault("time at", tag, value=QUICK_S) for tag in tags]
    single = ((fault,) for fault in (*slow, *quick))
    mixed = ((one, other) for one in slow for other in quick if one.subject != other.subject)
    yield from islice(chain(single, combinations(slow, 2), mixed), MOST_PACES)


def _ends_of_tolerance(network: Network) -> Iterator[tuple[Fault, ...]]:
    """Timers as slow, or as quick, as their tolerance allows: one, then two."""
    timers = [device for device in network.circuit.devices if device.mechanism.sort in TIMER_SORTS]
    ends = [Fault("time at", d.tag, value=round(times_of(d, end).delay_s, 4)) for end in PACE_ENDS for d in timers]
    yield from islice(chain(((end,) for end in ends), combinations(ends, 2)), MOST_PACES)


class _Building:
    """The steps of a trial, taken as they are written."""

    def __init__(self, network: Network, faults: tuple[Fault, ...]) -> None:
        self.run = Run(network)
        self.faults = faults
        self.steps: list[Step] = []
        self.doubted: tuple[Step, ...] = ()  # the steps up to where a coil first has part of its volts, expecting all

    def start(self, first: Moment) -> None:
        """Everything that is so before power comes on for the first time."""
        by_hand = tuple(do for do in first.done if not do.verb.startswith("power"))
        off = {tag for do in first.done if do.verb == "power-off" for tag in do.targets}
        if not by_hand and not off and not self.faults:
            return
        self.do(Do("power-off"))
        for fault in self.faults:
            self.run.put_in(fault)
            self.steps.append(Inject(fault))
        if by_hand:
            self.do(_together(by_hand))
        supplies = [device.tag for device, _ in self.run.circuit.supplies]
        on = tuple(tag for tag in supplies if tag not in off)
        if on:
            self.do(Do("power-on", () if not off else on))

    def do(self, step: Do) -> None:
        """Take a step and write it down."""
        self.run.do(step)
        self.steps.append(step)
        if self.run.state.doubtful and not self.doubted:
            self.doubted = (*self.steps, *_full_volts(self.run.state))

    def run_out(self, tags: list[str]) -> None:
        """Wait until the set times of these timers are over, of those that are running."""
        due = [seconds for seconds, tag in self.run.timers_due() if tag in tags]
        if due:
            self.do(Do("wait", seconds=_rounded_up(max(due))))

    def wait_for(self, moment: Moment, at_s: float | None) -> None:
        """Let set times run out until the devices stand as they do in the course; not at all when they never do.

        `at_s`: the moment to wait for instead, where the course says one.
        """
        if at_s is not None:
            if at_s > self.run.now:
                self.do(Do("wait", seconds=round(at_s - self.run.now, 3)))
            return
        waited, run = 0.0, self.run.copy()
        for _ in range(MOST_WAITS):
            if _stands_as(run.state, moment):
                break
            due = run.timers_due()
            if not due:
                return
            seconds = _rounded_up(due[0][0])
            run.advance(seconds).settle()
            waited += seconds
        else:
            return
        if waited:
            self.do(Do("wait", seconds=round(waited, 3)))


def _rounded_up(seconds: float) -> float:
    return round((int(seconds / WAIT_STEP_S) + 1) * WAIT_STEP_S, 3)


def _stands_as(state: PanelState, moment: Moment) -> bool:
    """Whether the coil devices stand as in a moment of a course."""
    for device in state.circuit.devices:
        if any(load.drives for load in device.loads):
            here, there = state.device_state(device.tag), moment.states[device.tag]
            if (here.stage, here.timed) != (there.stage, there.timed):
                return False
    return True


def _together(done: tuple[Do, ...]) -> Do:
    first, *also = done
    return replace(first, also=tuple(also))


# ---- what should have been true
def expectations(network: Network, promise: Sentence, run: Run) -> tuple[Expect, ...]:
    """What a trial has to expect at the end of a course that breaks the promise; each of them is not so there.

    What must not be for a single moment is expected never to be, since the last expectation.
    """
    if promise.form in ("no short circuit", "no buzzing", "no race"):
        return (Expect(promise.form),)
    if promise.form == "full volts":
        return tuple(_full_volts(run.state))
    forbidden = _forbidden(promise, run.state)
    if forbidden is not None:
        return (Expect("never", condition=forbidden),)
    return tuple(Expect("state", state) for state in dict.fromkeys(_should_be(network, promise, run.state)))


def _forbidden(promise: Sentence, state: PanelState) -> Condition | None:
    """What a promise forbids at every moment, of the sentences that do."""
    states, condition = promise.states, promise.condition
    if promise.form == "never together":
        pairs = [AllOf((one, other)) for one, other in combinations(states, 2)]
        return pairs[0] if len(pairs) == 1 else AnyOf(tuple(pairs))
    if promise.form == "never":
        return condition
    if promise.form == "always" and condition is not None:
        return negation(condition)
    if promise.form == "while always" and condition is not None and promise.until is not None:
        return AllOf((condition, negation(promise.until)))
    if condition is None or promise.form not in ("only while", "exactly while", "only after"):
        return None
    if promise.form == "only after" and (promise.seconds is not None or any(state.holds(one) for one in states)):
        return None  # it has come, and stands at the end
    if promise.form != "exactly while" or not state.holds(condition):
        any_state = states[0] if len(states) == 1 else AnyOf(states)
        return AllOf((any_state, negation(condition)))
    return None


def negation(condition: Condition) -> Condition:
    """What a condition is not, down to its states."""
    if isinstance(condition, Is):
        word = condition.state
        return replace(condition, state=word.removeprefix("not ") if word.startswith("not ") else f"not {word}")
    if isinstance(condition, Not):
        return condition.part
    parts = tuple(negation(part) for part in condition.parts)
    return AnyOf(parts) if isinstance(condition, AllOf) else AllOf(parts)


def _full_volts(state: PanelState) -> Iterator[Expect]:
    for element in state.doubtful:
        load = state.circuit.elements[element][1]
        assert isinstance(load, Load)
        yield Expect("volts", subject=element, value=load.rated_v, tolerance=round(load.rated_v - load.works_v, 1))


def _should_be(network: Network, promise: Sentence, state: PanelState) -> Iterator[Is]:
    form, states = promise.form, promise.states
    if promise.subject or form == "nothing starts":
        moving = states or motions(Panel(network))
        yield from (opposite(one) if one.state in ("running", "on", "in") and not states else one for one in moving)
        return
    if form == "exactly while":
        form = "when" if promise.condition is not None and state.holds(promise.condition) else "only while"
    if form in COMES:
        yield from (one for one in states if not state.holds(one))
    elif form == "after until":
        if promise.condition is not None:
            yield from wanted(promise.condition, True, state)
    elif form == "everything rests after":
        rest = Run(network).state
        yield from (Is(d.tag, rest.word(d.tag)) for d in network.circuit.devices if d.loads and not d.sources)
    else:
        yield from (opposite(one) for one in states if state.holds(one))


def opposite(state: Is) -> Is:
    """The state that the panel language calls the opposite."""
    word = state.state
    turned = word.removeprefix("not ") if word.startswith("not ") else OPPOSITE.get(word, f"not {word}")
    return replace(state, state=turned, value="" if turned in OPPOSITE and word in OPPOSITE else state.value)


def wanted(condition: Condition, so: bool, state: PanelState) -> Iterator[Is]:
    """States that would make a condition hold (`so`) or not hold; of several that would do, what a coil moves first."""
    if isinstance(condition, Is):
        if state.holds(condition) != so:
            yield condition if so else opposite(condition)
    elif isinstance(condition, Not):
        yield from wanted(condition.part, not so, state)
    elif isinstance(condition, AllOf) == so:
        for part in condition.parts:
            yield from wanted(part, so, state)
    else:
        choices = [tuple(wanted(part, so, state)) for part in condition.parts]
        driven = [c for c in choices if c and all(_is_driven(state, one) for one in c)]
        yield from (driven or [c for c in choices if c] or [()])[-1]


def _is_driven(state: PanelState, one: Is) -> bool:
    device = state.circuit.by_tag.get(one.subject)
    return device is not None and bool(device.loads or device.motors)
