"""A walk through a panel as an operator would try it, sound and with a fault: what looks or sounds different.

One course of presses with nominal times, not a proof: what it does not show may still show in another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..behaviour import Run, UnclearPlace
from ..circuit import Circuit, Device, Do, Fault
from ..electrics import Network
from .places import HAND, TIMERS

ON = {"push": "press", "latched push": "press", "field": "make", "trip": "trip"}
OFF = {"push": "release", "latched push": "release", "field": "clear", "trip": "reset"}
DIP_S = 1.0
MOST_WORKED = 40  # hand and plant devices; on larger panels the first so many


@dataclass(frozen=True, slots=True)
class Glimpse:
    """The first thing that shows: after which step, and what is seen in place of what."""

    after: str
    what: str

    @property
    def text(self) -> str:
        """In words."""
        return f"{self.after}: {self.what}"


Sight = dict[str, str]  # tag to what can be seen of it


class OperatorWalk:
    """A sound panel walked once, to compare with."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.circuit = network.circuit
        self.visible = visible_of(self.circuit)
        self.steps = tuple(_steps(self.circuit))
        self.sound = list(self._sights(None))

    def glimpse(self, fault: Fault) -> Glimpse | None:
        """The first thing that a fault shows, None when the walk shows nothing."""
        for step, sound, sight in zip(
            ("at rest", *map(_said, self.steps)), self.sound, self._sights(fault), strict=False
        ):
            different = [(tag, word) for tag, word in sight.items() if word != sound.get(tag, "")]
            if different:
                return Glimpse(step, ", ".join(_seen(tag, word, sound.get(tag, "")) for tag, word in different[:3]))
        return None

    def _sights(self, fault: Fault | None) -> Iterator[Sight]:
        run = Run(self.network)
        if fault is not None:
            run.put_in(fault)
        pause_s = max((_delay_s(device) for device in self.circuit.devices), default=0.0)
        for step in (None, *self.steps):
            if step is not None:
                try:
                    run.do(step)
                except UnclearPlace:
                    continue
            if pause_s:
                run.advance(pause_s)
            yield self._sight(run)

    def _sight(self, run: Run) -> Sight:
        state = run.state
        sight = {tag: state.word(tag, kind) for tag, kind in self.visible}
        if run.shorts:
            sight["a supply"] = "shorted"
        if run.buzz is not None:
            sight["relays"] = "buzzing"
        return sight


def visible_of(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """Tags that can be seen or heard, with the kind of word for each; contactors in a panel without lamps or motors."""
    found: list[tuple[str, str]] = []
    for device in circuit.devices:
        sorts = [load.sort for load in device.loads if not load.drives]
        if device.motors:
            found.append((device.tag, "running"))
        elif "lamp" in sorts:
            found.append((device.tag, "lit"))
        elif "sounder" in sorts:
            found.append((device.tag, "sounding"))
        elif any(sort in ("solenoid", "coil") for sort in sorts):
            found.append((device.tag, ""))
    motors = any(device.motors for device in circuit.devices)
    if not motors:
        found += [(d.tag, "") for d in circuit.devices if d.kind in ("contactor", "latched breaker")]
    return tuple(found or ((d.tag, "") for d in circuit.devices if any(load.drives for load in d.loads)))


def _delay_s(device: Device) -> float:
    moves = device.mechanism
    return 1.1 * moves.delay_s + moves.delay_tolerance_s + 0.1 if moves.sort in TIMERS else 0.0


def _steps(circuit: Circuit) -> Iterator[Do]:
    """Start everything; stop and start it by each stop in turn; make and clear each switch; dip the power."""
    worked = [d for d in circuit.devices if d.mechanism.sort in ON and d.contacts][:MOST_WORKED]
    stops = [d for d in worked if any(c.form == "nc" for c in d.contacts)]
    starts = [d for d in worked if d not in stops]
    selectors = [d for d in circuit.devices if d.mechanism.positions]
    for turn in (starts, starts[::-1]):
        yield from _worked_in_turn(turn)
        for stop in stops:
            yield Do(ON[stop.mechanism.sort], (stop.tag,))
            yield from _worked_in_turn([d for d in turn if d.mechanism.sort in HAND])
            yield Do(OFF[stop.mechanism.sort], (stop.tag,))
            yield from _worked_in_turn([d for d in turn if d.mechanism.sort in HAND])
        for device in turn:
            if device.mechanism.sort == "field":
                yield Do("clear", (device.tag,))
    for selector in selectors:
        for position in (*selector.mechanism.positions, selector.mechanism.start):
            yield Do("turn", (selector.tag,), position)
            yield from _worked_in_turn(starts)
    yield Do("power-off", (), seconds=DIP_S)


def _worked_in_turn(devices: list[Device]) -> Iterator[Do]:
    """Buttons pressed and let go, switches of the plant made."""
    for device in devices:
        yield Do(ON[device.mechanism.sort], (device.tag,))
        if device.mechanism.sort == "push":
            yield Do("release", (device.tag,))


def _said(step: Do) -> str:
    if step.verb == "power-off":
        return "after a power dip"
    return f"after {step.verb} {step.targets[0]}{f' to {step.value}' if step.value else ''}"


def _seen(tag: str, word: str, instead: str) -> str:
    return f"{tag} {word}, not {instead}" if instead else f"{tag} {word}"
