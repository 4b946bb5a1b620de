"""The wiring plan: what `wire` finds, as values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..circuit import Circuit, Net, Quantity, Span


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor between two terminals.

    `number` is that of its net; `labels` is what is printed at each end, the same twice except with the scheme
    "by other end". `id` depends on the two ends alone, so that it survives edits that leave the wire where it is.
    `places` and `sides` tell where each end is and from which side one gets at it: "front", "behind", or for strip
    terminals "inner" and "outer". `stage`: heading of the order of work under which it is laid.
    """

    id: str
    number: str
    ends: tuple[str, str]
    labels: tuple[str, str]
    net: str
    places: tuple[str, str]
    sides: tuple[str, str]
    stage: str
    power: bool = False
    colour: str = ""
    size: Quantity | None = None
    length: Quantity | None = None
    cable: str = ""
    core: str = ""

    @property
    def core_told(self) -> str:
        """ "W1 core 2", or "" for a conductor of its own."""
        return f"{self.cable} core {self.core}" if self.cable else ""


@dataclass(frozen=True, slots=True)
class Shortage:
    """A device that has fewer contacts than the rungs use.

    `form`: "NO", "NC" or the positions of a selector; `needed` and `has` count uses of that form, after sharing.
    """

    device: str
    form: str
    needed: int
    has: int
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Free:
    """A contact that no rung uses. `common_taken`: its common is in use, so it is free on that wire only."""

    contact: str
    form: str
    common_taken: bool = False


@dataclass(frozen=True)
class Wiring:
    """A circuit with every contact allotted, every net numbered and every wire named.

    `wires` are in order of work. `numbers`: net id to wire number. `free`: per device, what is left over.
    `poles_used` counts contacts in use, a change-over once; fewer than `poles_bound` are not possible.
    """

    circuit: Circuit
    nets: tuple[Net, ...]
    numbers: Mapping[str, str]
    wires: tuple[Wire, ...]
    free: Mapping[str, tuple[Free, ...]]
    shortages: tuple[Shortage, ...]
    told: tuple[str, ...]
    poles_used: int
    poles_bound: int
