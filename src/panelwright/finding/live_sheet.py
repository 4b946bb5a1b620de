"""The live test: power step by step, then every contact worked both ways in as few steps as can be found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..behaviour import PanelState, Run
from ..circuit import Circuit, Contact, Device, Do, Fuse, Is, net_of
from ..electrics import Network, Position
from ..wiring import Wiring
from .naming import states_of, works
from .places import return_for, returns_of
from .probing import volts_text
from .sheet import Part, Sheet, SheetLine, title_of
from .situations import Situation, inputs, play, steps_words, trial_steps, usual_situations, waiting_s

CAUTIONS = (
    "Only those who are trained, authorised and equipped work here; the area is fenced off, nobody reaches in.",
    "The cold test is passed. Motor fuses stay out, or motors are uncoupled, until the control is proved.",
    "Local codes and a licensed person decide. "
    "An emergency stop needs its own proof: no performance level is claimed here.",
)
MOST_STEPS = 200
AHEAD = 2  # steps looked ahead for something new


@dataclass(frozen=True, slots=True)
class Coverage:
    """Contacts seen to close and to open, of those that are wired."""

    both: int
    wired: int
    never: tuple[str, ...]


def live_sheet(wiring: Wiring) -> Sheet:
    """The live test sheet of a panel."""
    network = Network(wiring)
    steps, coverage = function_steps(network)
    parts = (
        Part("Power, step by step", tuple(power_lines(wiring, network)), (FUSES_OUT,)),
        Part("Function", tuple(function_lines(network, steps)), (FROM_REST,)),
        Part("Stops and trips while it runs", tuple(stop_lines(network))),
        Part("Interlocks", tuple(interlock_lines(network))),
        Part("Power dip", tuple(dip_lines(network))),
        Part("Promises of the file, ticked as they were seen", tuple(promise_lines(network.circuit))),
    )
    covers = (
        f"Function: {len(steps)} steps; {coverage.both} of {coverage.wired} wired control contacts are seen both ways.",
        *(f"Not seen both ways: {name}." for name in coverage.never),
    )
    return Sheet("live", title_of(wiring), CAUTIONS, tuple(part for part in parts if part.lines), covers)


# -- power ---------------------------------------------------------------------------------------------------------


def power_lines(wiring: Wiring, network: Network) -> Iterator[SheetLine]:
    """Which fuse or breaker next, control before motors, and what must read what behind it."""
    circuit = wiring.circuit
    order = power_order(network)
    waiting = set(order)
    for tag, source in _sources_first(circuit):
        a, b = (f"{tag}.{mark}" for mark in source[:2])
        volts = _volts(network, circuit, waiting, a, b)
        yield SheetLine(f"Feed on. {tag}: {a} to {b}", volts_text(volts), "volts", a, b, None, volts)
    for tag in order:
        waiting.discard(tag)
        device = circuit.by_tag[tag]
        verb = "on" if device.mechanism.sort == "switch" else "in"
        for a, b in _behind(network, circuit, device):
            volts = _volts(network, circuit, waiting, a, b)
            name = f"{tag} {verb}" + (f" ({device.text})" if device.text else "")
            yield SheetLine(f"{name}: {a} to {b}", volts_text(volts), "volts", a, b, None, volts)
    for device, fed in circuit.supplies:
        if fed.fed_by:
            a, b = (f"{device.tag}.{mark}" for mark in fed.terminals[:2])
            volts = _volts(network, circuit, set(), a, b)
            yield SheetLine(f"{device.tag} gives its volts: {a} to {b}", volts_text(volts), "volts", a, b, None, volts)


def _sources_first(circuit: Circuit) -> Iterator[tuple[str, tuple[str, ...]]]:
    for device, source in circuit.supplies:
        if not source.fed_by:
            yield device.tag, source.terminals


def power_order(network: Network) -> list[str]:
    """Fuses, breakers and disconnects: from the feed inwards, those of motors last."""
    circuit = network.circuit
    nets = net_of(circuit)
    opens = {
        d.tag for d in circuit.devices if d.mechanism.sort == "switch" or any(isinstance(p, Fuse) for p in d.parts)
    }
    reached = [device.tag for device, source in circuit.supplies if not source.fed_by]
    near: dict[str, list[str]] = {}
    for net in dict.fromkeys(nets.values()):
        tags = list(dict.fromkeys(t.partition(".")[0] for t in net.terminals))
        for tag in tags:
            near.setdefault(tag, []).extend(other for other in tags if other != tag)
    order: list[str] = []
    feeding = {device.tag for device, _ in circuit.supplies}
    for tag in reached:
        for other in near.get(tag, ()):
            if other in opens and other not in order:
                order.append(other)
            if other in opens | feeding and other not in reached:
                reached.append(other)
    order += sorted(opens - set(order))
    return sorted(order, key=lambda tag: _feeds_motor(circuit, near, tag, feeding))


def _feeds_motor(circuit: Circuit, near: dict[str, list[str]], tag: str, feeding: set[str]) -> bool:
    """Next to a main pole of a contactor, and to no primary."""
    others = near.get(tag, ())
    if any(other in feeding and any(p.fed_by for p in circuit.by_tag[other].sources) for other in others):
        return False
    return any(
        any(c.main for c in circuit.by_tag[o].contacts) and circuit.by_tag[o].mechanism.sort == "relay" for o in others
    )


def _volts(network: Network, circuit: Circuit, waiting: set[str], a: str, b: str) -> float:
    """Volts with the fuses of `waiting` out and its switches off, everything at rest."""
    rest = usual_situations(network)[Situation("at rest")].position
    out = {f"{tag}.{p.name}" for tag in waiting for p in circuit.by_tag[tag].parts if isinstance(p, Fuse)}
    off = {
        f"{tag}.{c.name}"
        for tag in waiting
        for c in circuit.by_tag[tag].contacts
        if c.main or circuit.by_tag[tag].mechanism.sort == "switch"
    }
    level = network.solve(Position(rest.closed - off, rest.blown | out, rest.off)).volts(a, b)
    return level.ac_effective if level.ac_effective > abs(level.dc) else level.dc


def _behind(network: Network, circuit: Circuit, device: Device) -> Iterator[tuple[str, str]]:
    """Pairs at which to read behind a fuse, breaker or disconnect: pole to pole, one pole to its return."""
    poles = [
        p for p in device.parts if isinstance(p, Fuse | Contact) and f"{device.tag}.{p.b}" in network.elements.node_of
    ]
    ends = [f"{device.tag}.{p.b}" for p in poles]
    if len(ends) > 1:
        yield from zip(ends, (*ends[1:], ends[0]) if len(ends) > 2 else ends[1:], strict=False)
        return
    for end in ends:
        rung = next((r for r in circuit.rungs if any(device.tag in t for t in _tags(r))), None)
        yield end, return_for(circuit, rung.section) if rung else returns_of(circuit)[0]


def _tags(rung: object) -> list[str]:
    from ..circuit import Rung, uses_in

    assert isinstance(rung, Rung)
    return [use.device for use in uses_in(rung.body)]


# -- function ------------------------------------------------------------------------------------------------------


def function_steps(network: Network) -> tuple[list[tuple[Do, PanelState, PanelState]], Coverage]:
    """Steps, each with the panel before and after, found greedily: the next one or two that show most that is new."""
    circuit = network.circuit
    wanted = {
        f"{d.tag}.{c.name}" for d in circuit.devices for c in d.contacts if not c.main and _is_wired(circuit, d, c)
    }
    wait_s = waiting_s(circuit)
    run = Run(network)
    seen: set[tuple[str, bool]] = set()
    steps: list[tuple[Do, PanelState, PanelState]] = []
    while len(steps) < MOST_STEPS:
        way = _best_way(run, circuit, wanted, seen, wait_s)
        if not way:
            break
        for step in way:
            before = run.state
            play(run, (step,), wait_s)
            seen |= _changed(before, run.state, wanted)
            steps.append((step, before, run.state))
    both = {name for name in wanted if {(name, True), (name, False)} <= seen}
    return steps, Coverage(len(both), len(wanted), tuple(sorted(wanted - both)))


def _is_wired(circuit: Circuit, device: Device, contact: Contact) -> bool:
    nets = net_of(circuit)
    return f"{device.tag}.{contact.a}" in nets and f"{device.tag}.{contact.b}" in nets


def _changed(before: PanelState, after: PanelState, wanted: set[str]) -> set[tuple[str, bool]]:
    was, now = before.position.closed & wanted, after.position.closed & wanted
    return {(name, True) for name in now - was} | {(name, False) for name in was - now}


def _best_way(
    run: Run, circuit: Circuit, wanted: set[str], seen: set[tuple[str, bool]], wait_s: float
) -> tuple[Do, ...]:
    """One step, or two where one shows nothing new."""
    best: tuple[int, tuple[Do, ...]] = (0, ())
    tried: list[tuple[tuple[Do, ...], Run]] = []
    for step in possible_steps(run.state):
        after = play(run.copy(), (step,), wait_s)
        new = len(_changed(run.state, after.state, wanted) - seen)
        tried.append(((step,), after))
        best = max(best, (new, (step,)), key=lambda one: one[0])
    if best[0]:
        return best[1]
    for way, middle in tried:
        for step in possible_steps(middle.state):
            after = play(middle.copy(), (step,), wait_s)
            new = len(_changed(middle.state, after.state, wanted) - seen)
            if new > best[0]:
                best = new, (*way, step)
        if best[0]:
            return best[1]
    return _way_of_a_trial(run, circuit, wanted, seen, wait_s)


def _way_of_a_trial(
    run: Run, circuit: Circuit, wanted: set[str], seen: set[tuple[str, bool]], wait_s: float
) -> tuple[Do, ...]:
    """What a trial of the file does, when that shows something new: it knows turns that take many steps."""
    best: tuple[int, tuple[Do, ...]] = (0, ())
    for trial in circuit.trials:
        way = (*_back_to_rest(run.state), *trial_steps(trial))
        now = run.copy()
        shown: set[tuple[str, bool]] = set()
        for step in way:
            before = now.state
            shown |= _changed(before, play(now, (step,), wait_s).state, wanted)
        if len(shown - seen) > best[0]:
            best = len(shown - seen), way
    return best[1]


def _back_to_rest(state: PanelState) -> Iterator[Do]:
    for step in possible_steps(state):
        device = state.circuit.by_tag[step.targets[0]]
        if step.verb in ("release", "clear", "reset", "switch-on") or (
            step.verb == "turn" and step.value == device.mechanism.start
        ):
            yield step


def possible_steps(state: PanelState) -> Iterator[Do]:
    """What can be worked from here: everything released that is not, pressed that is not, turned elsewhere."""
    for device, verb, back, _value, _ in inputs(state.circuit):
        stand = state.stands[device.tag]
        if verb == "turn":
            continue
        if verb == "switch-off":
            yield Do(verb if stand.is_in else back, (device.tag,))
        else:
            yield Do(back if stand.is_in else verb, (device.tag,))
    for device in state.circuit.devices:
        for position in device.mechanism.positions:
            if position != state.stands[device.tag].plain.at:
                yield Do("turn", (device.tag,), position)


def function_lines(network: Network, steps: Sequence[tuple[Do, PanelState, PanelState]]) -> Iterator[SheetLine]:
    """Each step with what changes then; with what holds at first."""
    rest = usual_situations(network)[Situation("at rest")]
    yield _look("At rest", (), _all_states(rest))
    done: tuple[Do, ...] = ()
    for step, before, after in steps:
        done = (*done, step)
        yield _look(_imperative(step), done, _differences(before, after), _all_states(after))


def _all_states(state: PanelState) -> tuple[Is, ...]:
    return tuple(Is(d.tag, state.word(d.tag)) for d in state.circuit.devices if works(d))


def _differences(before: PanelState, after: PanelState) -> tuple[Is, ...]:
    shown = [d.tag for d in after.circuit.devices if works(d)]
    return tuple(Is(tag, after.word(tag)) for tag in shown if after.word(tag) != before.word(tag))


def _look(do: str, steps: tuple[Do, ...], seen: tuple[Is, ...], all_states: tuple[Is, ...] = ()) -> SheetLine:
    """`all_states`: what a tick stands for when nothing changes."""
    words = ", ".join(f"{one.subject} {one.state}" for one in seen) or "nothing changes"
    plain = tuple(Is(one.subject, *one.state.split(" ", 1)) for one in seen or all_states)
    return SheetLine(do, words, "look", situation=Situation(steps_words(steps), steps), seen=plain)


FUSES_OUT = "Fuses out and breakers off at the beginning."
FROM_REST = "From rest, supplies on. Each line goes on from the one before."
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
    if step.verb == "turn":
        return f"Turn {step.targets[0]} to {step.value}"
    return VERBS.get(step.verb, step.verb + " {}").format(" and ".join(step.targets))


# -- stops, interlocks, dips -----------------------------------------------------------------------------------------


def running_situations(network: Network) -> list[Situation]:
    """Where something works: running, and the others in which other loads work."""
    found: dict[tuple[str, ...], Situation] = {}
    for situation, state in usual_situations(network).items():
        working = tuple(
            d.tag
            for d in state.circuit.devices
            if works(d)
            and state.word(d.tag).split()[0] == states_of(d)[0]
            and (d.motors or any(load.drives for load in d.loads))
        )
        if working and not any(step.verb in ("press", "trip", "switch-off") for step in situation.steps):
            found.setdefault(working, situation)
    return sorted(found.values(), key=lambda s: len(s.steps))[:4]


def stop_lines(network: Network) -> Iterator[SheetLine]:
    """From every running situation each thing that stops something, and what stays stopped after it is let go."""
    wait_s = waiting_s(network.circuit)
    for situation in running_situations(network):
        run = play(Run(network), situation.steps, wait_s)
        for device, verb, back, value, _ in inputs(network.circuit):
            if verb in ("make", "turn") or (verb == "press" and not any(c.form == "nc" for c in device.contacts)):
                continue
            step = Do(verb, (device.tag,), value)
            after = play(run.copy(), (step,), wait_s)
            stopped = _differences(run.state, after.state)
            if not stopped:
                continue
            again = play(after.copy(), (Do(back, (device.tag,)),), wait_s)
            came_back = _differences(after.state, again.state)
            words = (
                "stays so"
                if not came_back
                else "comes back by itself: " + ", ".join(f"{o.subject} {o.state}" for o in came_back)
            )
            line = _look(
                f"{situation.name}: {_imperative(step).lower().replace(device.tag.lower(), device.tag)}",
                (*situation.steps, step),
                stopped,
            )
            yield line
            yield SheetLine(
                f"then {_imperative(Do(back, (device.tag,))).lower().replace(device.tag.lower(), device.tag)}",
                words,
                "look",
                situation=Situation("", (*situation.steps, step, Do(back, (device.tag,)))),
                seen=tuple(Is(o.subject, *o.state.split(" ", 1)) for o in came_back),
            )


def interlock_lines(network: Network) -> Iterator[SheetLine]:
    """Each contactor in, its partner's start must do nothing; proved by hand for mechanical ones."""
    for one, other in network.circuit.interlocks:
        yield SheetLine(f"Power off: push {one} in by hand, try to push {other} in", "does not go in")
        yield SheetLine(f"Power off: push {other} in by hand, try to push {one} in", "does not go in")


def dip_lines(network: Network) -> Iterator[SheetLine]:
    """From every running situation: power away, power back."""
    wait_s = waiting_s(network.circuit)
    for situation in running_situations(network):
        steps = (Do("power-off"), Do("power-on"))
        run = play(Run(network), situation.steps, wait_s)
        before = run.state
        after = play(run, steps, wait_s).state
        back = tuple(
            Is(d.tag, after.word(d.tag))
            for d in network.circuit.devices
            if works(d)
            and after.word(d.tag) == before.word(d.tag)
            and after.word(d.tag).split()[0] == states_of(d)[0]
            and (d.motors or d.contacts)
        )
        mind = "comes back by itself: nobody near it" if back else ""
        words = ", ".join(f"{o.subject} {o.state}" for o in (_differences(before, after) or back)) or "nothing changes"
        yield SheetLine(
            f"{situation.name}: power off for 3 s, then on",
            words,
            "look",
            situation=Situation("", (*situation.steps, *steps)),
            mind=mind,
            seen=tuple(Is(o.subject, *o.state.split(" ", 1)) for o in _differences(before, after)),
        )


def promise_lines(circuit: Circuit) -> Iterator[SheetLine]:
    """One box a promise."""
    for promise in circuit.promises:
        if promise.form != "waive" and not promise.not_kept and not promise.one_fault:
            yield SheetLine(promise.text)
