"""Assumptions about plant and people, as what holds in every state or every step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ...circuit import Is, Sentence
from ...electrics.gates import FALSE, GateBuilder
from .asking import Asking, atoms_of, tags_of
from .cone import Cone
from .panel import Panel


@dataclass
class Assumed:
    """Which assumptions were used, and which could not be: a promise kept without one is kept with it too."""

    used: list[Sentence] = field(default_factory=list)
    unused: list[Sentence] = field(default_factory=list)


def tags_assumed(panel: Panel, assumptions: tuple[Sentence, ...], tags: set[str]) -> set[str]:
    """The devices of a question with those that its assumptions bring in."""
    found = panel.depends(tags)
    grown = True
    while grown:
        grown = False
        for sentence in assumptions:
            speaks = tags_of(panel, tuple(atoms_of(sentence)))
            if speaks & found and not speaks <= found:
                found |= panel.depends(speaks)
                grown = True
    return found


def assume(cone: Cone, assumptions: tuple[Sentence, ...]) -> Assumed:
    """Put the assumptions that speak of devices of the cone into its model."""
    assumed = Assumed()
    taking = _Taking(cone)
    for sentence in assumptions:
        subjects = {state.subject for state in atoms_of(sentence)} - {"power"}
        if subjects and not subjects <= cone.tags:
            continue
        (assumed.used if taking.take(sentence) else assumed.unused).append(sentence)
    return assumed


class _Taking:
    def __init__(self, cone: Cone) -> None:
        self.cone, self.model, self.g = cone, cone.model, cone.model.gates
        self.ask = Asking(cone)

    def take(self, sentence: Sentence) -> bool:
        """Whether the sentence could be put into the model."""
        form, ask, g = sentence.form, self.ask, self.g
        states = [ask.state(state) for state in sentence.states]
        condition = ask.condition(sentence.condition)
        if form == "makes before":
            self._always(g.or_(states[1] ^ 1, states[0]))
        elif form == "never together":
            for index, one in enumerate(states):
                for other in states[index + 1 :]:
                    self._always(g.and_(one, other) ^ 1)
        elif form == "only while":
            self._always(g.or_(g.any_of(states) ^ 1, condition))
        elif form == "only after" and sentence.seconds is None:
            self._steps_into(states, g.or_(condition, self._next(condition)))
        elif form == "makes only while":
            self._steps_into(states, condition)
        elif form in ("stays at", "stays on"):
            self._always(g.all_of(states))
        elif form == "power stays on":
            self._always(ask.state(Is("power", "on")))
        elif form == "never":
            self._always(condition ^ 1)
        elif form == "always":
            self._always(condition)
        elif form == "while always":
            self._always(g.or_(condition ^ 1, ask.condition(sentence.until)))
        elif form == "inputs only at rest":
            self.model.steps.append(g.or_(self.cone.beginning ^ 1, self.cone.quiet))
        elif form == "inputs one at a time":
            self._one_at_a_time()
        else:
            return False
        return True

    def _always(self, literal: int) -> None:
        self.model.always.append(literal)

    def _next(self, literal: int) -> int:
        """A literal in the state that the step leads to."""
        return next_literal(self.cone, literal)

    def _steps_into(self, states: list[int], condition: int) -> None:
        for state in states:
            rises = self.g.and_(state ^ 1, self._next(state))
            self.model.steps.append(self.g.or_(rises ^ 1, condition))

    def _one_at_a_time(self) -> None:
        """No two inputs change in one step; nor does the panel start with a button held and something else worked."""
        supplies = {device.tag for device, _ in self.cone.circuit.supplies}  # power may come and go as a whole
        changes = [literal for tag, literal in self.model.begun if tag not in supplies]
        changes.append(self.g.any_of(literal for tag, literal in self.model.begun if tag in supplies))
        for index, one in enumerate(changes):
            for other in changes[index + 1 :]:
                self.model.steps.append(self.g.and_(one, other) ^ 1)
        first = self.model.monitor("first state")
        self.model.remember("first state", first, FALSE, start=True)
        worked = [self.cone.at_rest(tag) ^ 1 for tag in self._by_hand_or_plant()]
        for index, button in enumerate(worked[: len(self._buttons)]):
            for other in worked[index + 1 :]:
                self._always(self.g.all_of([first, button, other]) ^ 1)

    @cached_property
    def _buttons(self) -> list[str]:
        return [d.tag for d in self.cone.circuit.devices if d.tag in self.cone.tags and d.mechanism.sort == "push"]

    def _by_hand_or_plant(self) -> list[str]:
        """The two-position inputs of the cone, spring-return buttons first; disconnects are no part of it."""
        others = [
            d.tag
            for d in self.cone.circuit.devices
            if d.tag in self.cone.tags and d.mechanism.sort in ("latched push", "field", "trip")
        ]
        return [*self._buttons, *others]


def next_literal(cone: Cone, literal: int) -> int:
    """A literal over the state, taken in the state after the step: its gates once more over what the bits become."""
    becomes = {bit.now >> 1: bit.next ^ (bit.now & 1) for bit in cone.model.bits}
    return put_in_place(cone.model.gates, literal, becomes)


def put_in_place(g: GateBuilder, literal: int, becomes: Mapping[int, int], image: dict[int, int] | None = None) -> int:
    """A literal with other literals in the place of some nodes. `image`: what was found before with the same ones."""
    image = {} if image is None else image
    image[0] = 0
    waiting = [literal >> 1]
    while waiting:
        node = waiting[-1]
        if node in image:
            waiting.pop()
        elif node in becomes:
            image[node] = becomes[node]
        elif g.left[node] < 0:
            image[node] = 2 * node
        else:
            below = (g.left[node] >> 1, g.right[node] >> 1)
            missing = [n for n in below if n not in image]
            if missing:
                waiting += missing
            else:
                left, right = (
                    image[n] ^ (lit & 1) for n, lit in zip(below, (g.left[node], g.right[node]), strict=True)
                )
                image[node] = g.and_(left, right)
    return image[literal >> 1] ^ (literal & 1)
