"""The whole panel at one moment, as a value that answers in the words of promises and trials."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ..circuit import AllOf, AnyOf, Circuit, Condition, Device, Fuse, Is, Load, Not
from ..electrics import DeviceState, MotorAnswer, Network, Position, Solution
from .stands import MOVING, OPERATED, REST, Stand
from .timers import is_timer

ON_OFF = ("on", "off", "partly on")
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
        fuses = (part.name for part in self.circuit.by_tag[tag].parts if isinstance(part, Fuse))
        blown = frozenset(name for name in fuses if f"{tag}.{name}" in self.position.blown)
        stage = "rest" if mechanism.positions else stand.plain.at
        return DeviceState(
            stage,  # type: ignore[arg-type]
            stand.timed.at,  # type: ignore[arg-type]
            "" if at == MOVING else at,
            blown,
            tag not in self.position.off,
        )

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
        if state in ("live", "dead"):
            word = "live" if self.is_live(subject) else "dead"
            return state == word, word
        if subject == "power" or self._is_supply(subject):
            return self._seen_power(subject, state)
        if subject not in self.circuit.by_tag:
            return False, "not in this circuit"
        word = self.word(subject, state)
        if state == "stopped":  # a motor that hums with a phase lost or too few volts does not run
            return word in ("stopped", "hums"), word
        if wanted.value:
            return word == f"{state} {wanted.value}", word
        return word == state or word.startswith(f"{state} "), word

    def word(self, tag: str, like: str = "") -> str:
        """What a device does now, in the family of words that `like` belongs to; in its own words when that is ""."""
        if tag in self.buzzing and like in ("in", "out", ""):
            return "buzzing"
        device = self.circuit.by_tag[tag]
        like = like or _own_family(device)
        if like in _LOAD_FAMILY and not (like in ("on", "off") and device.mechanism.sort == "switch"):
            return self._load_word(device, like)
        if like in MOTOR_STATES:
            return self._motor_word(device)
        if like in ("blown", "whole"):
            return "blown" if self._is_blown(device) else "whole"
        return self._stand_word(device, like)

    def _stand_word(self, device: Device, like: str) -> str:
        stand = self.stands.get(device.tag, Stand())
        if device.mechanism.positions:
            return "between two positions" if stand.plain.at == MOVING else f"at {stand.plain.at}"
        if device.mechanism.sort == "fixed":
            return {"full": "in", "none": "out", "partial": "between in and out"}[self._verdict(device)]
        yes, no = _PAIRS.get(like, ("in", "out"))
        at = stand.plain.at
        if is_timer(device) and yes == "in" and not stand.stuck:
            at = OPERATED if stand.pulled else REST
        return {OPERATED: yes, REST: no}.get(at, "moving")

    def _verdict(self, device: Device) -> str:
        verdicts = [self.solution.verdict(f"{device.tag}.{load.name}") for load in shown_loads(device)]
        return next((verdict for verdict in ("full", "partial") if verdict in verdicts), "none")

    def _load_word(self, device: Device, like: str) -> str:
        loads = shown_loads(device)
        words = _LOAD_WORDS.get(loads[0].sort if loads else "", ON_OFF) if like not in ON_OFF else ON_OFF
        if not loads:
            words = next((words for words in _LOAD_WORDS.values() if like in words), ON_OFF)
        return words[("full", "none", "partial").index(self._verdict(device))]

    def _motor_word(self, device: Device) -> str:
        state = self.motor_answer(device).state if device.motors else "stopped"
        return f"running {state}" if state in ("forward", "reverse") else state

    def motor_answer(self, device: Device) -> MotorAnswer:
        """What a motor does; of several sets of windings (two speeds), what the one does that turns it, or hums."""
        answers = [self.solution.motor(f"{device.tag}.{motor.name}") for motor in device.motors]
        return min(answers, key=lambda answer: ("forward", "reverse", "hums", "stopped").index(answer.state))

    def _is_blown(self, device: Device) -> bool:
        fuses = (f"{device.tag}.{part.name}" for part in device.parts if isinstance(part, Fuse))
        return any(fuse in self.position.blown for fuse in fuses)

    def _is_supply(self, tag: str) -> bool:
        device = self.circuit.by_tag.get(tag)
        return device is not None and bool(device.sources)

    def _seen_power(self, subject: str, state: str) -> tuple[bool, str]:
        tags = [subject] if subject != "power" else [device.tag for device, _ in self.circuit.supplies]
        off = all(tag in self.position.off for tag in tags)
        word = "off" if off else "on"
        return word == state, word

    @property
    def doubtful(self) -> tuple[str, ...]:
        """Coils, by element id, whose volts lie between where they surely work and where they surely rest."""
        coils = (f"{device.tag}.{load.name}" for device in self.circuit.devices for load in device.loads if load.drives)
        return tuple(element for element in coils if self.solution.verdict(element) == "partial")

    def is_live(self, place: str) -> bool:
        """Whether a point or terminal has more than 5 V against a pole of some supply or against earth.

        A pole that is earthed is dead, whatever the other pole has against it.
        """
        earthed = self.solution.volts(place)
        if not earthed.floating:
            return earthed.effective > LIVE_V
        poles = (f"{device.tag}.{mark}" for device, source in self.circuit.supplies for mark in source.terminals)
        levels = (self.solution.volts(place, pole) for pole in poles)
        return any(not level.floating and level.effective > LIVE_V for level in levels)


def shown_loads(device: Device) -> tuple[Load, ...]:
    """The loads that one sees or hears working; its coils when there are none."""
    loads = tuple(load for load in device.loads if load.sort != "primary")
    return tuple(load for load in loads if not load.drives) or loads


def _own_family(device: Device) -> str:
    """The word that names the family in which a device is spoken of."""
    if device.motors:
        return "running"
    if device.mechanism.sort != "fixed":
        return _LIKE.get(device.mechanism.sort, "in")
    if any(isinstance(part, Fuse) for part in device.parts):
        return "blown"
    sorts = [load.sort for load in shown_loads(device)]
    return {"lamp": "lit", "sounder": "sounding", "coil": "in", "solenoid": "on"}.get(sorts[0] if sorts else "", "on")


_PAIRS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("in", "out", "moving"), ("in", "out")),
    **dict.fromkeys(("pressed", "released"), ("pressed", "released")),
    **dict.fromkeys(("made", "clear"), ("made", "clear")),
    **dict.fromkeys(("tripped", "reset"), ("tripped", "reset")),
    **dict.fromkeys(("on", "off"), ("on", "off")),
}
_LIKE = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
_LOAD_WORDS = {"lamp": ("lit", "dark", "dim"), "sounder": ("sounding", "silent", "hardly sounding")}
_LOAD_FAMILY = frozenset({"lit", "dark", "dim", "sounding", "silent", "hardly sounding", *ON_OFF})
