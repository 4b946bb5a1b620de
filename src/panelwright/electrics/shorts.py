"""Shorted supplies, the way the current takes, and the fuse that ends it."""

from __future__ import annotations

from collections import defaultdict, deque
from dataclasses import dataclass
from functools import cache
from math import inf
from pathlib import Path

from ..catalog.tables import TableRow, read_table
from .elements import Feed, Switch
from .solving import Settling

FUSING = Path(__file__).parent / "fusing.csv"
ALL_OF_IT = 0.5  # of what a supply gives into a dead short; two phases of three make 0.87


@dataclass(frozen=True, slots=True)
class Short:
    """A supply with its terminals joined, or two supplies joined at different volts.

    `source`: element id of the feed; `against`: the other feeds on the way, () for a plain short.
    `path`: closed elements on the shortest way from its first terminal to its second.
    `fuse`: the one of lowest rating on the way, "" when nothing protects it: the supply stays shorted.
    `amps`: what the supply can be expected to give. `surely_clears`: that is enough to open the fuse soon;
    an electronic supply that holds its current may never open it.
    """

    source: str
    path: tuple[str, ...]
    fuse: str
    amps: float
    surely_clears: bool
    against: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Overload:
    """A fuse or supply that carries more than its rating. `blows`: a fuse that will open."""

    element: str
    amps: float
    rating_a: float
    blows: bool


class FusingRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Fuses up to a rating, and how many times their rating surely opens them."""

    rated_max_a: float = inf
    times: float


@cache
def _fusing() -> tuple[FusingRow, ...]:
    return read_table(FUSING, FusingRow)


def fusing_amps(rating_a: float) -> float:
    """Amps at which a fuse surely opens within its conventional time, by `fusing.csv`."""
    return rating_a * next(row.times for row in _fusing() if rating_a <= row.rated_max_a)


def shorts_in(settling: Settling) -> tuple[Short, ...]:
    """The shorts of a settled position, one a feed, in file order."""
    found: dict[tuple[str, ...], Short] = {}
    for feed in settling.live():
        if _gives_all(settling, feed):
            short = _short_of(settling, feed)
            if short is not None:
                found.setdefault(tuple(sorted((short.source, *short.against))), short)
    return tuple(found.values())


def _gives_all(settling: Settling, feed: Feed) -> bool:
    """The position shorts it, or more of its volts drop inside it than outside."""
    if feed.id in settling.weak or not feed.ohms:
        return feed.id in settling.weak
    a, b, siemens, amps = settling.branches(feed.hertz)[feed.id]
    volts = settling.flows[feed.hertz].volts
    return abs(siemens * (volts[a] - volts[b]) + amps) > ALL_OF_IT * abs(settling.volts_of(feed, feed.hertz) * siemens)


def _short_of(settling: Settling, feed: Feed) -> Short | None:
    joints: dict[str, Switch] = {switch.id: switch for switch in settling.joints}
    others = {f.id: f for f in settling.live() if f.id != feed.id}
    ways: dict[int, list[tuple[str, int]]] = defaultdict(list)
    elements: tuple[Switch | Feed, ...] = (*joints.values(), *others.values())
    for element in elements:
        ways[element.a].append((element.id, element.b))
        ways[element.b].append((element.id, element.a))
    path = _shortest(ways, feed.a, feed.b, plain=set(joints)) or _shortest(ways, feed.a, feed.b)
    if path is None:
        return None
    fuses = [joints[key] for key in path if key in joints and joints[key].sort == "fuse"]
    weakest = min(fuses, key=lambda fuse: fuse.amps, default=None)
    amps = abs(feed.volts) / settling.ohms_of(feed)
    clears = weakest is not None and amps >= fusing_amps(weakest.amps)
    against = tuple(key for key in path if key in others)
    return Short(feed.id, tuple(path), weakest.id if weakest else "", amps, clears, against)


def _shortest(
    ways: dict[int, list[tuple[str, int]]], start: int, end: int, plain: set[str] | None = None
) -> list[str] | None:
    """Element ids on a shortest way; only over `plain` ones if given."""
    came: dict[int, tuple[str, int]] = {start: ("", start)}
    queue = deque([start])
    while queue:
        node = queue.popleft()
        if node == end:
            path = []
            while node != start:
                key, node = came[node]
                path.append(key)
            return path[::-1]
        for key, other in ways[node]:
            if other not in came and (plain is None or key in plain):
                came[other] = (key, node)
                queue.append(other)
    return None


def overloads_in(settling: Settling) -> tuple[Overload, ...]:
    """Fuses and supplies above their rating, the worst first."""
    fuses = {s.id: s.amps for s in settling.joints if s.sort == "fuse" and s.amps}
    rated = {f.id: f.rated_a for f in settling.live() if f.rated_a}
    limits = [*fuses.values(), *rated.values()]
    branch = {h: settling.branch_amps(h) for h in settling.flows}
    total = sum(abs(amps) for by_element in branch.values() for amps in by_element.values())
    if not limits or total <= min(limits):
        return ()  # all currents together would not do it
    squares: dict[str, float] = defaultdict(float)
    for hertz in settling.flows:
        for key, amps in {**branch[hertz], **settling.bond_amps(hertz)}.items():
            squares[key] += abs(amps) ** 2
    found = []
    for key, rating in (*fuses.items(), *rated.items()):
        amps = squares[key] ** 0.5
        if amps > rating * (1 + 1e-9):
            found.append(Overload(key, amps, rating, key in fuses and amps >= fusing_amps(rating)))
    return tuple(sorted(found, key=lambda overload: -overload.amps / overload.rating_a))
