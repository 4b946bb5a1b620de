"""Situations: how the panel is brought to where something is seen or measured, and the words for it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ..behaviour import PanelState, Run, UnclearPlace
from ..behaviour.places import place_of
from ..circuit import Circuit, Device, Do, Fault, Inject, Trial
from ..electrics import Network

AT_REST = "at rest"
POWER_OFF = "power off"
RUNNING = "running"
LONGEST_WAIT_S = 600.0
MOST_INPUTS, MOST_SITUATIONS, MOST_STEPS = 60, 60, 12
WAIT_MORE = 1.3  # a set time is waited for this much longer than it is set
VERBS = {"push": ("press", "release", "held"), "latched push": ("press", "release", "pressed"),
         "field": ("make", "clear", "made"), "trip": ("trip", "reset", "tripped"),
         "switch": ("switch-off", "switch-on", "off")}  # fmt: skip


STEP_WORDS = {
    "press": "held", "tap": "pressed and let go", "release": "let go", "make": "made", "clear": "clear",
    "trip": "tripped", "reset": "reset", "switch-off": "off", "switch-on": "on", "hold": "held", "push-in": "pushed in",
    "power-off": "off", "power-on": "on", "renew": "renewed",
}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Situation:
    """What has been done from rest, supplies on. `name` is what people call it ("S2 held").

    `altered`: what is changed for the test alone and put back after it: a lead taken off, a test lead put on.
    Equal when steps and alterations are; all set times that start in a sound panel have run out.
    """

    name: str
    steps: tuple[Do, ...] = ()
    altered: tuple[Fault, ...] = ()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Situation) and (self.steps, self.altered) == (other.steps, other.altered)

    def __hash__(self) -> int:
        return hash((self.steps, self.altered))

    @property
    def is_dead(self) -> bool:
        """Whether all power is off, so that ohms can be read."""
        power = [step.verb for step in self.steps if step.verb in ("power-off", "power-on") and not step.targets]
        return power[-1:] == ["power-off"]

    def then(self, name: str, *steps: Do) -> Situation:
        """What comes of going on from here."""
        own = "" if self.name == AT_REST else f"{self.name}, "
        return Situation(f"{own}{name}", (*self.steps, *steps), self.altered)

    def with_test_lead(self, a: str, b: str) -> Situation:
        """The same with two terminals joined by a test lead before the steps."""
        return Situation(f"{self.name}, test lead {a} to {b}", self.steps, (*self.altered, Fault("touches", a, b)))

    def with_leads_off(self, terminal: str) -> Situation:
        """The same with the leads taken off a terminal before the steps."""
        return Situation(f"{self.name}, leads off {terminal}", self.steps, (*self.altered, Fault("lifted", terminal)))


REST = Situation(AT_REST)
DEAD = Situation(POWER_OFF, (Do("power-off"),))


class UnclearSituation(ValueError):
    """Words for a situation that are not understood; the message says what would be."""


def play(run: Run, steps: tuple[Do, ...], wait_s: float) -> Run:
    """Take the steps; after each, set times that run are waited for, at most `wait_s`."""
    for step in steps:
        run.do(step)
        if wait_s and run.timers_due():
            run.advance(wait_s)
    return run


def waiting_s(circuit: Circuit) -> float:
    """Long enough for every set time of the circuit, one after the other; 0 without timers."""
    delays = [d.mechanism.delay_s + d.mechanism.second_delay_s for d in circuit.devices]
    return min(LONGEST_WAIT_S, WAIT_MORE * sum(delays))


def state_in(network: Network, situation: Situation) -> PanelState:
    """A sound panel in a situation."""
    usual = usual_situations(network).get(situation)
    if usual is not None:
        return usual
    run = Run(network)
    for fault in situation.altered:
        run.put_in(fault)
    return play(run, situation.steps, waiting_s(network.circuit)).state


def inputs(circuit: Circuit) -> Iterator[tuple[Device, str, str, str, str]]:
    """Everything that is worked from outside: device, verb, verb back, value, word for the worked state."""
    for device in circuit.devices:
        sort = device.mechanism.sort
        if sort in VERBS:
            verb, back, word = VERBS[sort]
            yield device, verb, back, "", word
        elif "selector" in sort:
            for position in device.mechanism.positions:
                if position != device.mechanism.start:
                    yield device, "turn", "turn", position, f"at {position}"


def usual_situations(network: Network) -> dict[Situation, PanelState]:
    """The situations a technician would bring the sound panel into, easy ones first, with the panel in each.

    At rest; each input worked alone; what the trials of the file do; and each input worked from where most works.
    Kept on the network.
    """
    kept: dict[Situation, PanelState] | None = network.__dict__.get("_usual")
    if kept is None:
        kept = network.__dict__["_usual"] = _Explorer(network).usual()
    return kept


class _Explorer:
    """Goes through situations of the sound panel and keeps those in which something stands differently."""

    def __init__(self, network: Network) -> None:
        self.circuit = network.circuit
        self.wait_s = waiting_s(network.circuit)
        self.runs: dict[tuple[Do, ...], Run] = {(): Run(network)}
        self.found: dict[tuple[Do, ...], str] = {(): AT_REST}
        self.looks = {_look(self.runs[()])}

    def usual(self) -> dict[Situation, PanelState]:
        for step in self.single_steps():
            self.take((step,))
        for trial in self.circuit.trials:
            self.follow(trial)
        running = self.running()
        if running:
            for step in self.single_steps():
                if step.targets != running[-1].targets or step.verb == "turn":
                    self.take((*running, step), always=step.verb != "tap")
        return {self.named(steps, running): self.runs[steps].state for steps in self.found}

    def single_steps(self) -> Iterator[Do]:
        for count, (device, verb, _, value, _) in enumerate(inputs(self.circuit)):
            if count >= MOST_INPUTS:
                return
            yield Do(verb, (device.tag,), value)
            if device.mechanism.sort == "push":
                yield Do("tap", (device.tag,))

    def take(self, steps: tuple[Do, ...], always: bool = False) -> None:
        if steps in self.found or len(self.found) >= MOST_SITUATIONS:
            return
        run = self.run_of(steps)
        look = _look(run)
        if always or look not in self.looks:
            self.looks.add(look)
            self.found[steps] = steps_words(steps)

    def run_of(self, steps: tuple[Do, ...]) -> Run:
        if steps not in self.runs:
            self.runs[steps] = play(self.run_of(steps[:-1]).copy(), steps[-1:], self.wait_s)
        return self.runs[steps]

    def follow(self, trial: Trial) -> None:
        """Every stretch of a trial."""
        steps = trial_steps(trial)
        if all(step.targets[0] in self.circuit.by_tag for step in steps):
            for end in range(1, min(MOST_STEPS, len(steps)) + 1):
                self.take(steps[:end])

    def running(self) -> tuple[Do, ...]:
        """The shortest steps to where most works with nothing held, () when nothing does."""

        def works(steps: tuple[Do, ...]) -> tuple[int, int, int]:
            state = self.runs[steps].state
            motors = sum(answer.state in ("forward", "reverse") for answer in state.solution.motors.values())
            coils = sum(stand.is_in for tag, stand in state.stands.items() if _has_coil(state.circuit, tag))
            return motors, coils, -len(steps)

        free = [s for s in self.found if not any(step.verb in ("press", "trip", "switch-off") for step in s)]
        best = max(free, key=works)
        return best if works(best) > works(()) else ()

    def named(self, steps: tuple[Do, ...], running: tuple[Do, ...]) -> Situation:
        if running and steps[: len(running)] == running:
            rest = steps_words(steps[len(running) :]) if len(steps) > len(running) else ""
            return Situation(f"{RUNNING}, {rest}" if rest else RUNNING, steps)
        return Situation(self.found[steps], steps)


def trial_steps(trial: Trial) -> tuple[Do, ...]:
    """What a trial does, one device at a time, up to its first fault or power cut."""
    found: list[Do] = []
    for step in trial.steps:
        if isinstance(step, Inject) or (isinstance(step, Do) and step.verb.startswith("power")):
            break
        if isinstance(step, Do) and step.verb != "wait":
            found += [Do(one.verb, (tag,), one.value, one.seconds) for one in (step, *step.also) for tag in one.targets]
    return tuple(found)


def steps_words(steps: tuple[Do, ...]) -> str:
    """Steps in words: "S2 pressed and let go", "B1 made, B2 made"."""
    words = [f"{' and '.join(step.targets)} {STEP_WORDS.get(step.verb, step.verb)}".strip() for step in steps]
    for index, step in enumerate(steps):
        if step.verb == "turn":
            words[index] = f"{step.targets[0]} at {step.value}"
        elif step.verb == "power-off" and not step.targets:
            words[index] = POWER_OFF
    return ", ".join(words) or AT_REST


def _look(run: Run) -> tuple[object, ...]:
    position = run.state.position
    return position.closed, position.blown, position.off


def _has_coil(circuit: Circuit, tag: str) -> bool:
    return any(load.drives for load in circuit.by_tag[tag].loads)


WORKED = re.compile(
    r"(?P<tags>\S+(?:(?:, ?| and )\S+)*?) (?:is |are )?(?P<word>held in|held|pressed and let go|pressed and released"
    r"|pressed|tapped|released|let go|made|closed|clear|open|tripped|reset|renewed|pushed in|off|on|at (?P<at>\S+))",
    re.IGNORECASE,
)
WORD_VERBS = {
    "held": "press", "held in": "press", "pressed": "press", "pressed and let go": "tap",
    "pressed and released": "tap", "tapped": "tap", "released": "release", "let go": "release", "made": "make",
    "closed": "make", "clear": "clear", "open": "clear", "tripped": "trip", "reset": "reset", "renewed": "renew",
    "pushed in": "push-in",
}  # fmt: skip
ALTERED = re.compile(
    r"(?:with (?:a |the )?)?(?:test lead|jumper) (?:from )?(?P<a>\S+) (?:to|and) (?P<b>\S+)"
    r"|(?:with (?:the )?)?leads? off (?P<off>\S+)",
    re.IGNORECASE,
)
PLAIN = {
    AT_REST: (), "rest": (), "idle": (), "stopped": (), "power on": (), "de-energised": (), "": (),
    POWER_OFF: DEAD.steps, "dead": DEAD.steps, "locked out": DEAD.steps, "off": DEAD.steps,
}  # fmt: skip


def situation_called(network: Network, words: str) -> Situation:
    """A situation from words: "at rest", "S2 held", "running, F2 tripped", "power off", or trial steps.

    Raises UnclearSituation.
    """
    said = " ".join(words.strip().split())
    for known in usual_situations(network):
        if known.name.lower() == said.lower():
            return known
    steps: list[Do] = []
    altered: list[Fault] = []
    for piece in re.split(r"[;,]| then ", said):
        match = ALTERED.fullmatch(piece.strip())
        if match:
            altered.append(_alteration(network.circuit, match))
        else:
            steps += _steps_of(network, piece.strip())
    return Situation(_with_tags(network.circuit, said) or AT_REST, tuple(steps), tuple(altered))


def _with_tags(circuit: Circuit, said: str) -> str:
    """Tags and terminals as the panel writes them, however they were typed."""
    written = {tag.lower(): tag for tag in circuit.by_tag}
    return re.sub(r"(?<![\w.])[^\W\d_]*\d*[^\W_]+(?:\.\w+)?", lambda word: _as_written(written, word[0]), said)


def _as_written(written: dict[str, str], word: str) -> str:
    tag, dot, mark = word.partition(".")
    return f"{written[tag.lower()]}{dot}{mark.upper()}" if tag.lower() in written else word


def _alteration(circuit: Circuit, match: re.Match[str]) -> Fault:
    if match["off"]:
        return Fault("lifted", _place(circuit, match["off"]))
    return Fault("touches", _place(circuit, match["a"]), _place(circuit, match["b"]))


def _place(circuit: Circuit, word: str) -> str:
    try:
        return place_of(circuit, word if word in circuit.rails else word.upper())
    except UnclearPlace as reason:
        raise UnclearSituation(f"{reason.problem.message}; {reason.problem.mend}") from reason


def _steps_of(network: Network, piece: str) -> tuple[Do, ...]:
    if piece.lower() in PLAIN:
        return PLAIN[piece.lower()]
    if piece.lower() in (RUNNING, "run", "energised", "energized"):
        known = next((s for s in usual_situations(network) if s.name == RUNNING), None)
        if known is None:
            raise UnclearSituation("nothing stays on by itself in this circuit; say what is held, as in 'S2 held'")
        return known.steps
    match = WORKED.fullmatch(piece)
    if match:
        return _worked(network.circuit, match)
    return _typed(network.circuit, piece)


def _worked(circuit: Circuit, match: re.Match[str]) -> tuple[Do, ...]:
    tags = tuple(_tag(circuit, word) for word in re.split(r", ?| and ", match["tags"]))
    word = match["word"].lower()
    sort = circuit.by_tag[tags[0]].mechanism.sort
    if match["at"]:
        return (Do("turn", tags, match["at"]),)
    if word in ("on", "off"):
        return (Do(f"switch-{word}" if sort == "switch" else f"power-{word}", tags),)
    return (Do(WORD_VERBS[word], tags),)


def _tag(circuit: Circuit, word: str) -> str:
    for tag in circuit.by_tag:
        if tag.lower() == word.lower():
            return tag
    from difflib import get_close_matches

    near = get_close_matches(word, list(circuit.by_tag), 1, 0.5)
    raise UnclearSituation(f"there is no device called {word}" + (f"; did you mean {near[0]}?" if near else ""))


def _typed(circuit: Circuit, piece: str) -> tuple[Do, ...]:
    from ..language import read_steps

    steps, problems = read_steps(piece, circuit)
    if problems or not all(isinstance(step, Do) for step in steps):
        reason = problems[0].message if problems else "only what is done belongs here"
        raise UnclearSituation(
            f"'{piece}' is no situation ({reason}); say 'at rest', 'running', 'power off', 'S2 held', "
            "'S1 pressed and let go', 'F2 tripped', or steps of a trial"
        )
    return tuple(step for step in steps if isinstance(step, Do))
