"""What happened, as a value that draws itself and tells itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ..circuit import Circuit
from .buzzing import Buzz
from .engine import Moment


@dataclass(frozen=True, slots=True)
class Doing:
    """Something done to the panel at a moment: a verb of the trials, on targets."""

    now: float
    verb: str
    targets: tuple[str, ...] = ()
    value: str = ""


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed.

    `subject`: a tag. `what`: "contacts", "timed contacts", "load", "motor", "fuse", "supply".
    `element`: element id of a load or fuse, else "". `cause`: index of the doing that led to it, -1 none.
    """

    now: float
    subject: str
    what: str
    before: str
    after: str
    element: str = ""
    cause: int = -1


@dataclass(frozen=True)
class Trace:
    """A course of doings and moments, in order of time."""

    circuit: Circuit
    steps: tuple[Moment | Doing, ...]
    buzzes: tuple[Buzz, ...] = ()

    @property
    def moments(self) -> tuple[Moment, ...]:
        """Every instant at which something happened."""
        return tuple(step for step in self.steps if isinstance(step, Moment))

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """Everything that changed, in order of time."""
        found: list[Change] = []
        doing = -1
        before: Moment | None = None
        for index, step in enumerate(self.steps):
            if isinstance(step, Doing):
                doing = index
                continue
            if before is not None:
                found += changes_between(self.circuit, before, step, doing)
            before = step
        return tuple(found)


def changes_between(circuit: Circuit, before: Moment, after: Moment, cause: int = -1) -> Iterator[Change]:
    """What differs between two moments, mechanisms first."""
    now = after.now
    for tag, stand in after.stands.items():
        old = before.stands[tag]
        if old is stand:
            continue
        if old.plain.at != stand.plain.at:
            yield Change(now, tag, "contacts", old.plain.at, stand.plain.at, cause=cause)
        if old.timed.at != stand.timed.at:
            yield Change(now, tag, "timed contacts", old.timed.at, stand.timed.at, cause=cause)
    if after.position is before.position or after.solution is before.solution:
        return
    for element in sorted(after.position.blown ^ before.position.blown):
        words = ("whole", "blown") if element in after.position.blown else ("blown", "whole")
        yield Change(now, element.partition(".")[0], "fuse", *words, element, cause)
    for tag in sorted(after.position.off ^ before.position.off):
        words = ("on", "off") if tag in after.position.off else ("off", "on")
        yield Change(now, tag, "supply", *words, cause=cause)
    yield from _load_changes(circuit, before, after, cause)


def _load_changes(circuit: Circuit, before: Moment, after: Moment, cause: int) -> Iterator[Change]:
    for device in circuit.devices:
        for load in device.loads:
            element = f"{device.tag}.{load.name}"
            was, is_ = before.solution.verdict(element), after.solution.verdict(element)
            if was != is_:
                yield Change(after.now, device.tag, "load", was, is_, element, cause)
        for motor in device.motors:
            element = f"{device.tag}.{motor.name}"
            first, second = before.solution.motor(element).state, after.solution.motor(element).state
            if first != second:
                yield Change(after.now, device.tag, "motor", first, second, element, cause)
