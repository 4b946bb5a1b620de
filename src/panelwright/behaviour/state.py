"""The whole panel at one moment, as a value that answers in the words of promises and trials."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..circuit import AllOf, AnyOf, Circuit, Condition, Fuse, Is, Load, Not
from ..electrics import DeviceState, Network, Position, Solution
from .stands import MOVING, OPERATED, REST, Stand
from .timers import is_timer

WORKING = {"lit": "full", "sounding": "full", "on": "full", "dark": "none", "silent": "none", "off": "none"}
LIVE_V = 5.0
MOTOR_STATES = frozenset({"running", "stopped"})


@dataclass(frozen=True, slots=True)
class PanelState:
    """Where everything stands, and what flows. Times in seconds since the run began.

    `stands`: mechanisms by tag. `position`: closed contacts, blown fuses, supplies off; `solution`: volts and amps.
    `buzzing`: tags of devices that go to and fro without end.
    """

    now: float
    circuit: Circuit
    network: Network
    stands: Mapping[str, Stand]
    position: Position
    solution: Solution
    buzzing: frozenset[str] = frozenset()

    def device_state(self, tag: str) -> DeviceState:
        """One device in the words of the electrics."""
        stand = self.stands.get(tag, Stand())
        mechanism = self.circuit.by_tag[tag].mechanism
        at = stand.plain.at if mechanism.positions else ""
        blown = frozenset(part.name for part in self._fuses(tag) if f"{tag}.{part.name}" in self.position.blown)
        stage = "rest" if mechanism.positions else stand.plain.at
        return DeviceState(
            stage,  # type: ignore[arg-type]
            stand.timed.at,  # type: ignore[arg-type]
            "" if at == MOVING else at,
            blown,
            tag not in self.position.off,
        )

    def _fuses(self, tag: str) -> tuple[Fuse, ...]:
        return tuple(part for part in self.circuit.by_tag[tag].parts if isinstance(part, Fuse))

    def holds(self, condition: Condition) -> bool:
        """Whether a condition is true now."""
        if isinstance(condition, AllOf):
            return all(self.holds(part) for part in condition.parts)
        if isinstance(condition, AnyOf):
            return any(self.holds(part) for part in condition.parts)
        if isinstance(condition, Not):
            return not self.holds(condition.part)
        return self.seen(condition)[0]

    def seen(self, wanted: Is) -> tuple[bool, str]:
        """Whether a state is seen, and the word for what is seen instead."""
        if wanted.state.startswith("not "):
            holds, word = self.seen(replace(wanted, state=wanted.state.removeprefix("not ")))
            return not holds, word
        subject, state = wanted.subject, wanted.state
        if subject.startswith("@"):
            live = self.is_live(subject)
            return (state == "live") == live, "live" if live else "dead"
        if subject == "power" or self._is_supply(subject):
            return self._seen_power(subject, state)
        if subject not in self.circuit.by_tag:
            return False, "not in this circuit"
        word = self.word(subject, state)
        if state == "running" and wanted.value:
            return word == f"running {wanted.value}", word
        if state == "at":
            return word == f"at {wanted.value}", word
        return word == state or word.startswith(f"{state} "), word

    def word(self, tag: str, like: str = "") -> str:
        """What a device does now, in the family of words that `like` belongs to."""
        if tag in self.buzzing and like in ("in", "out", ""):
            return "buzzing"
        if like in WORKING or like == "dim":
            return self._load_word(tag, like)
        if like in MOTOR_STATES or (not like and self.circuit.by_tag[tag].motors):
            return self._motor_word(tag)
        if like == "blown":
            blown = any(f"{tag}.{part.name}" in self.position.blown for part in self._fuses(tag))
            return "blown" if blown else "whole"
        return self._stand_word(tag, like)

    def _stand_word(self, tag: str, like: str) -> str:
        device, stand = self.circuit.by_tag[tag], self.stands.get(tag, Stand())
        if device.mechanism.positions:
            return "between two positions" if stand.plain.at == MOVING else f"at {stand.plain.at}"
        if device.mechanism.sort == "fixed":
            return {"full": "in", "none": "out", "partial": "between in and out"}[self._verdict(tag)]
        yes, no = _PAIRS.get(like) or _PAIRS[_LIKE.get(device.mechanism.sort, "in")]
        at = stand.plain.at
        if is_timer(device) and yes == "in" and not stand.stuck:
            at = OPERATED if stand.pulled else REST
        return {OPERATED: yes, REST: no}.get(at, "moving")

    def _verdict(self, tag: str) -> str:
        verdicts = [self.solution.verdict(f"{tag}.{load.name}") for load in self._working_loads(tag)]
        return next((v for v in ("full", "partial") if v in verdicts), "none")

    def _working_loads(self, tag: str) -> tuple[Load, ...]:
        loads = self.circuit.by_tag[tag].loads
        shown = tuple(load for load in loads if load.sort in ("lamp", "sounder", "solenoid"))
        return shown or loads

    def _load_word(self, tag: str, like: str) -> str:
        device = self.circuit.by_tag[tag]
        if like in ("on", "off") and not device.loads:
            return self._stand_word(tag, "on")
        loads = self._working_loads(tag)
        sort = loads[0].sort if loads else "lamp"
        words = _LOAD_WORDS.get(sort, ("on", "off", "partly on"))
        if like in ("on", "off"):
            words = ("on", "off", "partly on")
        return words[{"full": 0, "none": 1, "partial": 2}[self._verdict(tag)]]

    def _motor_word(self, tag: str) -> str:
        states = [self.solution.motor(f"{tag}.{motor.name}").state for motor in self.circuit.by_tag[tag].motors]
        state = states[0] if states else "stopped"
        return f"running {state}" if state in ("forward", "reverse") else state

    def _is_supply(self, tag: str) -> bool:
        device = self.circuit.by_tag.get(tag)
        return device is not None and bool(device.sources)

    def _seen_power(self, subject: str, state: str) -> tuple[bool, str]:
        tags = [subject] if subject != "power" else [device.tag for device, _ in self.circuit.supplies]
        off = all(tag in self.position.off for tag in tags)
        word = "off" if off else "on"
        return word == state, word

    def is_live(self, place: str) -> bool:
        """Whether a point or terminal differs in potential from a pole of some supply or from earth by more than 5 V
        or a tenth of the lowest supply."""
        poles = [f"{device.tag}.{mark}" for device, source in self.circuit.supplies for mark in source.terminals]
        levels = [self.solution.volts(place, pole) for pole in poles]
        return any(not level.floating and level.effective > LIVE_V for level in levels)


_PAIRS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("in", "out", "moving"), ("in", "out")),
    **dict.fromkeys(("pressed", "released"), ("pressed", "released")),
    **dict.fromkeys(("made", "clear"), ("made", "clear")),
    **dict.fromkeys(("tripped", "reset"), ("tripped", "reset")),
    **dict.fromkeys(("on", "off"), ("on", "off")),
}
_LIKE = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
_LOAD_WORDS = {"lamp": ("lit", "dark", "dim"), "sounder": ("sounding", "silent", "hardly sounding")}
