"""Small panels and promises by lot, asked of one engine at a time, and the same question put to z3."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass
from typing import Any

from panelwright.behaviour.proof.clauses import Step
from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.explicit import TooLarge, Walk
from panelwright.behaviour.proof.monitors import Monitors
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.symbolic import search
from panelwright.circuit import Happens, Is, Sentence
from panelwright.electrics import Network
from tests.electrics.families import Workshop

SECONDS = 30.0


@dataclass(frozen=True)
class Question:
    """What must never happen in one cone, and the devices that the promise names."""

    step: Step
    named: frozenset[str]


def panel_by_lot(rng: random.Random, relays: int) -> Panel:
    """Relays with rungs of contacts by lot, some in parallel, one break contact and one make contact pushed by hand."""
    shop = Workshop()
    contacts = ["S1.no", "S2.nc", *(f"K{n}.{form}" for n in range(1, relays + 1) for form in ("no", "nc"))]
    for n in range(1, relays + 1):
        first, one, other, last = ([rng.choice(contacts) for _ in range(rng.randrange(3))] for _ in range(4))
        branches: list[Any] = [tuple(branch) for branch in (one, other) if branch]
        middle = [branches] if len(branches) > 1 else branches
        shop.rung("+", (*first, *middle, *last[:1], f"K{n}.coil"), "-")
    return Panel(Network(shop.circuit()))


def sentence_by_lot(rng: random.Random, relays: int) -> Sentence:
    """A promise about two of the relays."""
    one, other = rng.sample([f"K{n}" for n in range(1, relays + 1)], 2)
    pressed = Is(rng.choice(("S1", "S2")), rng.choice(("pressed", "released")))
    state = Is(one, rng.choice(("in", "out")))
    return rng.choice(
        [
            Sentence("never together", "", (Is(one, "in"), Is(other, "in"))),
            Sentence("when", "", (state,), pressed),
            Sentence("only while", "", (Is(one, "in"),), pressed),
            Sentence("only after", "", (Is(one, "in"),), Is(other, "in")),
            Sentence("stays until", "", (state,), until=pressed),
            Sentence("after", "", (state,), event=Happens(pressed)),
            Sentence("stays after", "", (state,), event=Happens(pressed)),
            Sentence("in order", "", (Is(one, "in"), Is(other, "in"))),
            Sentence("nothing starts", "", event=Happens(Is("power", "on")), subject="nothing"),
        ]
    )


def question_by_lot(seed: int) -> Question | None:
    """A question; None for a panel in which it cannot be asked (its button has no contact in use)."""
    rng = random.Random(seed)
    relays = rng.choice((2, 2, 3))
    panel = panel_by_lot(rng, relays)
    sentence = sentence_by_lot(rng, relays)
    tags = {device.tag for device in panel.circuit.devices}
    named = {state.subject for state in (*sentence.states, sentence.condition, sentence.until) if isinstance(state, Is)}
    if sentence.event is not None and isinstance(sentence.event.becomes, Is):
        named.add(sentence.event.becomes.subject)
    if not named - {"power"} <= tags:
        return None
    cone = Cone(panel, tags)
    return Question(Step(cone, Monitors(cone, sentence).watch().bad), frozenset(named & tags))


def walked(question: Question) -> bool | None:
    """Whether it can happen, by walking through all states; None where there are too many."""
    try:
        return Walk(question.step).shortest() is not None
    except TooLarge:
        return None


def solved(question: Question) -> bool | None:
    """Whether it can happen, by everything the solver is asked; None when the time was over."""
    course, _, bound = search(question.step, question.named, time.monotonic() + SECONDS)
    return True if course is not None else False if bound < 0 else None


def by_z3(question: Question) -> bool:
    """Whether it can happen, by z3's own engine for reachability, from the gates and bits of the step alone."""
    import z3

    step = question.step
    gates, image = step.gates, {0: z3.BoolVal(False)}
    variables = []
    for node in step.nodes:  # gates come after what they are made of
        if gates.left[node] < 0:
            image[node] = z3.Bool(f"n{node}")
            variables.append(image[node])
        else:
            sides = (gates.left[node], gates.right[node])
            image[node] = z3.And(*(z3.Not(image[s >> 1]) if s & 1 else image[s >> 1] for s in sides))

    def of(literal: int) -> Any:
        return z3.Not(image[literal >> 1]) if literal & 1 else image[literal >> 1]

    fixed = z3.Fixedpoint()
    fixed.set(engine="spacer")
    reached = z3.Function("reached", *([z3.BoolSort()] * len(step.bits)), z3.BoolSort())
    broken = z3.Function("broken", z3.BoolSort())
    fixed.register_relation(reached, broken)
    fixed.declare_var(*variables)
    now, always = [of(bit.now) for bit in step.bits], [of(one) for one in step.always]
    start = [of(bit.now) == bit.start for bit in step.bits if bit.start is not None]
    fixed.rule(reached(*now), [*start, *always])
    fixed.rule(reached(*(of(bit.next) for bit in step.bits)), [reached(*now), *(of(one) for one in step.demands)])
    fixed.rule(broken(), [reached(*now), *always, of(step.bad)])
    return bool(fixed.query(broken()) == z3.sat)
