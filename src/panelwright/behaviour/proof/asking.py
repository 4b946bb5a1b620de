"""Conditions and states of sentences as literals over the state of a cone."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import AllOf, Condition, Is, Load, Not, Sentence
from ...electrics.gates import FALSE, TRUE
from .cone import HAND, Cone
from .half_fed import TooManyPositions, decide_loads, live_literal
from .panel import Panel

POSITIVE = ("in", "lit", "sounding", "running", "on", "dim", "live")


def atoms(condition: Condition | None) -> Iterator[Is]:
    """Every state that a condition names."""
    if isinstance(condition, Is):
        yield condition
    elif isinstance(condition, Not):
        yield from atoms(condition.part)
    elif condition is not None:
        for part in condition.parts:
            yield from atoms(part)


def atoms_of(sentence: Sentence) -> Iterator[Is]:
    """Every state that a sentence names."""
    yield from sentence.states
    for condition in (sentence.condition, sentence.unless, sentence.until):
        yield from atoms(condition)
    if sentence.event is not None:
        yield from atoms(sentence.event.becomes)


def motions(panel: Panel) -> tuple[Is, ...]:
    """What "everything" and "nothing" speak of: motors, solenoids and brakes; in a file without any, contactors;
    in one without those either, whatever a coil moves."""
    found: list[Is] = []
    for device in panel.circuit.devices:
        names = [f"{device.tag}.{motor.name}" for motor in device.motors]
        if any(name in panel.program.forward for name in names):
            found.append(Is(device.tag, "running"))
        elif any(load.sort == "solenoid" for load in device.loads):
            found.append(Is(device.tag, "on"))
    if not found:
        found = [Is(d.tag, "in") for d in panel.circuit.devices if d.kind in ("contactor", "latched breaker")]
    if not found:
        found = [Is(d.tag, "in") for d in panel.circuit.devices if any(load.drives for load in d.loads)]
    return tuple(found)


def tags_of(panel: Panel, states: Iterator[Is] | tuple[Is, ...]) -> set[str]:
    """The devices that states depend on, those inside the lamps' and motors' paths too."""
    found: set[str] = set()
    for state in states:
        if state.subject == "power":
            found |= {device.tag for device, _ in panel.circuit.supplies}
            continue
        found.add(state.subject)
        try:
            found |= panel.tags_in(list(_program_literals(panel, state)))
        except TooManyPositions:  # the question will say so; it hangs on anything
            found |= set(panel.circuit.by_tag)
    return found


def _program_literals(panel: Panel, state: Is) -> Iterator[int]:
    device = panel.circuit.by_tag.get(state.subject)
    if device is None:
        yield live_literal(panel, state.subject)
        return
    decide_loads(panel, [f"{device.tag}.{load.name}" for load in device.loads if not load.drives])
    program = panel.program
    for load in device.loads:
        for table in (program.full, program.may):
            if f"{device.tag}.{load.name}" in table:
                yield table[f"{device.tag}.{load.name}"]
    for motor in device.motors:
        for table in (program.forward, program.reverse):
            if f"{device.tag}.{motor.name}" in table:
                yield table[f"{device.tag}.{motor.name}"]


class Asking:
    """Literals of states in one cone."""

    def __init__(self, cone: Cone) -> None:
        self.cone = cone
        self.g = cone.model.gates

    def state(self, state: Is) -> int:
        """Literal of one state; "not in" is what "in" is not, so less than "out"."""
        word = state.state.removeprefix("not ")
        literal = self._state(state.subject, word, state.value)
        return literal ^ 1 if state.state.startswith("not ") else literal

    def _state(self, subject: str, word: str, value: str) -> int:
        if subject == "power":
            tags = [device.tag for device, _ in self.cone.circuit.supplies]
            on = [self._supply(tag) for tag in tags]
            return self.g.all_of(on) if word == "on" else self.g.all_of(one ^ 1 for one in on)
        device = self.cone.circuit.by_tag.get(subject)
        if device is None:
            live = self.cone.of(live_literal(self.cone.panel, subject))
            return live if word == "live" else live ^ 1
        if word == "at":
            return self.g.input(f"{subject}={value}")
        if device.motors:
            return self._motor(subject, word, value)
        if device.sources and word in ("on", "off"):
            return self._supply(subject) ^ (word == "off")
        if word == "blown":
            return FALSE
        return self._moved(subject, word)

    def _supply(self, tag: str) -> int:
        """The supply gives its volts, its own primary fed; one that does not matter in this cone counts as on."""
        return self.cone.of(self.cone.panel.program.live[tag]) if tag in self.cone.tags else TRUE

    def _motor(self, tag: str, word: str, value: str) -> int:
        program = self.cone.panel.program
        found = FALSE
        for motor in self.cone.circuit.by_tag[tag].motors:
            name = f"{tag}.{motor.name}"
            if value in ("", "forward"):
                found = self.g.or_(found, self.cone.of(program.forward.get(name, FALSE)))
            if value in ("", "reverse"):
                found = self.g.or_(found, self.cone.of(program.reverse.get(name, FALSE)))
        return found if word == "running" else found ^ 1

    def _moved(self, tag: str, word: str) -> int:
        device = self.cone.circuit.by_tag[tag]
        sort = device.mechanism.sort
        if sort in HAND or any(load.drives for load in device.loads):
            operated, rest = self.cone.operated(tag), self.cone.at_rest(tag)
            if word in ("in", "pressed", "made", "tripped", "on"):
                return operated
            if word == "moving":
                return self.g.and_(operated ^ 1, rest ^ 1)
            return rest
        loads = [f"{tag}.{p.name}" for p in device.parts if isinstance(p, Load) and p.sort != "primary"]
        self._decide(loads)
        full = self.g.any_of(self.cone.full(load) for load in loads)
        may = self.g.any_of(self.cone.may(load) for load in loads)
        if word in ("lit", "sounding", "on", "running", "in"):
            return full
        return self.g.and_(may, full ^ 1) if word == "dim" else may ^ 1

    def _decide(self, loads: list[str]) -> None:
        """See to it that the gates say of loads what the volts say. Raises: TooManyPositions."""
        panel = self.cone.panel
        decide_loads(panel, loads)
        for load in loads:
            if panel.may_be_half_fed(load) and load not in panel.decided:
                raise TooManyPositions(load)

    def condition(self, condition: Condition | None) -> int:
        """Literal of a condition; none holds always."""
        if condition is None:
            return TRUE
        if isinstance(condition, Is):
            return self.state(condition)
        if isinstance(condition, Not):
            return self.condition(condition.part) ^ 1
        parts = [self.condition(part) for part in condition.parts]
        return self.g.all_of(parts) if isinstance(condition, AllOf) else self.g.any_of(parts)

    def supplies_on(self, unless_named: set[str]) -> int:
        """Every supply of the cone that the sentence does not name is on."""
        supplies = [device.tag for device, _ in self.cone.circuit.supplies]
        if "power" in unless_named:
            return TRUE
        return self.g.all_of(self._supply(tag) for tag in supplies if tag not in unless_named)

    def no_push(self) -> int:
        """No spring-return button is held."""
        pushes = [d.tag for d in self.cone.circuit.devices if d.mechanism.sort == "push" and d.tag in self.cone.tags]
        return self.g.all_of(self.cone.at_rest(tag) for tag in pushes)


__all__ = ["POSITIVE", "Asking", "atoms", "atoms_of", "motions", "tags_of"]
