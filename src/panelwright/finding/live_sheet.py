"""The live test: power step by step, then every contact worked both ways in as few steps as can be found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..behaviour import PanelState, Run
from ..circuit import Circuit, Device, Do, Is
from ..electrics import Network
from ..wiring import Wiring
from .live_power import PowerUp, load_lines, motor_lines, setting_lines
from .live_steps import Coverage, Taken, back_to_rest, function_steps
from .naming import states_of, works
from .sheet import Part, Sheet, SheetLine, title_of
from .situations import Situation, inputs, play, steps_words, usual_situations, waiting_s

CAUTIONS = (
    "Only those who are trained, authorised and equipped work here; the area is fenced off, nobody reaches in.",
    "The cold test is passed. Motor fuses stay out, or motors are uncoupled, until the control is proved.",
    "Local codes and a licensed person decide. "
    "An emergency stop needs its own proof: no performance level is claimed here.",
)
FUSES_OUT = "Fuses out, breakers and switches off at the beginning."
FROM_REST = "From rest, supplies on. Each line goes on from the one before."
MOTORS_OUT = "The motors have no power yet ({tags} out or off): contactors, relays and lamps are what is watched."
MOTORS_RUN = "Nothing keeps the motors from running here: uncouple them."


def live_sheet(wiring: Wiring) -> Sheet:
    """The live test sheet of a panel."""
    network = Network(wiring)
    circuit = network.circuit
    power = PowerUp(network)
    before = power.motors_left_out
    taken, coverage = function_steps(network, before)
    stay = [MOTORS_OUT.format(tags=", ".join(power.motors_own))] if before else []
    stay += [MOTORS_RUN] if not before and any(device.motors for device in circuit.devices) else []
    running = running_situations(network)
    meant = tuple(f"{s.name}: {steps_words(s.steps)}." for s, _ in running if s.name != steps_words(s.steps))
    parts = (
        Part("Set as drawn", tuple(setting_lines(circuit))),
        Part("Power, step by step", (*power.feed(), *power.control()), (FUSES_OUT,)),
        Part("Function", tuple(function_lines(network, before, taken)), (FROM_REST, *stay)),
        Part("Power for the motors", (*power.motors(), *motor_lines(circuit))),
        Part("Volts under load", tuple(load_lines(*running[-1])) if running else (), (MOST_AT_WORK, *meant)),
        Part("Stops and trips while it runs", tuple(stop_lines(network, running)), meant),
        Part("Interlocks", tuple(interlock_lines(network, running))),
        Part("Power dip", tuple(dip_lines(network, running))),
        Part("Promises of the file, ticked as they were seen", tuple(promise_lines(circuit))),
    )
    covers = tuple(_covers(coverage, len(taken)))
    return Sheet("live", title_of(wiring), CAUTIONS, tuple(part for part in parts if part.lines), covers)


def _covers(coverage: Coverage, steps: int) -> Iterator[str]:
    yield (
        f"Function: {steps} steps; {coverage.both} of {coverage.wired} wired control contacts are seen to matter both "
        f"closed and open: were one stuck, some line would show it. Fewer than {coverage.at_least} steps cannot do it."
    )
    for name, closed in coverage.never:
        was, would = ("closed", "open") if closed else ("open", "closed")
        yield f"{name} is never seen {was}: nothing that can be seen would be otherwise if it stayed {would}."


# -- function ------------------------------------------------------------------------------------------------------


def function_lines(network: Network, before: tuple[Do, ...], taken: Sequence[Taken]) -> Iterator[SheetLine]:
    """How everything stands at first; each step with what changes then; last, everything back to rest."""
    wait_s = waiting_s(network.circuit)
    run = play(Run(network), before, wait_s)
    yield _look("At rest", before, _all_states(run.state))
    done = before
    for one in taken:
        done = (*done, one.step)
        yield _look(_imperative(one.step), done, _differences(one.before, one.after), _all_states(one.after))
    if taken:
        left = {tag for step in before for tag in step.targets}
        back = tuple(step for step in back_to_rest(taken[-1].after) if step.targets[0] not in left)
        after = play(run, (*done[len(before) :], *back), wait_s).state
        if back:
            words = ", ".join(_imperative(step) for step in back)
            yield _look(words, (*done, *back), _differences(taken[-1].after, after), _all_states(after))


def _all_states(state: PanelState) -> tuple[Is, ...]:
    return tuple(Is(d.tag, state.word(d.tag)) for d in state.circuit.devices if works(d))


def _differences(before: PanelState, after: PanelState) -> tuple[Is, ...]:
    shown = [d.tag for d in after.circuit.devices if works(d)]
    return tuple(Is(tag, after.word(tag)) for tag in shown if after.word(tag) != before.word(tag))


def _look(
    do: str, steps: tuple[Do, ...], seen: tuple[Is, ...], all_states: tuple[Is, ...] = (), mind: str = ""
) -> SheetLine:
    """`all_states`: what a tick stands for; what changes is told, and all else must stay."""
    situation = Situation(steps_words(steps), steps)
    return SheetLine(do, _told(seen), "look", situation=situation, seen=_plain(all_states or seen), mind=mind)


def _told(seen: Sequence[Is]) -> str:
    return ", ".join(f"{one.subject} {one.state}" for one in seen) or "nothing changes"


def _plain(seen: Sequence[Is]) -> tuple[Is, ...]:
    return tuple(Is(one.subject, *one.state.split(" ", 1)) for one in seen)


VERBS = {
    "press": "Press and hold {}",
    "release": "Let go of {}",
    "make": "Make {}",
    "clear": "Clear {}",
    "trip": "Trip {}",
    "reset": "Reset {}",
    "switch-off": "Switch {} off",
    "switch-on": "Switch {} on",
    "tap": "Press {} and let go",
    "push-in": "Push {} in by hand",
    "power-off": "Power off",
    "power-on": "Power on",
}


def _imperative(step: Do) -> str:
    return " and at once ".join(_one(one) for one in (step, *step.also))


def _one(step: Do) -> str:
    tags = " and ".join(step.targets)
    if step.verb == "turn":
        return f"Turn {tags} to {step.value}"
    if step.verb.startswith("power") and tags:
        return f"{VERBS[step.verb]} at {tags}"
    return VERBS.get(step.verb, step.verb + " {}").format(tags)


def _small(step: Do) -> str:
    words = _imperative(step)
    return words[0].lower() + words[1:]


# -- stops, interlocks, dips -----------------------------------------------------------------------------------------

MOST_AT_WORK = "Read while as much is at work as works together."
MOST_RUNNING = 4
Running = tuple[Situation, PanelState]


def running_situations(network: Network) -> list[Running]:
    """Where something works with nothing held: each set of things that works, the shortest way, most at work last."""
    found: dict[tuple[str, ...], Running] = {}
    for situation, state in usual_situations(network).items():
        working = tuple(
            device.tag for device in state.circuit.devices if _drives(device) and _is_at_work(state, device)
        )
        if working and not any(step.verb in ("press", "trip", "switch-off") for step in situation.steps):
            found.setdefault(working, (situation, state))
    shortest = sorted(found, key=lambda working: len(found[working][0].steps))
    fullest = max(shortest, key=len, default=())
    kept = [working for working in shortest if working != fullest][: MOST_RUNNING - 1]
    return [found[working] for working in (*kept, *((fullest,) if fullest else ()))]


def _drives(device: Device) -> bool:
    return works(device) and bool(device.motors or any(load.drives for load in device.loads))


def _is_at_work(state: PanelState, device: Device) -> bool:
    return state.word(device.tag).split()[0] == states_of(device)[0]


def stop_lines(network: Network, running: Sequence[Running]) -> Iterator[SheetLine]:
    """From every running situation each thing that stops something, and what stays stopped after it is let go."""
    wait_s = waiting_s(network.circuit)
    for situation, _ in running:
        run = play(Run(network), situation.steps, wait_s)
        for device, verb, back, value, _ in inputs(network.circuit):
            if verb in ("make", "turn") or (verb == "press" and not any(c.form == "nc" for c in device.contacts)):
                continue
            step, let_go = Do(verb, (device.tag,), value), Do(back, (device.tag,))
            after = play(run.copy(), (step,), wait_s)
            stopped = _differences(run.state, after.state)
            if not stopped:
                continue
            came_back = _differences(after.state, play(after.copy(), (let_go,), wait_s).state)
            stands = _all_states(after.state)
            yield _look(f"{situation.name}: {_small(step)}", (*situation.steps, step), stopped, stands)
            words = f"comes back by itself: {_told(came_back)}" if came_back else "stays so"
            yield SheetLine(f"then {_small(let_go)}", words, "look",
                            situation=Situation("", (*situation.steps, step, let_go)), seen=_plain(came_back),
                            mind="nobody near it" if came_back else "")  # fmt: skip


def interlock_lines(network: Network, running: Sequence[Running]) -> Iterator[SheetLine]:
    """Mechanical ones by hand; electric ones: with one contactor in, what starts its partner must do nothing."""
    circuit = network.circuit
    for one, other in circuit.interlocks:
        yield SheetLine(f"Power off: push {one} in by hand, try to push {other} in", "does not go in")
        yield SheetLine(f"Power off: push {other} in by hand, try to push {one} in", "does not go in")
    wait_s = waiting_s(circuit)
    rest = play(Run(network), (), wait_s)
    for situation, state in running:
        run = play(Run(network), situation.steps, wait_s)
        for device, verb, back, value, _ in inputs(circuit):
            step = Do(verb, (device.tag,), value)
            starts = _started(rest.state, play(rest.copy(), (step,), wait_s).state)
            kept_out = [tag for tag in starts if not _is_at_work(state, circuit.by_tag[tag])]
            after = play(run.copy(), (step,), wait_s).state if kept_out else state
            if kept_out and verb in ("press", "make") and not _started(state, after):
                yield _look(f"{situation.name}: {_small(step)}", (*situation.steps, step),
                            _differences(state, after), _all_states(after), f"{', '.join(kept_out)} must not come in; "
                            f"then {_small(Do(back, (device.tag,)))}")  # fmt: skip


def _started(before: PanelState, after: PanelState) -> list[str]:
    return [
        device.tag
        for device in after.circuit.devices
        if _drives(device) and _is_at_work(after, device) and not _is_at_work(before, device)
    ]


def dip_lines(network: Network, running: Sequence[Running]) -> Iterator[SheetLine]:
    """From every running situation: power away, power back."""
    wait_s = waiting_s(network.circuit)
    steps = (Do("power-off"), Do("power-on"))
    for situation, before in running:
        after = play(play(Run(network), situation.steps, wait_s), steps, wait_s).state
        back = tuple(
            Is(device.tag, after.word(device.tag))
            for device in network.circuit.devices
            if works(device)
            and (device.motors or device.contacts)
            and after.word(device.tag) == before.word(device.tag)
            and _is_at_work(after, device)
        )
        changed = _differences(before, after)
        yield SheetLine(f"{situation.name}: power off for 3 s, then on", _told(changed or back), "look",
                        situation=Situation("", (*situation.steps, *steps)), seen=_plain(changed),
                        mind="comes back by itself: nobody near it" if back else "")  # fmt: skip


def promise_lines(circuit: Circuit) -> Iterator[SheetLine]:
    """One box a promise."""
    for promise in circuit.promises:
        if promise.form != "waive" and not promise.not_kept and not promise.one_fault:
            yield SheetLine(promise.text)
