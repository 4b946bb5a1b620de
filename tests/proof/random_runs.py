"""Panels worked at random in the moving panel, within what their files assume."""

from __future__ import annotations

import random

from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.run import Run
from panelwright.behaviour.times import Pace, Paces
from panelwright.circuit import Condition, Do, Fault, Is, Sentence
from panelwright.electrics import Network

from .judging import View, views_of_run

PACES: tuple[Pace, ...] = ("nominal", "fast", "slow")
MOST_ARRIVALS = 50
LONG_S, SOON_S = 10.0, 0.3  # longer than every set time; sooner than anything has moved
VERBS = {"push": ("press", "release"), "field": ("make", "clear"), "trip": ("trip", "reset")}


def course_by_lot(network: Network, number: int, actions: int, fault: Fault | None = None) -> list[View]:
    """A random course as views, cut off before anything that the file says does not happen; none where it buzzes.

    Inputs and supplies at random moments, several at one instant too, each device at a pace of its own. `fault`: put in
    while the power is off, before the course begins; none, too, where it cannot be.
    """
    rng = random.Random(number)
    circuit, panel = network.circuit, Panel(network)
    run = Run(network, paces=Paces("nominal", {d.tag: rng.choice(PACES) for d in circuit.devices}))
    forms = {sentence.form for sentence in circuit.assumptions}
    worked: set[str] = set()
    first = 0
    if fault is not None:
        run.do(Do("power-off")).advance(LONG_S).settle()
        if run.put_in(fault) is not None:
            return []
        first = len(run.trace.moments) - 1
        run.do(Do("power-on"))
    resting = _rested(run)
    for _ in range(actions):
        run.advance(rng.choice((rng.uniform(0, 0.03), rng.uniform(0, 0.3), rng.uniform(0, 4))))
        if "inputs only at rest" in forms or rng.random() < 0.4:
            resting |= _rested(run.settle())
        if run.buzz is not None:
            break
        _let_arrive(run, panel)
        run._work(_something(run, rng, worked, together="inputs one at a time" not in forms))
    resting |= _rested(run.advance(rng.choice((0, LONG_S))).settle())
    views = views_of_run(panel, run, resting)[first:]
    return _allowed(views, circuit.assumptions) if not run.buzzes else []


def race_by_lot(network: Network, number: int, actions: int) -> str:
    """A race in the words of the moving panel, met while one thing after the other is done at rest; "" for none.

    As the prover takes it: one button at most is held besides, and none while a supply comes or goes.
    """
    rng = random.Random(number)
    run = Run(network, watch_races=True).settle()
    supplies = [device.tag for device, _ in run.circuit.supplies]
    inputs = [device.tag for device in run.circuit.devices if device.mechanism.sort in VERBS]
    worked: set[str] = set()
    for _ in range(actions):
        if run.buzz is not None or any(due < SOON_S for due, _ in run.timers_due()):
            run.advance(2 * SOON_S).settle()  # a time that is up is a thing of its own
            continue
        tag = rng.choice((*inputs, *inputs, *supplies))
        held = {one for one in worked if one.startswith("S")} - {tag}
        if len(held) <= (tag in inputs):
            worked ^= {tag}
            run.do(_worked(run, tag, tag in worked))
            run.advance(rng.choice((0.0, LONG_S))).settle()
    return str(run.races[0]) if run.races and not run.buzzes else ""


def _let_arrive(run: Run, panel: Panel) -> None:
    """Wait for contacts of one form that are on their way: the prover takes them for there at once, or not at all."""

    def on_its_way(tag: str, arm: str, at: str) -> bool:
        return at == "moving" and not panel.has_place_between(tag, arm)

    for _ in range(MOST_ARRIVALS):
        stands = run.state.stands.items()
        if not any(on_its_way(t, "", s.plain.at) or on_its_way(t, ":timed", s.timed.at) for t, s in stands):
            return
        run.advance_to_next(run.now + LONG_S)


def _rested(run: Run) -> set[int]:
    """The number of the last moment, if nothing will move any more by itself."""
    at_rest = run.buzz is None and not run._engine.is_moving() and not run.timers_due()
    return {len(run.trace.moments) - 1} if at_rest else set()


def _something(run: Run, rng: random.Random, worked: set[str], *, together: bool) -> tuple[Do, ...]:
    """One input the other way round, or two at one instant, or a supply, or all of them."""
    supplies = [device.tag for device, _ in run.circuit.supplies]
    inputs = [device.tag for device in run.circuit.devices if device.mechanism.sort in VERBS]
    tags = [rng.choice((*inputs, *inputs, "power", rng.choice(supplies)))]
    if together and rng.random() < 0.3:
        tags = rng.sample([*inputs, "power"], 2)
    worked ^= set(tags)
    return tuple(_worked(run, tag, tag in worked) for tag in tags)


def _worked(run: Run, tag: str, on: bool) -> Do:
    if tag in run.circuit.by_tag and run.circuit.by_tag[tag].mechanism.sort in VERBS:
        return Do(VERBS[run.circuit.by_tag[tag].mechanism.sort][not on], (tag,))
    return Do("power-off" if on else "power-on", () if tag == "power" else (tag,))


# ---- what is assumed
def _allowed(views: list[View], assumptions: tuple[Sentence, ...]) -> list[View]:
    """The views before the first that breaks an assumption."""
    for at in range(len(views)):
        if not all(_fits(views, at, sentence) for sentence in assumptions):
            return views[:at]
    return views


def _fits(views: list[View], at: int, sentence: Sentence) -> bool:
    view = views[at]
    if sentence.form == "makes before":
        first, later = sentence.states
        return view.holds(first) or not view.holds(later)
    if sentence.form == "makes only while":
        return not any(_comes(views, at, state) for state in sentence.states) or views[at - 1].holds(sentence.condition)
    if sentence.form == "never":
        return not view.holds(sentence.condition)
    if sentence.form == "stays at":
        return all(view.holds(state) for state in sentence.states)
    if sentence.form == "power stays on":
        return view.holds(Is("power", "on"))
    return sentence.form in ("inputs only at rest", "inputs one at a time")


def _comes(views: list[View], at: int, state: Condition) -> bool:
    return at > 0 and views[at].holds(state) and not views[at - 1].holds(state)
