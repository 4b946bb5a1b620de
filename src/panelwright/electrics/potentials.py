"""The rails and the volts between them, contacts aside."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from .elements import Element, Elements
from .solution import Level

Place = int | str


@dataclass(frozen=True, slots=True)
class RailPair:
    """Two rails in this order, the volts of `a` against `b`, and the supplies that have to be on for it."""

    a: Place
    b: Place
    level: Level
    tags: tuple[str, ...]


class Potentials:
    """Rails: places where a supply connects. `pairs`: every two rails that supplies tie together, in both orders, and
    once for every set of supplies that does it.

    `strangers`: every two rails, in both orders, that no supply ties together: their difference is not defined
    until something else joins their circuits.
    """

    def __init__(self, elements: Elements, place: Callable[[Element, int], Place]) -> None:
        self._ways: dict[Place, list[tuple[Place, dict[float, complex], str]]] = defaultdict(list)
        self._tags: dict[Place, list[str]] = defaultdict(list)
        places: dict[Place, None] = {}
        inside = {feed.id for feed in elements.feeds.values()}
        attached = {place(e, side) for e in elements.all() if e.id not in inside for side in (0, 1)}
        for feed in elements.feeds.values():
            a, b = place(feed, 0), place(feed, 1)
            self._ways[a].append((b, {feed.hertz: feed.volts}, feed.tag))
            self._ways[b].append((a, {feed.hertz: -feed.volts}, feed.tag))
            for rail in (a, b):
                self._tags[rail].append(feed.tag)
                if rail in attached or elements.terminals(feed.id)[rail == b]:
                    places[rail] = None
        self._tie(places, [(s.sort, place(s, 0), place(s, 1)) for s in elements.switches.values()])
        self.rails: tuple[Place, ...] = tuple(places)
        self.pairs: tuple[RailPair, ...] = ()
        self.strangers: tuple[tuple[Place, Place], ...] = ()
        for rail in self.rails:
            self._reach(rail)

    def _tie(self, rails: Collection[Place], joined: Sequence[tuple[str, Place, Place]]) -> None:
        """Earth straps, and what joins rails or earth for good: a fault that lets two circuits touch."""
        ends = {*rails, *(one for sort, *two in joined for one in two if sort == "strap")}
        for sort, a, b in joined:
            if sort == "strap" or (sort == "link" and a in ends and b in ends):
                self._ways[a].append((b, {}, ""))
                self._ways[b].append((a, {}, ""))

    def tags_at(self, rail: Place) -> tuple[str, ...]:
        """Supplies that connect to a rail."""
        return tuple(dict.fromkeys(self._tags[rail]))

    def _reach(self, start: Place) -> None:
        """Pairs that begin at one rail, over every way that supplies make."""
        reached: dict[tuple[Place, tuple[str, ...]], RailPair] = {}
        waiting: list[tuple[Place, tuple[Place, ...], dict[float, complex], tuple[str, ...]]] = [(start, (), {}, ())]
        while waiting:
            here, passed, volts, tags = waiting.pop()
            if here != start and here in self.rails:
                level = Level(complex(volts.get(0.0, 0.0)).real, tuple((h, v) for h, v in volts.items() if h))
                reached.setdefault((here, tuple(sorted(tags))), RailPair(start, here, level, tags))
            for other, step, tag in self._ways[here]:
                if other != start and other not in passed:
                    # the difference runs from `start` down to the rail, as a feed counts V(a) - V(b)
                    total = {h: volts.get(h, 0.0) + step.get(h, 0.0) for h in {*volts, *step}}
                    further = tuple(dict.fromkeys((*tags, tag))) if tag else tags
                    waiting.append((other, (*passed, here), total, further))
        self.pairs += tuple(reached.values())
        tied = {rail for rail, _ in reached}
        self.strangers += tuple((start, rail) for rail in self.rails if rail != start and rail not in tied)
