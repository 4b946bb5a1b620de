"""What came out: volts between any two places, amps in anything, and a verdict for every load, motor and supply."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from ..circuit import Circuit, Load, Motor
from .currents import joint_amps
from .edits import UnknownPlace, place
from .hanging import hanging_apart
from .motors import MotorAnswer, motor_answer
from .shorts import Overload, Short, overloads_in, shorts_in
from .solving import Settling

Verdict = Literal["full", "partial", "none"]
WORKS_FACTOR, RESTS_FACTOR = 0.85, 0.1  # of rated volts, where a load says nothing itself; common practice, no source


@dataclass(frozen=True, slots=True)
class Level:
    """Volts or amps: a dc part and one phasor (effective value) a frequency.

    `floating`: the two places have no path between them, so that the figure is not defined; the parts are then 0.
    """

    dc: float = 0.0
    ac: tuple[tuple[float, complex], ...] = ()
    floating: bool = False

    @property
    def ac_effective(self) -> float:
        """Effective value without the dc part, what a meter set to ac shows."""
        return math.hypot(*(abs(phasor) for _, phasor in self.ac))

    @property
    def effective(self) -> float:
        """Effective value of all parts together, never negative."""
        return math.hypot(self.dc, self.ac_effective)


@dataclass(frozen=True, slots=True)
class LoadAnswer:
    """One load. `acting_v`: the volts that count for it (dc part, ac part or both, by its kind).

    `verdict`: "full" at or above `works_v`, "none" at or below `rests_v`, "partial" between: it may do either.
    """

    element: str
    verdict: Verdict
    acting_v: float
    works_v: float
    rests_v: float
    volts: Level
    amps: Level


class Solution:
    """One contact position, solved. Everything beyond the node volts is computed when first asked for."""

    def __init__(self, settling: Settling, circuit: Circuit, wires: Mapping[int, tuple[tuple[str, str], ...]]) -> None:
        self._settling = settling
        self._elements = settling.elements
        self._circuit = circuit
        self._wires = wires
        self._verdicts: dict[str, Verdict] = {}

    @property
    def settled(self) -> bool:
        """False when no state of diodes and supplies fits (a relay would hum); the figures are then the last tried."""
        return self._settling.settled

    def volts(self, a: str, b: str = "earth") -> Level:
        """Volts at `a` against `b`: terminals, points ("@4"), rails or "earth". Raises UnknownPlace."""
        here, there = place(self._elements, a), place(self._elements, b)
        joined = self._joined
        if joined is not None and joined[here] != joined[there]:
            return Level(floating=True)
        return self._between(here, there)

    def are_apart(self, a: str, b: str) -> bool:
        """Whether nothing at all joins two places, not even a diode that blocks. Raises UnknownPlace."""
        here, there = place(self._elements, a), place(self._elements, b)
        return any(flow.section[here] != flow.section[there] for flow in self._settling.flows.values())

    @property
    def is_rectified(self) -> bool:
        """Whether diodes or polarised loads stand across ac, so that a whole cycle was solved."""
        return bool(self._settling.waves)

    @cached_property
    def _joined(self) -> tuple[int, ...] | None:
        """Numbers of what hangs together, by node, where that is less than the sections say; else None.

        What hangs behind a diode that carries nothing takes on volts through it only in its forward direction.
        """
        return hanging_apart(self._settling) if self._settling.blocking else None

    def _between(self, a: int, b: int) -> Level:
        flows = self._settling.flows
        if any(flow.section[a] != flow.section[b] for flow in flows.values()):
            return Level(floating=True)
        parts = {hertz: flow.volts[a] - flow.volts[b] for hertz, flow in flows.items()}
        return _level(parts)

    def across(self, element: str) -> Level:
        """Volts from the first to the second terminal of an element. Raises UnknownPlace."""
        ends = self._elements.ends.get(element)
        if ends is None or len(ends) != 2:
            raise UnknownPlace(element)
        return self.volts(*ends)

    def amps(self, element: str) -> Level:
        """Amps through an element, from its first to its second terminal; 0 for what does not conduct.

        In a supply they are counted inside it, so that they are negative while it gives.
        A motor with several windings has one element a winding ("M1.motor:1"). Raises UnknownPlace.
        """
        if element not in self._elements.ends and not self._elements.terminals(element)[0]:
            raise UnknownPlace(element)
        return _level({hertz: amps.get(element, 0.0) for hertz, amps in self._amps.items()})

    @cached_property
    def _amps(self) -> dict[float, dict[str, complex]]:
        settling = self._settling
        return {h: {**settling.branch_amps(h), **settling.bond_amps(h)} for h in settling.flows}

    def amps_in_wire(self, start: str, end: str) -> Level:
        """Amps in the wire between two terminals, from `start` to `end`. Raises UnknownPlace without such a wire."""
        node = place(self._elements, start)
        wires = [w for w in self._wires.get(node, ()) if self._elements.node_of.get(w[1]) == node]
        wanted = [i for i, wire in enumerate(wires) if set(wire) == {start, end}]
        if not wanted:
            raise UnknownPlace(f"wire from {start} to {end}")
        sign = 1 if wires[wanted[0]][0] == start else -1
        joints = [(a, b, 0.0) for a, b in wires]
        parts = {h: sign * joint_amps(joints, self._drawn_at(node, h))[wanted[0]] for h in self._amps}
        return _level(parts)

    def _drawn_at(self, node: int, hertz: float) -> dict[str, complex]:
        """Amps that leave a net into the parts at each of its terminals."""
        drawn: dict[str, complex] = {}
        amps = self._amps[hertz]
        for element in self._elements.all():
            flowing = amps.get(element.id, 0.0)
            if flowing and node in (element.a, element.b):
                first, last = self._elements.terminals(element.id)
                if element.a == node:
                    drawn[first] = drawn.get(first, 0.0) + flowing
                if element.b == node:
                    drawn[last] = drawn.get(last, 0.0) - flowing
        return drawn

    @cached_property
    def loads(self) -> dict[str, LoadAnswer]:
        """Every load by element id."""
        found = {}
        for device in self._circuit.devices:
            for load in device.loads:
                key = f"{device.tag}.{load.name}"
                found[key] = self._answer(key, load)
        return found

    def load(self, element: str) -> LoadAnswer:
        """One load by element id. Raises UnknownPlace."""
        if element not in self._circuit.elements:
            raise UnknownPlace(element)
        part = self._circuit.elements[element][1]
        if not isinstance(part, Load):
            raise UnknownPlace(element)
        return self._answer(element, part)

    def verdict(self, element: str) -> Verdict:
        """The verdict on one load by element id, without its amps (quick). Raises UnknownPlace."""
        found = self._verdicts.get(element)
        if found is None:
            part = self._circuit.elements.get(element, (None, None))[1]
            if not isinstance(part, Load):
                raise UnknownPlace(element)
            found = self._judge(element, self._acting(element, part, self.across(element)), *working_volts(part))
            self._verdicts[element] = found
        return found

    def _acting(self, key: str, load: Load, volts: Level) -> float:
        """The volts that count; on rectified ac a polarised load has them only while it conducts."""
        if load.polarised and self.is_rectified:
            return max(self.amps(key).dc * load.ohms, 0.0)
        return acting_volts(load, volts)

    def _judge(self, key: str, acting_v: float, works_v: float, rests_v: float) -> Verdict:
        broken = key not in self._elements.consumers
        if broken or acting_v <= rests_v * (1 + 1e-9) + 1e-9:
            return "none"
        return "full" if acting_v >= works_v * (1 - 1e-9) else "partial"

    def _answer(self, key: str, load: Load) -> LoadAnswer:
        volts = self.across(key)
        acting_v = self._acting(key, load, volts)
        works_v, rests_v = working_volts(load)
        verdict = self._judge(key, acting_v, works_v, rests_v)
        return LoadAnswer(key, verdict, acting_v, works_v, rests_v, volts, self.amps(key))

    @cached_property
    def motors(self) -> dict[str, MotorAnswer]:
        """Every motor by element id."""
        found = {}
        for device in self._circuit.devices:
            for motor in device.motors:
                found[f"{device.tag}.{motor.name}"] = self.motor(f"{device.tag}.{motor.name}")
        return found

    def motor(self, element: str) -> MotorAnswer:
        """One motor by element id. Raises UnknownPlace."""
        part = self._circuit.elements.get(element, (None, None))[1]
        if not isinstance(part, Motor):
            raise UnknownPlace(element)
        return motor_answer(self._settling, element, part)

    @cached_property
    def shorts(self) -> tuple[Short, ...]:
        """Supplies that are shorted, or set against one another, in this position."""
        return shorts_in(self._settling)

    @cached_property
    def overloads(self) -> tuple[Overload, ...]:
        """Fuses and supplies that carry more than their rating, the worst first."""
        return overloads_in(self._settling)

    @property
    def blows(self) -> str:
        """The fuse that opens first: the weakest in the path of a short, else the worst overloaded; "" for none."""
        for short in self.shorts:
            if short.fuse:
                return short.fuse
        return next((overload.element for overload in self.overloads if overload.blows), "")


def _level(parts: dict[float, complex]) -> Level:
    dc = complex(parts.get(0.0, 0.0)).real
    return Level(dc, tuple((hertz, complex(value)) for hertz, value in parts.items() if hertz))


def acting_volts(load: Load, volts: Level) -> float:
    """The volts that count for a load: its own kind of current; for a polarised one only the right way round."""
    if load.polarised:
        return max(volts.dc, 0.0)
    if load.current == "dc":
        return abs(volts.dc)
    return volts.ac_effective if load.current == "ac" else volts.effective


def working_volts(load: Load) -> tuple[float, float]:
    """Volts at which a load surely works and surely rests."""
    if load.works_v:
        return load.works_v, load.rests_v
    return load.rated_v * WORKS_FACTOR, load.rated_v * RESTS_FACTOR
