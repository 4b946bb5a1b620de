"""Sentences and trials with their names looked up, and states put into one word per kind of device."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any

from panelwright.circuit import (
    AllOf,
    AnyOf,
    Circuit,
    Condition,
    Device,
    Do,
    Expect,
    Fault,
    Fuse,
    Happens,
    Inject,
    Is,
    Mend,
    Not,
    Problem,
    Sentence,
    Span,
    Step,
    Use,
    uses_in,
)

from .names import Names, nearest

COIL, MOTOR, LAMP, SOUNDER = (
    ("in", "out", "moving"),
    ("running", "stopped"),
    ("lit", "dark", "dim"),
    ("sounding", "silent"),
)
_BY_SORT: dict[str, tuple[str, ...]] = {
    "push": ("pressed", "released"), "latched push": ("pressed", "released"), "selector": ("at",),
    "spring selector": ("at",), "field": ("made", "clear"), "trip": ("tripped", "reset"),
    "switch": ("on", "off", "tripped"), "fixed": (),
}  # fmt: skip
_SAME = {
    ("in", LAMP): "lit", ("on", LAMP): "lit", ("out", LAMP): "dark", ("off", LAMP): "dark",
    ("on", SOUNDER): "sounding", ("off", SOUNDER): "silent",
    ("running", COIL): "in", ("stopped", COIL): "out", ("on", COIL): "in", ("off", COIL): "out",
    ("in", MOTOR): "running", ("out", MOTOR): "stopped", ("on", MOTOR): "running", ("off", MOTOR): "stopped",
}  # fmt: skip
_PUSHED_IN = ("relay", "latching", "impulse", "alternating")  # by hand, at their armature
_VERBS = {
    "press": ("push", "latched push"), "release": ("push", "latched push", "spring selector", *_PUSHED_IN),
    "tap": ("push", "latched push"), "hold": ("push", "latched push"),
    "turn": ("selector", "spring selector"), "make": ("field",), "clear": ("field",),
    "trip": ("trip", "switch"), "reset": ("trip",), "switch-on": ("switch",), "switch-off": ("switch",),
    "push-in": _PUSHED_IN,
}  # fmt: skip


def states_of(device: Device) -> tuple[str, ...]:
    """The state words that suit a device."""
    sort = device.mechanism.sort
    if device.motors:
        return MOTOR
    if sort not in _BY_SORT:
        return COIL
    words = _BY_SORT[sort]
    if device.sources:
        words += ("on", "off")
    for load in device.loads:
        words += {"lamp": LAMP, "sounder": SOUNDER, "solenoid": ("on", "off"), "resistor": ("on", "off")}.get(
            load.sort, ()
        )
    if any(isinstance(part, Fuse) for part in device.parts):
        words += ("blown", "whole")
    return words or ("on", "off")


def _suits(verb: str, device: Device) -> bool:
    """Whether this can be done to such a device."""
    if verb.startswith("power"):
        return bool(device.sources)
    if verb == "renew":
        return any(isinstance(part, Fuse) and not part.resettable for part in device.parts)
    return verb not in _VERBS or device.mechanism.sort in _VERBS[verb]


class Meanings:
    """Looks up the names in sentences and trials; problems go to `names.problems`."""

    def __init__(self, names: Names, circuit: Circuit, lines: Mapping[int, str] | None = None) -> None:
        self.names = names
        self.lines = lines or {}
        self.circuit = circuit
        self.point_names = set(names.points) | {p.rpartition(".")[0] for p in names.points if "." in p}

    @cached_property
    def uses(self) -> dict[str, list[Use]]:
        """The items of all rungs by device."""
        found: dict[str, list[Use]] = {}
        for rung in self.circuit.rungs:
            for use in uses_in(rung.body):
                found.setdefault(use.device, []).append(use)
        return found

    def place(self, name: str, span: Span | None) -> Span | None:
        """Where a name stands in the statement that `span` marks."""
        if span is None or not name:
            return span
        behind = self.lines.get(span.line, "")[span.column - 1 :]
        found = re.search(rf"(?<![\w.@]){re.escape(name)}(?![\w.])", behind)
        return Span(span.line, span.column + found.start(), len(name)) if found else span

    def state(self, one: Is, span: Span | None) -> Is:
        """The state in the word that its device goes by."""
        if one.subject == "power":
            return self._suited(one, ("on", "off"), "power", span)
        if one.subject.startswith("@"):
            self.spot(one.subject, span)
            return self._suited(one, ("live", "dead"), f"the point {one.subject}", span)
        device = self.names.devices.get(one.subject)
        if device is None:
            if one.subject in self.names.rails:
                return self._suited(one, ("live", "dead"), f"the rail {one.subject}", span)
            self.names.device(one.subject, self.place(one.subject, span))
            return one
        if not self.names.is_known(device):
            return one
        if one.state == "at" and one.value not in device.mechanism.positions and device.mechanism.positions:
            self._no_position(device, one.value, span)
            return one
        return self._suited(one, states_of(device), f"{device.tag} ({device.kind})", span)

    def _suited(self, one: Is, words: tuple[str, ...], what: str, span: Span | None) -> Is:
        negated, state = one.state.startswith("not "), one.state.removeprefix("not ")
        for (said, group), meant in _SAME.items():
            if said == state and set(group) <= set(words) and state not in words:
                state = meant
                break
        if {"on", "off"} <= set(words) and not {"in", "running"} & set(words):
            state = {"in": "on", "running": "on", "out": "off", "stopped": "off"}.get(state, state)
        if state not in words and state != "waived":
            device = self.names.devices.get(one.subject)
            if words == ("at",) and device is not None:
                words = tuple(f"at {position}" for position in device.mechanism.positions)
            self.names.problems.append(
                Problem(
                    "PW108", f"{what} cannot be {state}", f"it can be {' or '.join(words)}.",
                    f"write {' or '.join(words[:2])}.", self.place(one.subject, span),
                )
            )  # fmt: skip
        return replace(one, state=f"not {state}" if negated else state)

    def _no_position(self, device: Device, value: str, span: Span | None) -> None:
        positions = device.mechanism.positions
        self.names.problems.append(
            Problem(
                "PW107", f"{device.tag} has no position {value or '(none given)'}",
                f"its positions are {', '.join(positions)}.", f"write one of {', '.join(positions)}.",
                self.place(value, span),
            )
        )  # fmt: skip

    def condition(self, condition: Condition, span: Span | None) -> Condition:
        """The condition with every state looked up."""
        if isinstance(condition, Is):
            return self.state(condition, span)
        if isinstance(condition, Not):
            return Not(self.condition(condition.part, span))
        parts = tuple(self.condition(part, span) for part in condition.parts)
        return AllOf(parts) if isinstance(condition, AllOf) else AnyOf(parts)

    def sentence(self, sentence: Sentence) -> Sentence:
        """The sentence with every name looked up."""
        span = sentence.span
        facts: dict[str, Any] = {
            key: self.condition(value, span)
            for key in ("condition", "unless", "until")
            if (value := getattr(sentence, key)) is not None
        }
        if sentence.event is not None:
            facts["event"] = Happens(self.condition(sentence.event.becomes, span))
        states = tuple(self._of_sentence(one, sentence) for one in sentence.states)
        faults = tuple(self.fault(fault) for fault in sentence.faults)
        return replace(sentence, states=states, faults=faults, **facts)

    def _of_sentence(self, one: Is, sentence: Sentence) -> Is:
        if sentence.form == "waive":
            self.names.device(one.subject, self.place(one.subject, sentence.span))
            return one
        return self.state(one, sentence.span)

    # ---- trials
    def step(self, step: Step) -> Step:
        """The step with every name looked up."""
        if isinstance(step, Do):
            return self.do(step)
        if isinstance(step, Inject):
            return Inject(self.fault(step.fault), step.span)
        if isinstance(step, Mend):
            if step.subject:
                self.spot(step.subject, step.span)
            return step
        return self.expect(step)

    def do(self, do: Do) -> Do:
        """One thing done: the device has to be one that it can be done to."""
        for target in do.targets:
            device = self.names.device(target, self.place(target, do.span))
            if device is None or not self.names.is_known(device):
                continue
            if not _suits(do.verb, device):
                self.names.problems.append(self._wrong_verb(do, device))
            elif do.verb == "turn" and do.value not in device.mechanism.positions:
                self._no_position(device, do.value, do.span)
        return replace(do, also=tuple(self.do(one) for one in do.also))

    def _wrong_verb(self, do: Do, device: Device) -> Problem:
        verbs = ["power-off", "renew", "push-in", *(v for v in _VERBS if v not in ("hold", "tap", "push-in"))]
        suited = [verb.replace("-", " ") for verb in verbs if _suits(verb, device)]
        suited = ["power off at" if verb == "power off" else verb for verb in suited]
        why = f"one can {' or '.join(suited)} a {device.kind}." if suited else f"nobody works a {device.kind} by hand."
        return Problem(
            "PW109", f"{device.tag} ({device.kind}) cannot be worked with {do.verb.replace('-', ' ')}", why,
            f"write {suited[0]} {device.tag}." if suited else "name the device that is worked.",
            self.place(device.tag, do.span),
        )  # fmt: skip

    def expect(self, expect: Expect) -> Expect:
        """One expectation."""
        if expect.state is not None:
            return replace(expect, state=self.state(expect.state, expect.span))
        if expect.condition is not None:
            return replace(expect, condition=self.condition(expect.condition, expect.span))
        for name in (expect.subject, expect.other):
            if name:
                self.spot(name, expect.span)
        return expect

    def fault(self, fault: Fault) -> Fault:
        """One fault by name."""
        if fault.form != "assumption broken":
            for name in (fault.subject, fault.other):
                if name:
                    self.spot(name, fault.span)
        self._needs_label(fault)
        return fault

    def _needs_label(self, fault: Fault) -> None:
        tag, _, part = fault.subject.partition(".")
        if part not in ("no", "nc", "instant.no", "instant.nc"):
            return
        same = [use for use in self.uses.get(tag, ()) if use.part == part]
        if len(same) > 1:
            self.names.problems.append(
                Problem(
                    "PW112", f"{fault.subject} stands at {len(same)} places of the rungs; which one is broken?",
                    "each is a contact of its own.",
                    f"give the one that is meant a label, {fault.subject}1, there and here.",
                    self.place(fault.subject, fault.span), tuple(("used here", use.span) for use in same if use.span),
                )
            )  # fmt: skip

    def spot(self, name: str, span: Span | None) -> None:
        """A point, rail, terminal, part or device by name; unknown ones are problems."""
        if name == "earth" or name in self.names.rails:
            return
        if name.startswith("@"):
            if name[1:] not in self.point_names and not self.names.may_be_written(name):
                self._no_point(name, span)
            return
        tag, _, part = name.partition(".")
        device = self.names.device(tag, self.place(name, span))
        if device is None or not part or not self.names.is_known(device) or (tag, part) in self.names.written:
            return
        if self.names.may_be_written(tag) or _is_made_to_order(device, part):
            return
        written = [use.part for use in self.uses.get(tag, ())]
        known = dict.fromkeys([*written, *(p.name for p in device.parts), *device.terminals, "supply", "poles"])
        known |= dict.fromkeys(f"pole{n}" for n in range(1, len(device.parts) + 1))
        if part not in known and "-".join(reversed(part.split("-"))) not in known:
            offered = nearest(part, list(known))
            mend = f"write {tag}.{offered}" if offered else f"write one of {_named(tag, list(known)[:6])}"
            self.names.problems.append(
                Problem(
                    "PW102", f"{tag} has no part, contact or terminal called {part}",
                    "a fault or a reading has to name something that is there.", f"{mend}.", self.place(name, span),
                )
            )  # fmt: skip

    def _no_point(self, name: str, span: Span | None) -> None:
        near = nearest(name[1:], sorted(self.point_names))
        self.names.problems.append(
            Problem(
                "PW116", f"no point called {name}", "points are named in the rungs.",
                f"write @{near}." if near else f"name the place in its rung: {name}",
                self.place(name, span),
            )
        )  # fmt: skip


def _is_made_to_order(device: Device, part: str) -> bool:
    """Contacts of a selector get their marks when the rungs are wired; until then any mark may be one."""
    return bool(device.mechanism.positions) and re.fullmatch(r"\d+(-\d+)?", part) is not None


def _named(tag: str, parts: list[str]) -> str:
    return ", ".join(f"{tag}.{part}" for part in parts)
