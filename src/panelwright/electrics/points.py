"""Volts everywhere in many contact positions at once: the quick lane beside `Network.solve`.

The same contraction, laid out for a compiled loop. It takes the ordinary case: one
frequency, supplies that are tied together and not fed from one another, diodes that block and polarised loads that
conduct. A position that turns out otherwise, or shorts a supply, goes through `Network.solve` after all, so that the
answers are the same; only the time differs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from .contraction import Groups
from .elements import EARTH, Consumer
from .positions import Position
from .solving import NEGLIGIBLE_OHMS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .network import Network

RAIL_V = 1e-6  # two rails that differ by more must not be joined


@dataclass(frozen=True)
class Points:
    """Answers for many positions.

    `volts`: shape (positions, nodes), against `reference`; nan where no path defines them. Complex for ac.
    `one_by_one`: which positions had to go through `Network.solve`.
    """

    volts: NDArray[Any]
    reference: int
    one_by_one: NDArray[np.bool_]


class PointSolver:
    """A network made ready for many positions. `contacts`: element ids in the order of the columns of `closed`."""

    def __init__(self, network: Network) -> None:
        self.network = network
        elements = network.elements
        self.contacts = tuple(s.id for s in elements.switches.values() if s.sort == "contact")
        self.feeds = list(elements.feeds.values())
        self.hertz = self.feeds[0].hertz if self.feeds else 0.0
        strapped = any(s.sort == "strap" for s in elements.switches.values())
        self.reference = EARTH if strapped or not self.feeds else self.feeds[0].b
        self.tables = self._tables() if self._is_ordinary() else None

    def _is_ordinary(self) -> bool:
        switches = self.network.elements.switches.values()
        return (
            bool(self.feeds)
            and all(feed.hertz == self.hertz and not feed.primary for feed in self.feeds)
            and all(s.ohms <= NEGLIGIBLE_OHMS for s in switches)
            and (self.hertz == 0 or not (self.network.elements.valves or self._polarised()))
        )

    def _polarised(self) -> list[Consumer]:
        return [c for c in self.network.elements.consumers.values() if c.polarised]

    def solve(self, closed: NDArray[np.bool_]) -> Points:
        """Volts for every row of `closed`, shape (positions, contacts). Raises ValueError for another shape."""
        if closed.ndim != 2 or closed.shape[1] != len(self.contacts):
            raise ValueError(f"one column a contact is needed, {len(self.contacts)}; got an array of {closed.shape}")
        kind = np.complex128 if self.hertz else np.float64
        volts = np.full((len(closed), self.network.elements.nodes), np.nan, kind)
        left = np.ones(len(closed), np.bool_)
        if self.tables is not None:
            from . import point_loop  # compiled when first used

            loop: Any = point_loop.loop
            loop(np.ascontiguousarray(closed).view(np.uint8), *self.tables, volts, left)
        for row in np.flatnonzero(left):
            volts[row] = self._one(closed[row])
        return Points(volts, self.reference, left)

    def _one(self, closed: NDArray[np.bool_]) -> list[complex]:
        held = frozenset(contact for contact, shut in zip(self.contacts, closed, strict=True) if shut)
        settling = self.network.solve(Position(held))._settling
        flow = settling.flows.get(self.hertz)
        if flow is None or len(settling.flows) > 1:
            raise ValueError("supplies of several frequencies have no one answer; use Network.solve")
        here, level = flow.section[self.reference], flow.volts[self.reference]
        found = [v - level if s == here else np.nan for v, s in zip(flow.volts, flow.section, strict=True)]
        return found if self.hertz else [complex(v).real for v in found]

    def _tables(self) -> tuple[Any, ...] | None:
        """Everything that stays the same, as arrays; None when the supplies are not tied together."""
        elements = self.network.elements
        groups = Groups(elements.nodes)
        for switch in elements.switches.values():
            if switch.sort != "contact":
                groups.tie(switch.a, switch.b, 0.0)
        joined = [groups.find(node) for node in range(elements.nodes)]
        rails = self._rails(joined)
        if rails is None:
            return None
        order = [*rails, *(root for root in dict.fromkeys(joined) if root not in rails)]
        place = {root: number for number, root in enumerate(order)}
        node = np.array([place[root] for root in joined], np.int64)
        kind = np.complex128 if self.hertz else np.float64
        ideal = [f for f in self.feeds if not f.ohms]
        real = [f for f in self.feeds if f.ohms]
        loads = list(elements.consumers.values())
        valves = list(elements.valves.values())
        switches = [elements.switches[contact] for contact in self.contacts]
        siemens = [c.siemens(self.hertz) for c in loads] + [1 / f.ohms for f in real]
        amps = [0.0] * len(loads) + [-f.volts / f.ohms for f in real]
        limits = [f.limit_a for f in ideal if f.limit_a]

        def ends(listed: Sequence[Any]) -> tuple[Any, Any]:
            return node[[e.a for e in listed]].astype(np.int64), node[[e.b for e in listed]].astype(np.int64)

        return (
            node,
            np.array(list(rails.values()), kind) if self.hertz else np.array([complex(v).real for v in rails.values()]),
            len(order),
            *ends(switches),
            *ends([*loads, *real]),
            np.array(siemens, kind) if self.hertz else np.array([complex(y).real for y in siemens]),
            np.array(amps, kind) if self.hertz else np.array([complex(i).real for i in amps]),
            np.array([c.polarised for c in loads] + [False] * len(real), np.bool_),
            *ends(valves),
            np.array([v.drop_v for v in valves], np.float64),
            min(limits, default=np.inf),
        )

    def _rails(self, joined: Sequence[int]) -> dict[int, complex] | None:
        """Groups at fixed volts against the reference; None when that is not all of the supplies, or they clash."""
        groups = Groups(self.network.elements.nodes)
        for feed in self.feeds:
            if not feed.ohms and not groups.tie(joined[feed.a], joined[feed.b], feed.volts):
                return None
        home = groups.find(joined[self.reference])
        level = groups.above[joined[self.reference]]
        rails = {joined[self.reference]: complex(0.0)}
        for feed in self.feeds:
            for end in (joined[feed.a], joined[feed.b]):
                if feed.ohms:
                    continue
                if groups.find(end) != home:
                    return None
                rails[end] = complex(groups.above[end] - level)
        return rails
