"""A course of states, read back: where devices stand, what was done, and the same in words and as a trial."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import takewhile

from ...circuit import Circuit, Device, Do, Fuse
from ...electrics import DeviceState
from ...electrics.positions import Stage
from .cone import HAND, Cone
from .unrolling import Course

VERBS = {
    "push": ("press", "release"), "latched push": ("press", "release"), "field": ("make", "clear"),
    "trip": ("trip", "reset"), "switch": ("switch-on", "switch-off"),
}  # fmt: skip
_WORDS = {
    "push": ("pressed", "released"), "latched push": ("pressed", "released"), "field": ("made", "clear"),
    "trip": ("tripped", "reset"), "switch": ("on", "off"),
}  # fmt: skip


_PLACE = {"operated": "in", "rest": "out", "moving": "on its way"}


@dataclass(frozen=True, slots=True)
class Moment:
    """One state of a course: `done` by hand or plant to get there, `moved` by itself, and where all devices stand.

    `at_s`: seconds since the start at which it is entered, where times were part of the question.
    """

    done: tuple[Do, ...]
    moved: tuple[tuple[str, str], ...]  # tag, "in", "out", "moving", "timed contacts in" ...
    states: dict[str, DeviceState]
    at_s: float | None = None


def moments(cone: Cone, course: Course) -> tuple[Moment, ...]:
    """The states of a course, one after the other."""
    found: list[Moment] = []
    before: dict[str, bool] = {}
    for bits in course:
        done = tuple(_done(cone, before, bits))
        moved = tuple(_moved(cone, before, bits)) if before else ()
        found.append(Moment(done, moved, states_of(cone, bits)))
        before = bits
    return tuple(found)


def _stage(cone: Cone, bits: dict[str, bool], tag: str, arm: str = "") -> Stage:
    if bits.get(f"{tag}{arm}", False):
        return "operated"
    if cone.panel.has_place_between(tag, arm) and not bits.get(f"{tag}{arm}:rest", True):
        return "moving"
    return "rest"


def states_of(cone: Cone, bits: dict[str, bool]) -> dict[str, DeviceState]:
    """The device states of one state of the model; devices outside the cone stand at rest, supplies and switches on."""
    states: dict[str, DeviceState] = {}
    for device in cone.circuit.devices:
        tag = device.tag
        at = next((p for p in device.mechanism.positions if bits.get(f"{tag}={p}")), device.mechanism.start)
        if tag not in cone.tags and device.mechanism.sort == "switch":
            states[tag] = switched(device, "operated" if device.mechanism.start == "on" else "rest")
            continue
        if tag in cone.panel.stuck:
            states[tag] = DeviceState(*["operated" if cone.panel.stuck[tag] else "rest"] * 2)  # type: ignore[arg-type]
            continue
        stage, timed = _stage(cone, bits, tag), _stage(cone, bits, tag, ":timed")
        if device.mechanism.sort == "switch":
            states[tag] = switched(device, stage)
            continue
        states[tag] = DeviceState(stage, timed, at, on=bits.get(f"supply:{tag}", True))
    return states


def switched(device: Device, stage: Stage) -> DeviceState:
    """A disconnect or breaker; one that is not on has its poles open, those that trip among them."""
    poles = frozenset(part.name for part in device.parts if isinstance(part, Fuse))
    return DeviceState(stage, blown=frozenset() if stage == "operated" else poles)


def _done(cone: Cone, before: dict[str, bool], bits: dict[str, bool]) -> Iterator[Do]:
    for device in cone.circuit.devices:
        if device.tag in cone.tags:
            yield from _done_to(cone, device, before, bits)


def _done_to(cone: Cone, device: Device, before: dict[str, bool], bits: dict[str, bool]) -> Iterator[Do]:
    tag, sort = device.tag, device.mechanism.sort
    supply = f"supply:{tag}"
    if supply in bits and bits[supply] != before.get(supply, True):
        yield Do("power-on" if bits[supply] else "power-off", (tag,))
    for position in device.mechanism.positions:
        name = f"{tag}={position}"
        was_there = before.get(name, device.mechanism.start == position)
        if bits.get(name) and not was_there:
            yield Do("turn", (tag,), position)
    if sort in HAND and tag in bits:
        start = "operated" if sort == "switch" and device.mechanism.start == "on" else "rest"
        was, now = (_stage(cone, before, tag) if before else start), _stage(cone, bits, tag)
        if now != was and now != "moving":
            yield Do(VERBS[sort][0 if now == "operated" else 1], (tag,))


def _moved(cone: Cone, before: dict[str, bool], bits: dict[str, bool]) -> Iterator[tuple[str, str]]:
    for device in cone.circuit.devices:
        by_hand = device.mechanism.sort in HAND
        if device.tag not in cone.tags or not (by_hand or any(load.drives for load in device.loads)):
            continue
        for arm, what in (("", ""), (":timed", "timed contacts ")):
            was, now = _stage(cone, before, device.tag, arm), _stage(cone, bits, device.tag, arm)
            if was != now and (now == "moving" or not by_hand):  # where a hand arrives is something done
                yield device.tag, what + _PLACE[now]


def told(circuit: Circuit, course: tuple[Moment, ...]) -> tuple[str, ...]:
    """The course in words, one sentence a state that differs from the one before, with the time in between."""
    sentences: list[str] = []
    before_s = 0.0
    for number, moment in enumerate(course):
        done = [_said(circuit, one) for one in moment.done]
        moved = [f"{tag} {what}" for tag, what in moment.moved]
        parts = [", ".join(part) for part in (done, moved) if part]
        gone_s = 0.0 if moment.at_s is None else moment.at_s - before_s
        if gone_s and not parts and moment is course[-1]:
            parts = ["nothing has changed"]
        if parts:
            since = "later" if sentences else "after the start"
            sentences.append((_when(gone_s, since) if number else "At the start: ") + "; ".join(parts) + ".")
            before_s += gone_s
    return tuple(sentences)


def two_told(
    circuit: Circuit, one: tuple[Moment, ...], other: tuple[Moment, ...], tags: tuple[str, ...]
) -> tuple[str, ...]:
    """Two courses that begin alike and end differently; `tags`: the devices that do."""
    same = sum(1 for _ in takewhile(lambda pair: pair[0].states == pair[1].states, zip(one, other, strict=False)))
    ends = [", ".join(_ended(course[-1], tag) for tag in tags) for course in (one, other) if course]
    if not ends:
        return ()
    rest = [
        " ".join(told(circuit, course[:1] + course[same:])[bool(told(circuit, course[:1])) :])
        for course in (one, other)
    ]
    then = [f"{words} In the end {end}.".lstrip() for words, end in zip(rest, ends, strict=True)]
    return (*told(circuit, one[:same]), f"Either: {then[0]}", f"Or: {then[1]}")


def _ended(moment: Moment, tag: str) -> str:
    state = moment.states[tag]
    timed = (
        f", its timed contacts {_PLACE[state.timed]}" if state.timed != state.stage and state.timed != "rest" else ""
    )
    return f"{tag} {_PLACE[state.stage]}{timed}"


def _when(gone_s: float, since: str) -> str:
    if gone_s < 0.001:
        return ""
    return f"{gone_s:.2f} s {since}: " if gone_s >= 0.1 else f"{1000 * gone_s:.0f} ms {since}: "


def _said(circuit: Circuit, do: Do) -> str:
    tag = do.targets[0]
    if do.verb.startswith("power"):
        return f"{tag} {'on' if do.verb == 'power-on' else 'off'}"
    if do.verb == "turn":
        return f"{tag} at {do.value}"
    first, second = _WORDS[circuit.by_tag[tag].mechanism.sort]
    verbs = VERBS[circuit.by_tag[tag].mechanism.sort]
    return f"{tag} {first if do.verb == verbs[0] else second}"
