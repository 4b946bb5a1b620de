"""Double faults: what a second fault does while a first one hides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..wiring import Wiring
from .effects import SECONDS, Column, Effect, EffectMaker
from .fault_list import CircuitFault
from .proving import together

MOST_PAIRS = 2000
CONTACT_KINDS = ("contact-welded", "stuck-in", "conductor-earthed", "terminals-bridged", "hold-in-ahead")


@dataclass(frozen=True, slots=True)
class Pair:
    """Two faults at once, the first one hidden; `broken`: the promises that only both together break."""

    hidden: CircuitFault
    second: CircuitFault
    broken: tuple[str, ...]


def dangerous_pairs(wiring: Wiring, effects: Sequence[Effect], seconds: float = SECONDS) -> Iterator[Pair]:
    """Pairs that let a motion run that should be stopped, where neither fault alone does; hidden first ones only.

    The second is taken from the kinds that let current flow where none should; at most MOST_PAIRS are looked at.
    """
    maker = EffectMaker(wiring, seconds)
    hidden = [e for e in effects if e.danger == "hidden" and e.fault.kind != "assumption"]
    seconds_ = [e for e in effects if e.fault.kind in CONTACT_KINDS and e.danger not in ("dangerous", "harmless")]
    looked = 0
    for first in hidden:
        for second in seconds_:
            if first.fault.id == second.fault.id or looked >= MOST_PAIRS:
                continue
            looked += 1
            broken = together(maker.bench, (first.fault.fault, second.fault.fault))
            found = [
                column.promise.text
                for column in maker.columns
                if _counts(column) and maker.asked(column, broken).outcome == "broken"
            ]
            if found:
                yield Pair(first.fault, second.fault, tuple(found))


def _counts(column: Column) -> bool:
    return column.asked and column.weight == "stop"
