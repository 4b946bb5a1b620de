"""Small circuits with timers, drawn at random; random runs of them; and sentences with seconds judged on a run."""

from __future__ import annotations

import random
from collections.abc import Iterator

from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.run import Run
from panelwright.behaviour.stands import Stand
from panelwright.behaviour.times import Pace, Paces
from panelwright.circuit import Circuit, Condition, Do, Is, Sentence
from panelwright.electrics import Network

KINDS = ("on-delay timer", "off-delay timer", "interval timer", "flasher")
MEMORIES = ("latching relay", "impulse relay", "alternating relay")
LONGEST_HOLD_S = 1.5
TRAVEL_S = 0.005  # contacts of one form count as moved in one instant, somewhere in their travel
PACES: tuple[Pace, ...] = ("nominal", "fast", "slow")


def timed_panel(number: int) -> str:
    """One relay, one contactor and one or two timers with random rungs, and promises with seconds."""
    return "\n".join(_rows(random.Random(number), memory="")) + "\n"


def panel_with_memory(number: int) -> str:
    """The same with a latching, impulse or alternating relay."""
    rng = random.Random(number)
    return "\n".join(_rows(rng, rng.choice(MEMORIES))) + "\n"


def panel_without_seconds(number: int) -> str:
    """The same circuit with promises that ask for no seconds, each pair of devices in every way."""
    head, _, _ = panel_with_memory(number).partition("promises\n")
    tags = [tag for tag in ("K1", "K2", "K3", "T1") if f"\n{tag} " in head]
    pairs = [(one, other) for one in tags for other in tags if one != other]
    rows = [f"{one} picks up only after {other} is {state}" for one, other in pairs for state in ("in", "out")]
    rows += [f"{one} and {other} are never in together" for one, other in pairs if one < other]
    return "\n".join([f"{head}promises", *rows]) + "\n"


def interlocked(text: str) -> str:
    """One of the circuits above with two contactors of which each holds the other out mechanically."""
    contactor = "contactor 3 poles 6 NO + 6 NC coil 24 V dc"
    both = text.replace("K1 relay 4 CO coil 24 V dc", f"K1 {contactor}")
    return both.replace(f"K2 {contactor}", f"K2 {contactor}\nK1 and K2 interlocked mechanically")


def _rows(rng: random.Random, memory: str) -> list[str]:
    timers = [f"T{n}" for n in range(1, rng.choice((2, 2, 3)))]
    coils = ["K1", "K2", *timers]
    rows = ['panel "x"', "supplies", "G1 dc supply 24 V 5 A rails + - earthed at -", "devices on door"]
    rows += ["S1 pushbutton 8 NO", "S2 pushbutton 8 NC", "devices on plate"]
    rows += ["K1 relay 4 CO coil 24 V dc", "K2 contactor 3 poles 6 NO + 6 NC coil 24 V dc"]
    rows += [_timer(rng, tag) for tag in timers]
    used = dict.fromkeys(coils, 0)
    if memory:
        rows.append(f"K3 {memory} 4 CO coil 24 V dc")
        used["K3"] = 0
    rungs = [_rung(rng, f"{coil}.coil", used) for coil in coils]
    if memory == "latching relay":
        rungs += [_rung(rng, "K3.set", used), _rung(rng, "K3.reset", used)]
    elif memory:
        rungs.append(_rung(rng, "K3.coil", used))
    rows += ["rungs from + to -", *rungs, "assumptions"]
    if rng.random() < 0.6:
        rows.append("inputs change only at rest")
    if rng.random() < 0.5:
        rows.append(f"S1 stays pressed at most {LONGEST_HOLD_S} s")
    names = ("K1", "K2", "T1", "K3") if memory else ("K1", "K2", "T1")
    return [*rows, "promises", *_promises(rng, names)]


def _timer(rng: random.Random, tag: str) -> str:
    kind, seconds = rng.choice(KINDS), rng.choice((1, 2, 3))
    pause = rng.choice(("", " off for 2 s")) if kind == "flasher" else ""
    return f"{tag} {kind} {seconds} s{pause} 4 CO coil 24 V dc"


def _rung(rng: random.Random, coil: str, used: dict[str, int]) -> str:
    def contact() -> str:
        tag = rng.choice([one for one in (*used, "S1", "S1", "S2") if used.get(one, 0) < 4])
        if tag in ("S1", "S2"):
            return "S1.no" if tag == "S1" else "S2.nc"
        used[tag] += 1
        return f"{tag}.{rng.choice(('no', 'nc'))}"

    first = [contact() for _ in range(rng.choice((1, 1, 2)))]
    other = [contact()] if rng.random() < 0.5 else []
    last = [contact()] if rng.random() < 0.5 else []
    middle = ["(", *first, "|", *other, ")"] if other else first
    return " ".join([*middle, *last, coil])


def _promises(rng: random.Random, names: tuple[str, ...]) -> Iterator[str]:
    for _ in range(2):
        tag, other = rng.sample(names, 2)
        seconds = rng.choice((0.01, 0.1, 0.5, 0.9, 1.1, 1.6, 1.9, 2.2, 2.9, 3.3, 5))
        yield f"{tag} stays in at most {seconds} s"
        yield f"{tag} stays in at least {seconds} s"
        yield f"{tag} stays out at least {seconds} s"
        yield f"{tag} picks up only after {other} is {rng.choice(('in', 'out'))} for {seconds} s"
    yield "K1 and K2 are never in together"


def at_random(network: Network, circuit: Circuit, number: int, length_s: float) -> Run:
    """Buttons and power worked at random moments within the assumptions, each device at a pace of its own."""
    rng = random.Random(number)
    paces = Paces("nominal", {d.tag: rng.choice(PACES) for d in circuit.devices})
    run = Run(network, paces=paces)
    at_rest = any(one.form == "inputs only at rest" for one in circuit.assumptions)
    hold_s = next((one.seconds for one in circuit.assumptions if one.form == "stays at most"), None)
    pressed = {"S1": False, "S2": False}
    power, let_go_s = True, float("inf")
    while run.now < length_s:
        pause_s = rng.choice((rng.uniform(0, 0.03), rng.uniform(0, 0.5), rng.uniform(0, 4)))
        until_s = min(run.now + pause_s, let_go_s)
        run.advance(max(0.0, until_s - run.now))
        tag = "S1" if run.now >= let_go_s - 1e-9 else rng.choice(("S1", "S1", "S2", "power"))
        if at_rest and not _comes_to_rest(run, let_go_s):
            break
        if tag == "power":
            power = not power
            run._work((Do("power-on" if power else "power-off"),))
            continue
        pressed[tag] = not pressed[tag]
        run._work((Do("press" if pressed[tag] else "release", (tag,)),))
        if tag == "S1" and hold_s is not None:
            let_go_s = run.now + hold_s * rng.choice((0.5, 1.0)) if pressed[tag] else float("inf")
    return run


def _comes_to_rest(run: Run, until_s: float) -> bool:
    """Let what moves settle; False when that never happens, or not in time."""
    run.settle()
    return run.buzz is None and run.now <= until_s + 1e-9


Stretch = tuple[float, float]


def stretches(run: Run, condition: Condition) -> list[Stretch]:
    """When a state held in a run, from and to, in seconds; the first may have begun before it, the last goes on."""
    assert isinstance(condition, Is)
    tag = condition.subject
    forms = Panel(run.state.network).forms.get((tag, ""), set())
    found: list[Stretch] = []
    since: float | None = float("-inf") if _holds(run.trace.moments[0].stands[tag], condition, forms) else None
    for moment in run.trace.moments:
        holds = _holds(moment.stands[tag], condition, forms)
        if holds and since is None:
            since = moment.now
        elif not holds and since is not None:
            found.append((since, moment.now))
            since = None
    return found if since is None else [*found, (since, float("inf"))]


def _holds(stand: Stand, state: Is, forms: set[str]) -> bool:
    """A device with make contacts alone, or none, counts as out when these are open; one with break contacts alone the
    other way round.
    """
    if state.state == "in":
        return not stand.is_out if forms == {"nc"} else stand.is_in
    return stand.is_out if "nc" in forms else not stand.is_in


def contradicts(run: Run, promise: Sentence) -> bool:
    """Whether a run breaks a promise; one that buzzes is leapt over in parts, and says nothing."""
    if run.buzzes:
        return False
    if promise.form == "never together":
        one, other = (stretches(run, state) for state in promise.states)
        return any(max(a, c) + TRAVEL_S < min(b, d) for a, b in one for c, d in other)
    state, seconds = promise.states[0], promise.seconds or 0.0
    mine = stretches(run, state)
    if promise.form == "stays at most":
        return any(min(to, run.now) - since > seconds + 1e-6 for since, to in mine if since >= 0)
    if promise.form == "stays at least":
        off = [] if state.state == "out" else _power_lost(run)
        return any(
            to - since < seconds - 1e-6 and not any(since - 1e-9 <= lost <= to + 1e-9 for lost in off)
            for since, to in mine
            if since >= 0 and to < float("inf")
        )
    assert promise.condition is not None
    before = stretches(run, promise.condition)
    comes = [since for since, _ in mine if since >= 0]
    return not all(any(since <= t - seconds + 1e-6 and t <= to + TRAVEL_S for since, to in before) for t in comes)


def _power_lost(run: Run) -> list[float]:
    """Moments with the power off."""
    return [moment.now for moment in run.trace.moments if "G1" in moment.position.off]
