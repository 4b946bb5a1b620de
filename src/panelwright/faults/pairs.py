"""Double faults: what a second fault does while a first one hides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Sentence, net_of
from ..wiring import Wiring
from .effects import SECONDS, Column, Effect, EffectMaker
from .fault_list import CircuitFault
from .proving import together
from .signatures import devices_of

MOST_PAIRS = 2000  # looked at
CONTACT_KINDS = ("contact-welded", "stuck-in", "conductor-earthed", "terminals-bridged", "hold-in-ahead")


@dataclass(frozen=True, slots=True)
class Pair:
    """Two faults at once, the first one hidden; `broken`: the promises that only both together break."""

    hidden: CircuitFault
    second: CircuitFault
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Pairs:
    """The dangerous pairs, hidden faults in their order. `looked`: how many were looked at; `left_out`: how many more
    there are; `apart`: pairs that no promise depends on together.
    """

    found: tuple[Pair, ...]
    looked: int
    left_out: int
    apart: int


def dangerous_pairs(
    wiring: Wiring, effects: Sequence[Effect], seconds: float = SECONDS, most: int = MOST_PAIRS
) -> Pairs:
    """Pairs that let a motion run that should be stopped, where neither fault alone does; hidden first ones only.

    The second is taken from the kinds that let current flow where none should. Pairs are looked at only for promises
    that depend on devices at both faults; at most `most`, the rest is counted.
    """
    maker = EffectMaker(wiring, seconds)
    columns = [column for column in maker.columns if column.asked and column.weight == "stop"]
    concerns = _Concerns(maker, columns)
    hidden = [e.fault for e in effects if e.danger == "hidden" and e.fault.kind != "assumption"]
    later = [e.fault for e in effects if e.fault.kind in CONTACT_KINDS and e.danger not in ("dangerous", "harmless")]
    listed = [(one, other) for one in hidden for other in later if one.id != other.id]
    near = [(one, other, both) for one, other in listed if (both := concerns.of(one) & concerns.of(other))]
    found = tuple(_broken(maker, [columns[at] for at in sorted(both)], a, b) for a, b, both in near[:most])
    dangerous = tuple(pair for pair in found if pair.broken)
    return Pairs(dangerous, len(found), len(near) - len(found), len(listed) - len(near))


def _broken(maker: EffectMaker, columns: Sequence[Column], first: CircuitFault, second: CircuitFault) -> Pair:
    broken = together(maker.bench, (first.fault, second.fault))
    texts = (column.promise.text for column in columns if maker.asked(column, broken).outcome == "broken")
    return Pair(first, second, tuple(texts))


class _Concerns:
    """Which promises depend on devices at a fault, sound or with the fault in."""

    def __init__(self, maker: EffectMaker, columns: Sequence[Column]) -> None:
        self.maker, self.columns = maker, columns
        self.sound = [devices_of(maker.bench.sound, column.promise) for column in columns]
        self._known: dict[str, set[int]] = {}

    def of(self, fault: CircuitFault) -> set[int]:
        """Columns by their place."""
        if fault.id not in self._known:
            touched = set(self._devices_at(fault))
            self._known[fault.id] = {
                at
                for at, column in enumerate(self.columns)
                if touched & (self.sound[at] | self._with(fault, column.promise))
            }
        return self._known[fault.id]

    def _with(self, fault: CircuitFault, promise: Sentence) -> set[str]:
        panels = self.maker.bench.broken(fault.fault).panels
        return set().union(*(devices_of(panel, promise) for panel in panels)) if panels else set()

    def _devices_at(self, fault: CircuitFault) -> Iterator[str]:
        """The device itself, and all that have a terminal on a net at the fault."""
        circuit, nets = self.maker.bench.circuit, net_of(self.maker.bench.circuit)
        for place in (fault.fault.subject, fault.fault.other):
            tag = place.partition(".")[0]
            if tag in circuit.by_tag:
                yield tag
            part = circuit.elements.get(place, (None, None))[1]
            ends = [f"{tag}.{end}" for end in (getattr(part, "a", ""), getattr(part, "b", ""))]
            for net in nets.values():
                named = place.removeprefix("@") in net.points or place in net.rails
                if named or not {place, *ends}.isdisjoint(net.terminals):
                    yield from (terminal.partition(".")[0] for terminal in net.terminals)


__all__ = ["Pair", "Pairs", "dangerous_pairs"]
