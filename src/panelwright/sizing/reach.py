"""Which loads can be on together, and which coils pull in together: over everything that the panel can reach.

From rest, one thing at a time is done that a hand, the plant, a timer or the mains can do; then everything that wants
to move moves, together or any of it ahead of the rest, until nothing does. Coils whose armatures can be open at the
same time therefore count together, and a small panel is walked through to its end. Where there are too many states, a
safe over-estimate takes its place and says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from ..circuit import Circuit, Device, Load
from ..electrics import Network, Position
from ..electrics.device_gates import position_input, timed_input
from ..electrics.standing import Standings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.int64]
    Flags = NDArray[np.bool_]

MOST_STATES = 120_000
MOST_BITS = 62
HAND = ("push", "latched push", "field", "trip")
FOLLOWS = ("relay", "on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta")
STARTS_TIMED = ("interval", "flasher", "off-delay", "off-delay without supply")  # timed contacts move with the coil
OFF_DELAYS = ("off-delay", "off-delay without supply")


@dataclass(frozen=True, slots=True)
class Moment:
    """One moment. `held`: loads that are on; `pulling`: coils that are on and have not pulled in yet.

    `lasts`: nothing wants to move, so that it may stay so for good.
    `standing`: where every device stands, by name of input; empty in an over-estimate, where nothing was reached.
    """

    held: frozenset[str]
    pulling: frozenset[str]
    standing: Mapping[str, bool]
    lasts: bool = True


@dataclass(frozen=True, slots=True)
class Reach:
    """Every different moment. `exact` is False for an over-estimate; `states`: how many were walked through."""

    moments: tuple[Moment, ...]
    exact: bool
    states: int


class _TooLarge(Exception):
    """More states than can be walked through."""


def reach_of(standings: Standings, weights: Mapping[str, tuple[float, float]], most: int = MOST_STATES) -> Reach:
    """What can be on together among the loads of `weights` (element id to VA held and VA pulling in).

    `standings`: of the panel with every disconnect on. `most`: states after which an over-estimate is made instead.
    """
    try:
        return _Walk(standings, tuple(weights), most).reach()
    except _TooLarge:
        return _over_estimate(standings, weights)


def _over_estimate(standings: Standings, weights: Mapping[str, tuple[float, float]]) -> Reach:
    """The heaviest settled standing, reached or not; and the heaviest standing of any kind with every coil pulling."""
    held = standings.most({element: va for element, (va, _) in weights.items()})
    most = standings.most({element: max(pair) for element, pair in weights.items()}, settled=False)
    pulling = frozenset(element for element in most if weights[element][1] > weights[element][0])
    moments = (Moment(held, frozenset(), {}), Moment(most - pulling, pulling, {}))
    return Reach(moments, exact=False, states=0)


class _Walk:
    """States are whole numbers, a bit for each input of the gate program and for each load that remembers."""

    def __init__(self, standings: Standings, wanted: tuple[str, ...], most: int) -> None:
        self.standings = standings
        self.circuit: Circuit = standings.circuit
        self.network: Network = standings.network
        self.program = standings.program
        self.wanted = wanted
        self.most = most
        if len(wanted) > MOST_BITS or len(self.bits) > MOST_BITS:
            raise _TooLarge

    # ---- bits
    @cached_property
    def inputs(self) -> tuple[str, ...]:
        """Inputs that the wanted loads depend on, directly or through relays."""
        gates, elements = self.program.gates, set(self.wanted)
        while True:
            literals = [t[e] for e in elements for t in (self.program.full, self.program.may) if e in t]
            inputs = gates.inputs_of(literals)
            tags = {name.split(":")[0].split("=")[0] for name in inputs} | {e.partition(".")[0] for e in elements}
            coils = {f"{tag}.{c.name}" for tag in tags if (d := self.circuit.by_tag.get(tag)) for c in _coils(d)}
            if coils <= elements:
                return inputs
            elements |= coils

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """Devices that the inputs belong to, and those of the wanted loads."""
        tags = {name.split(":")[0].split("=")[0] for name in self.inputs} | {e.partition(".")[0] for e in self.wanted}
        return tuple(device for device in self.circuit.devices if device.tag in tags)

    @cached_property
    def bits(self) -> dict[str, int]:
        """Name of an input, coil device or remembering load to its bit."""
        names = [*self.inputs, *(d.tag for d in self.devices if d.mechanism.sort in FOLLOWS)]
        names += [element for element, device, _ in self._loads if device.mechanism.sort not in FOLLOWS]
        return {name: at for at, name in enumerate(dict.fromkeys(names))}

    @cached_property
    def _loads(self) -> tuple[tuple[str, Device, Load], ...]:
        """The loads looked at: the wanted ones and the coils of all devices on the way."""
        found = [(f"{d.tag}.{c.name}", d, c) for d in self.devices for c in d.loads]
        coils = {f"{d.tag}.{c.name}" for d in self.devices for c in _coils(d)}
        return tuple(one for one in found if one[0] in coils or one[0] in self.wanted)

    def remembers(self, element: str) -> str:
        """The bit that says whether a coil has pulled in."""
        tag = element.partition(".")[0]
        return tag if self.circuit.by_tag[tag].mechanism.sort in FOLLOWS else element

    def start(self) -> int:
        """Everything at rest, supplies on."""
        at_rest = self.defaults
        return sum(1 << at for name, at in self.bits.items() if at_rest.get(name, False))

    @cached_property
    def defaults(self) -> dict[str, bool]:
        """Every input of the program as it is before anything is done."""
        found = {name: name.startswith("supply:") for name in self.program.gates.inputs}
        for device in self.circuit.devices:
            mechanism = device.mechanism
            if mechanism.sort == "switch":
                found[device.tag] = mechanism.start == "on"
            for position in mechanism.positions:
                found[position_input(device.tag, position)] = position == mechanism.start
        return found

    # ---- values
    def _values(self, states: Numbers, literals: list[int]) -> Flags:
        """Values of literals, shape (literals, states): gate by gate, all states at once.

        In numpy and not by the compiled loop: a walk has few gates, and loading the compiler takes longer than it.
        """
        import numpy as np

        gates, at_rest = self.program.gates, self.defaults
        value: dict[int, Flags] = {0: np.zeros(len(states), dtype=bool)}
        for name, node in zip(gates.inputs, gates.input_nodes, strict=True):
            if node in self._cone:
                held = np.full(len(states), at_rest.get(name, False))
                value[node] = self._bit(states, name) if name in self.bits else held
        for node, left, right in self._gates:
            value[node] = (value[left >> 1] ^ bool(left & 1)) & (value[right >> 1] ^ bool(right & 1))
        return np.array([value[literal >> 1] ^ bool(literal & 1) for literal in literals])

    @cached_property
    def _literals(self) -> list[int]:
        """Full of every load looked at, then may of every one."""
        names = [element for element, _, _ in self._loads]
        return [table[name] for table in (self.program.full, self.program.may) for name in names]

    @cached_property
    def _cone(self) -> set[int]:
        return self.program.gates.cone(self._literals)

    @cached_property
    def _gates(self) -> list[tuple[int, int, int]]:
        return list(self.program.gates.walk(self._literals))

    # ---- walking
    def reach(self) -> Reach:
        """Walk to the end. Raises: _TooLarge."""
        import numpy as np

        known = np.array([self.start()], np.int64)
        frontier = known
        seen: dict[tuple[int, int, int], int] = {}
        while len(frontier):
            full, may = self._fed(frontier)
            moved = self._moved(frontier, full, may)
            self._note(frontier, full, moved == frontier, seen)
            settled = frontier[moved == frontier]
            following = np.unique(np.concatenate([moved, *self._alone(frontier, moved), *self._done(settled)]))
            frontier = np.setdiff1d(following, known, assume_unique=True)
            known = np.union1d(known, frontier)
            if len(known) > self.most:
                raise _TooLarge
        moments = tuple(self._moment(*key, state) for key, state in seen.items())
        return Reach(moments, exact=True, states=len(known))

    def _fed(self, states: Numbers) -> tuple[dict[str, Flags], dict[str, Flags]]:
        names = [element for element, _, _ in self._loads]
        values = self._values(states, self._literals)
        count = len(names)
        return dict(zip(names, values[:count], strict=True)), dict(zip(names, values[count:], strict=True))

    def _bit(self, states: Numbers, name: str) -> Flags:
        found: Flags = (states >> self.bits[name] & 1).astype(bool)
        return found

    def _note(
        self, states: Numbers, full: dict[str, Flags], lasts: Flags, seen: dict[tuple[int, int, int], int]
    ) -> None:
        """Remember which loads are held and which pull in, with a state that shows it."""
        import numpy as np

        held, pulling = np.zeros_like(states), np.zeros_like(states)
        for at, element in enumerate(self.wanted):
            if element not in full:
                continue
            was = self._bit(states, self.remembers(element))
            held |= (full[element] & was).astype(np.int64) << at
            pulling |= (full[element] & ~was).astype(np.int64) << at
        keys, where = np.unique(np.stack([held, pulling, lasts]), axis=1, return_index=True)
        for a, b, c, at in zip(*keys.tolist(), where.tolist(), strict=True):
            seen.setdefault((a, b, c), int(states[at]))

    def _moment(self, held: int, pulling: int, lasts: int, state: int) -> Moment:
        names = {name: bool(state >> at & 1) for name, at in self.bits.items()}
        standing = {name: names.get(name, value) for name, value in self.defaults.items()}
        return Moment(self._among(held), self._among(pulling), standing, bool(lasts))

    def _among(self, bits: int) -> frozenset[str]:
        return frozenset(element for at, element in enumerate(self.wanted) if bits >> at & 1)

    def _moved(self, states: Numbers, full: dict[str, Flags], may: dict[str, Flags]) -> Numbers:
        """The states after everything that wants to move has moved once."""
        following = states.copy()
        blocked = self._blocked(states)
        for device in self.devices:
            coils = [f"{device.tag}.{c.name}" for c in _coils(device)]
            if not coils or device.tag not in self.bits:
                continue
            was = self._bit(states, device.tag)
            now = self._stands(device, states, was, full, may)
            if device.tag in blocked:
                now &= was | ~blocked[device.tag]
            following = _with(following, self.bits[device.tag], now)
            timed = self.bits.get(timed_input(device.tag))
            if timed is not None:
                following = _with(
                    following, timed, _timed(device, was, now, self._bit(states, timed_input(device.tag)))
                )
        for element, device, _ in self._loads:
            if device.mechanism.sort not in FOLLOWS:
                following = _with(following, self.bits[element], full[element])
        return following

    def _alone(self, states: Numbers, moved: Numbers) -> Iterable[Numbers]:
        """One device or coil ahead of all others that want to move: which is the quickest is not known."""
        differing = states ^ moved
        for bits in self._movers:
            ahead = differing & bits != 0
            if ahead.any():
                yield (states ^ (differing & bits))[ahead]

    @cached_property
    def _movers(self) -> tuple[int, ...]:
        """The bits that move as one: a device with its timed contacts, or a load that remembers."""
        found: dict[str, int] = {}
        for name, at in self.bits.items():
            found[name.split(":")[0]] = found.get(name.split(":")[0], 0) | 1 << at
        return tuple(found.values())

    def _stands(
        self, device: Device, states: Numbers, was: Flags, full: dict[str, Flags], may: dict[str, Flags]
    ) -> Flags:
        by_use = {coil.drives: f"{device.tag}.{coil.name}" for coil in _coils(device)}
        sort = device.mechanism.sort
        if sort == "latching":
            return (was | full[by_use["set"]]) & ~full[by_use["reset"]] if "reset" in by_use else was
        if sort in ("impulse", "alternating"):
            coil = next(iter(by_use.values()))
            before = self._bit(states, coil)
            return was ^ (full[coil] & ~before if sort == "impulse" else before & ~full[coil])
        coil = next(iter(by_use.values()))
        return full[coil] | (may[coil] & was)

    def _blocked(self, states: Numbers) -> dict[str, Flags]:
        """Devices held out by the one they are interlocked with mechanically."""
        found: dict[str, Flags] = {}
        for one, other in self.circuit.interlocks:
            for tag, against in ((one, other), (other, one)):
                if tag in self.bits and against in self.bits:
                    before = self._bit(states, against)
                    found[tag] = found[tag] | before if tag in found else before
        return found

    def _done(self, states: Numbers) -> Iterable[Numbers]:
        """What hands, plant, supplies and timers can make of settled states, one thing at a time."""
        for device in self.devices:
            sort = device.mechanism.sort
            if device.mechanism.positions:
                yield from self._turned(states, device)
            elif (sort in HAND or (sort == "switch" and device.mechanism.start == "off")) and device.tag in self.bits:
                yield states ^ (1 << self.bits[device.tag])
            if timed_input(device.tag) in self.bits and device.tag in self.bits:
                yield self._run_out(states, device)
        for name in self.root_supplies:
            yield states ^ (1 << self.bits[name])

    @cached_property
    def root_supplies(self) -> tuple[str, ...]:
        """Supplies that live from no other one."""
        feeds = self.network.elements.feeds.values()
        roots = dict.fromkeys(f"supply:{feed.tag}" for feed in feeds if not feed.primary)
        return tuple(name for name in roots if name in self.bits)

    def _turned(self, states: Numbers, device: Device) -> Iterable[Numbers]:
        names = [position_input(device.tag, position) for position in device.mechanism.positions]
        places = [self.bits[name] for name in names if name in self.bits]
        empty = states & ~sum(1 << at for at in places)
        yield from (empty | (1 << at) for at in places)
        yield empty

    def _run_out(self, states: Numbers, device: Device) -> Numbers:
        """States in which the time of a timer runs out."""
        op, timed = self._bit(states, device.tag), self._bit(states, timed_input(device.tag))
        sort = device.mechanism.sort
        runs = ~op & timed if sort in OFF_DELAYS else op & timed if sort == "interval" else op & ~timed
        if sort == "flasher":
            runs = op
        return _with(states, self.bits[timed_input(device.tag)], ~timed)[runs]


def _coils(device: Device) -> tuple[Load, ...]:
    return tuple(load for load in device.loads if load.drives)


def _with(states: Numbers, bit: int, value: Flags) -> Numbers:
    import numpy as np

    found: Numbers = (states & ~np.int64(1 << bit)) | (value.astype(np.int64) << bit)
    return found


def _timed(device: Device, was: Flags, now: Flags, timed: Flags) -> Flags:
    """The timed contacts of a timer, at once after its coil."""
    sort = device.mechanism.sort
    if sort in OFF_DELAYS:
        return now | timed
    starts = now & ~was
    return (now & timed & ~starts) | (starts if sort in STARTS_TIMED else starts & False)


def position_at(standings: Standings, moment: Moment) -> Position:
    """The contact position of a moment, for the electrical solution."""
    return standings.position(moment.standing)
