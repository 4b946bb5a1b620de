"""What a meter shows between two places of a panel at one moment, its own resistance included."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..behaviour import PanelState
from ..electrics import Joined, Level, Network, Position
from ..electrics.contraction import Groups
from ..electrics.solving import Settling
from .meters import Meter

LIVE_V = 0.5  # with more than this between the leads ohms cannot be read; common practice, no source
MOST_OHMS = 40e6  # a hand-held meter shows no more; common practice, no source
OPEN = "O.L"  # how meters show an open circuit
JOINED_OHMS = 1.0  # up to here two places count as joined; leads and contacts have some tenths; common practice
STRAY_FALLS_TO = 0.5  # volts that fall below this part under a low-resistance meter are stray; common practice


@dataclass(frozen=True, slots=True)
class Shown:
    """What a meter shows. `unit` "V", "ohm" or "A"; `value` in it, None for open or nothing defined.

    `kind`: "dc", "ac" or "". `text` as shown; `mind`: what to think of beside it, "" for nothing.
    """

    unit: str
    value: float | None
    text: str
    kind: str = ""
    mind: str = ""


def volts_shown(state: PanelState, a: str, b: str, meter: Meter) -> Shown:
    """Volts from `a` to `b` (terminals, "@4", a rail, "earth"). Raises UnknownPlace."""
    bare = state.solution.volts(a, b)
    inner = meter.inner_ohms(bare.effective)
    level = loaded(state, a, b, inner)
    mind = _mind(state, a, b, bare, level, inner)
    value = level.ac_effective if level.ac_effective > abs(level.dc) else level.dc
    kind = "" if abs(value) < 0.05 else "ac" if level.ac_effective > abs(level.dc) else "dc"
    if abs(value) < meter.least_v:
        value = 0.0 if meter.lamp or abs(value) < 0.05 else value
    if meter.lamp:
        return Shown("V", value, "lights" if value else "dark", kind, mind)
    return Shown("V", value, volts_text(value, kind), kind, mind)


def loaded(state: PanelState, a: str, b: str, inner_ohms: float) -> Level:
    """Volts with the resistance of the meter in place."""
    if state.network.node(a) == state.network.node(b):
        return Level()
    return state.network.edited([Joined(a, b, ohms=inner_ohms)]).solve(state.position).volts(a, b)


def _mind(state: PanelState, a: str, b: str, bare: Level, level: Level, inner: float) -> str:
    if bare.floating:
        if "earth" in (a, b):
            return "that supply is not joined to earth: a reading to earth says nothing; measure to its other pole"
        return "nothing joins the two places: stray volts may show on a high-resistance meter"
    if level.effective < STRAY_FALLS_TO * bare.effective and bare.effective > 1:
        return f"without the meter {volts_text(bare.effective)} stand there: nothing behind them, they fall under load"
    if level.effective > 1 and inner > 1e6:
        low = loaded(state, a, b, 3e3).effective
        if low < STRAY_FALLS_TO * level.effective:
            return f"stray volts: a low-resistance meter shows {volts_text(low)}"
    return ""


def volts_text(volts: float, kind: str = "") -> str:
    """ "24 V dc", "0 V"."""
    shown = f"{volts:.0f}" if abs(volts) >= 100 else f"{volts:.3g}" if abs(volts) >= 0.05 else "0"
    return f"{shown} V {kind}".rstrip()


def ohms_text(ohms: float | None) -> str:
    """ "650 ohm", "4.7 kohm", "O.L"."""
    if ohms is None or ohms > MOST_OHMS:
        return OPEN
    for limit, scale, unit in ((1e3, 1.0, "ohm"), (1e6, 1e3, "kohm")):
        if ohms < limit:
            return f"{ohms / scale:.3g} {unit}"
    return f"{ohms / 1e6:.3g} Mohm"


class Ohms:
    """Dc resistance between any two places of a network in one position, supplies off and taken as open.

    Diodes and polarised lamps count as open: the test volts of an ohmmeter are too low for a lamp, and a diode is
    read on its own range.
    """

    def __init__(self, network: Network, position: Position) -> None:
        supplies = frozenset(device.tag for device, _ in network.circuit.supplies)
        self.network = network
        self.settling = Settling(network.elements, replace(position, off=position.off | supplies))
        self.settling.conducting = set()

    @cached_property
    def _roots(self) -> list[int]:
        groups = Groups(self.settling.nodes)
        for switch in self.settling.joints:
            groups.tie(switch.a, switch.b, 0.0)
        return [groups.find(node) for node in range(self.settling.nodes)]

    @cached_property
    def _branches(self) -> list[tuple[int, int, float]]:
        found = []
        for a, b, siemens, _ in self.settling.branches(0.0).values():
            one, other = self._roots[a], self._roots[b]
            if one != other and siemens.real > 1e-10:
                found.append((one, other, siemens.real))
        return found

    @cached_property
    def _islands(self) -> dict[int, tuple[int, int]]:
        """Root to (island number, place in it)."""
        groups = Groups(self.settling.nodes)
        for a, b, _ in self._branches:
            groups.tie(a, b, 0.0)
        numbers: dict[int, int] = {}
        sizes: dict[int, int] = {}
        found: dict[int, tuple[int, int]] = {}
        for root in dict.fromkeys(n for a, b, _ in self._branches for n in (a, b)):
            number = numbers.setdefault(groups.find(root), len(numbers))
            found[root] = number, sizes.get(number, 0)
            sizes[number] = found[root][1] + 1
        return found

    @cached_property
    def _inverses(self) -> dict[int, np.ndarray]:
        sizes: dict[int, int] = {}
        for number, at in self._islands.values():
            sizes[number] = max(sizes.get(number, 0), at + 1)
        tables = {number: np.zeros((size, size)) for number, size in sizes.items()}
        for a, b, siemens in self._branches:
            number, i = self._islands[a]
            j = self._islands[b][1]
            table = tables[number]
            table[i, i] += siemens
            table[j, j] += siemens
            table[i, j] -= siemens
            table[j, i] -= siemens
        return {number: np.linalg.pinv(table, hermitian=True) for number, table in tables.items()}

    def between(self, a: str, b: str) -> float | None:
        """Ohms between two places; None when nothing joins them. Raises UnknownPlace."""
        one, other = self._roots[self.network.node(a)], self._roots[self.network.node(b)]
        if one == other:
            return 0.0
        if one not in self._islands or other not in self._islands:
            return None
        (number, i), (second, j) = self._islands[one], self._islands[other]
        if number != second:
            return None
        inverse = self._inverses[number]
        return float(inverse[i, i] + inverse[j, j] - 2 * inverse[i, j])

    def many(self, ones: np.ndarray, others: np.ndarray) -> np.ndarray:
        """Ohms between nodes, pair by pair; inf where nothing joins them, nan for a node of -1."""
        roots, numbers, places = self._by_node
        found = np.full(len(ones), np.inf)
        a, b = roots[ones], roots[others]
        joined = (numbers[a] == numbers[b]) & (numbers[a] >= 0)
        for number in np.unique(numbers[a[joined]]):
            here = joined & (numbers[a] == number)
            i, j = places[a[here]], places[b[here]]
            inverse = self._inverses[int(number)]
            found[here] = inverse[i, i] + inverse[j, j] - 2 * inverse[i, j]
        found[a == b] = 0.0
        found[(ones < 0) | (others < 0)] = np.nan
        return found

    @cached_property
    def _by_node(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """For each node its root, and for each root its island and the place in it, -1 for none."""
        numbers = np.full(self.settling.nodes, -1)
        places = np.full(self.settling.nodes, -1)
        for root, (number, place) in self._islands.items():
            numbers[root], places[root] = number, place
        return np.array(self._roots), numbers, places


def ohms_shown(state: PanelState, a: str, b: str, meter: Meter) -> Shown:
    """Ohms between two places, power off. Raises UnknownPlace."""
    supplies = {device.tag for device, _ in state.circuit.supplies}
    if supplies - state.position.off and state.solution.volts(a, b).effective > LIVE_V:
        return Shown("ohm", None, "not on live parts", "", "cut the power, lock it off, prove dead, then read ohms")
    ohms = Ohms(state.network, state.position).between(a, b)
    if meter.threshold_ohms:
        sounds = ohms is not None and ohms <= meter.threshold_ohms
        return Shown("ohm", ohms, "beeps" if sounds else "silent")
    return Shown("ohm", ohms, ohms_text(ohms))


def shown(state: PanelState, a: str, b: str, meter: Meter, unit: str = "") -> Shown:
    """What the meter shows: volts with the power on, ohms with it off, unless `unit` says which."""
    if not unit:
        dead = {device.tag for device, _ in state.circuit.supplies} <= state.position.off
        unit = "ohm" if "ohms" in meter.reads and (dead or "volts" not in meter.reads) else "V"
    return ohms_shown(state, a, b, meter) if unit == "ohm" else volts_shown(state, a, b, meter)
