"""A dead panel on the bench: how it may be held, what an ohmmeter reads then, and what every mistake makes of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..behaviour import Injected, inject
from ..circuit import Circuit, Contact, Device, Do, Fault, Fuse
from ..electrics import DeviceState, Network, Position, UnknownPlace, position_of, rest_state
from ..wiring import Wiring
from .causes import Cause
from .probing import MOST_OHMS, Ohms
from .situations import DEAD, Situation, inputs

BASE = "fuses out, breakers and switches off"
ALL_IN = "all fuses in, all breakers and switches on"
WORKED, REST = DeviceState("operated", "operated"), DeviceState("rest", "rest")


@dataclass(frozen=True, slots=True)
class ColdPosition:
    """A dead panel: `held` says what is done to it, "" for nothing, and tells positions apart; `tag` to what."""

    situation: Situation
    position: Position
    held: str = ""
    tag: str = ""


Probe = tuple[ColdPosition, str, str]
Pairs = tuple[tuple[str, str], ...]


class ColdBench:
    """A dead panel and every wiring mistake in it, as resistances.

    Everything is read with the fuse links out, breakers and switches off, so that as little as can be lies in
    parallel and no fuse hides that it is bridged.
    """

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit: Circuit = wiring.circuit
        self.network = Network(wiring)
        self.links = tuple(d.tag for d in self.circuit.devices if has_link(d))
        self.switches = tuple(d.tag for d in self.circuit.devices if d.mechanism.sort == "switch")
        self._sound: dict[str, Ohms] = {}
        self._expected: dict[tuple[str, Pairs], np.ndarray] = {}
        self._networks: dict[str, Network | None] = {}
        self._wrong: dict[tuple[str, str], Ohms | None] = {}

    @cached_property
    def base(self) -> ColdPosition:
        """Nothing held, all fuses out, all breakers and switches off."""
        out = tuple(Do("take-out", (tag,)) for tag in self.links)
        off = tuple(Do("switch-off", (tag,)) for tag in self.switches)
        situation = DEAD.then(BASE, *out, *off) if out or off else DEAD
        return ColdPosition(situation, self.position({}, frozenset((*self.links, *self.switches))))

    @cached_property
    def positions(self) -> tuple[ColdPosition, ...]:
        """The base; from there each device worked by hand, each fuse in, each breaker on; last, everything in."""
        return (self.base, *self._worked(), *self._put_in(), self.everything_in)

    @cached_property
    def everything_in(self) -> ColdPosition:
        """All fuses in, all breakers and switches on: what lies one behind the other is one conductor."""
        held = ALL_IN if self.links or self.switches else ""
        return ColdPosition(DEAD, self.position({}, frozenset()), held)

    def _worked(self) -> Iterator[ColdPosition]:
        for device, verb, _, value, word in inputs(self.circuit):
            if verb != "switch-off":
                state = DeviceState(at=value) if value else WORKED
                yield self._held(f"{device.tag} {word}", Do(verb, (device.tag,), value), state)
        for device in self.circuit.devices:
            if any(load.drives for load in device.loads) and device.contacts:
                yield self._held(f"{device.tag} pushed in by hand", Do("push-in", (device.tag,)), WORKED)

    def _held(self, words: str, step: Do, state: DeviceState) -> ColdPosition:
        (tag,) = step.targets
        out = frozenset((*self.links, *self.switches))
        return ColdPosition(self.base.situation.then(words, step), self.position({tag: state}, out), words, tag)

    def _put_in(self) -> Iterator[ColdPosition]:
        out = frozenset((*self.links, *self.switches))
        for verb, word, tags in (("renew", "in", self.links), ("switch-on", "on", self.switches)):
            for tag in tags:
                situation = self.base.situation.then(f"{tag} {word}", Do(verb, (tag,)))
                yield ColdPosition(situation, self.position({}, out - {tag}), f"{tag} {word}", tag)

    def position(self, states: dict[str, DeviceState], out: frozenset[str]) -> Position:
        """Contacts in these states; the fuse links and switches of `out` open."""
        stands = {device.tag: rest_state(device) for device in self.circuit.devices} | states
        stands |= {tag: REST for tag in self.switches if tag in out}
        supplies = frozenset(device.tag for device, _ in self.circuit.supplies)
        bare = position_of(self.circuit, stands)
        poles = {f"{tag}.{p.name}" for tag in out for p in self.circuit.by_tag[tag].parts if isinstance(p, Fuse)}
        return Position(bare.closed, bare.blown | poles, supplies)

    def at(self, situation: Situation | None) -> ColdPosition | None:
        """The position of a situation."""
        return self._by_situation.get(situation) if situation is not None else None

    @cached_property
    def _by_situation(self) -> dict[Situation, ColdPosition]:
        return {one.situation: one for one in reversed(self.positions)}

    def is_closed(self, at: ColdPosition, device: Device, part: Contact | Fuse) -> bool:
        """Whether a contact, fuse or pole conducts there."""
        element = f"{device.tag}.{part.name}"
        return element not in at.position.blown if isinstance(part, Fuse) else element in at.position.closed

    # -- what is read ----------------------------------------------------------------------------------------------

    def ohms(self, at: ColdPosition, a: str, b: str) -> float | None:
        """Of the sound panel; None for open."""
        return _clipped(self._sound_ohms(at).between(a, b))

    def ohms_around(self, at: ColdPosition, a: str, b: str) -> float | None:
        """Ohms between two terminals of one net if `a` hung on its own: what a buzzer would hear without the wires."""
        lifted = Cause(f"lifted {a}", "", "", "", (Fault("lifted", a),), 1.0, 1.0)
        ohms = self._wrong_ohms(lifted, at)
        try:
            return _clipped(ohms.between(a, b)) if ohms is not None else None
        except UnknownPlace:
            return None

    def can_be_put_in(self, cause: Cause) -> bool:
        """Whether a cause changes anything in this panel."""
        return self._edited(cause) is not None

    def tells(self, cause: Cause, at: ColdPosition, a: str, b: str) -> bool:
        """Whether this reading shows this cause for sure."""
        return bool(self._told(cause, at, ((a, b),))[0])

    def missed_by(self, probes: Iterable[Probe], causes: Iterable[Cause]) -> list[Cause]:
        """The causes that none of these readings shows."""
        left = list(causes)
        for at, pairs in _by_position(probes):
            left = [cause for cause in left if not self._told(cause, at, pairs).any()]
        return left

    def shown_by(self, probes: Iterable[Probe], causes: Iterable[Cause]) -> dict[Probe, frozenset[str]]:
        """For each reading the ids of the causes that it shows."""
        causes = tuple(causes)
        found: dict[Probe, set[str]] = {}
        for at, pairs in _by_position(probes):
            shown = [found.setdefault((at, a, b), set()) for a, b in pairs]
            for cause in causes:
                for index in np.flatnonzero(self._told(cause, at, pairs)):
                    shown[index].add(cause.id)
        return {probe: frozenset(ids) for probe, ids in found.items()}

    def _told(self, cause: Cause, at: ColdPosition, pairs: Pairs) -> np.ndarray:
        """For each pair of places whether a reading there shows a cause for sure."""
        key = at.held, pairs
        if key not in self._expected:
            self._expected[key] = _many(self._sound_ohms(at), pairs)
        wrong = self._wrong_ohms(cause, at)
        return np.zeros(len(pairs), bool) if wrong is None else differ(self._expected[key], _many(wrong, pairs))

    def _sound_ohms(self, at: ColdPosition) -> Ohms:
        if at.held not in self._sound:
            self._sound[at.held] = Ohms(self.network, at.position)
        return self._sound[at.held]

    def _wrong_ohms(self, cause: Cause, at: ColdPosition) -> Ohms | None:
        key = cause.id, at.held
        if key not in self._wrong:
            network = self._edited(cause)
            self._wrong[key] = Ohms(network, at.position) if network else None
        return self._wrong[key]

    def _edited(self, cause: Cause) -> Network | None:
        """The network with a cause in it; None when it changes nothing there."""
        if cause.id not in self._networks:
            self._networks[cause.id] = self._edit(cause)
        return self._networks[cause.id]

    def _edit(self, cause: Cause) -> Network | None:
        edits = []
        for fault in cause.faults:
            injected = inject(self.circuit, fault)
            if not isinstance(injected, Injected):
                return None
            edits += list(injected.edits)
        try:
            return self.network.edited(edits) if edits else None
        except UnknownPlace:
            return None


def _by_position(probes: Iterable[Probe]) -> Iterator[tuple[ColdPosition, Pairs]]:
    """Readings that are taken in one position together, in the order in which the positions come."""
    found: dict[str, tuple[ColdPosition, dict[tuple[str, str], None]]] = {}
    for at, a, b in probes:
        found.setdefault(at.held, (at, {}))[1][a, b] = None
    for at, pairs in found.values():
        yield at, tuple(pairs)


def _many(ohms: Ohms, pairs: Pairs) -> np.ndarray:
    node_of = ohms.network.elements.node_of
    ones, others = (np.array([node_of.get(pair[end], -1) for pair in pairs], int) for end in (0, 1))
    return ohms.many(ones, others)


def differ(expected: np.ndarray, read: np.ndarray) -> np.ndarray:
    """Whether readings differ for sure: by a factor of two, or one of them open or joined. Never for nan."""
    one, other = (np.clip(ohms, 1.0, MOST_OHMS) for ohms in (expected, read))
    return np.asarray(np.maximum(one, other) > 2 * np.minimum(one, other) + 1)


def has_link(device: Device) -> bool:
    """Whether it has a fuse that can be taken out."""
    return device.mechanism.sort != "switch" and any(isinstance(p, Fuse) and not p.resettable for p in device.parts)


def _clipped(ohms: float | None) -> float | None:
    return None if ohms is None or ohms > MOST_OHMS else ohms
