"""Conductors as lines: up or down from each screw, along tracks in the channels between the rows, round the outlines.

First only order and x are found, counted in tracks; heights follow from the number of tracks in each channel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

from .layout import LANE_MM, SLEEVES_MM, Placed, Row

PAIR_MM = 1.4  # between two conductors under one screw
_SWAPS = 1200


@dataclass(frozen=True, slots=True)
class End:
    """One end of a conductor: its row, the body it lands on, the landing, and which of `count` it is there."""

    row: int
    placed: Placed
    mark: str
    side: str
    order: int = 0
    count: int = 1

    @property
    def offset(self) -> float:
        """mm beside the middle of the screw."""
        return (self.order - (self.count - 1) / 2) * PAIR_MM


@dataclass(slots=True)
class Run:
    """A conductor: `stops` are (channel, x in, x out) from one end to the other; `lanes` beside bases by end."""

    key: str
    ends: tuple[End, End]
    stops: list[tuple[int, float, float]] = field(default_factory=list)
    lanes: list[float | None] = field(default_factory=lambda: [None, None])
    inside: bool = False  # both ends on one side of one base: no channel needed


@dataclass(slots=True)
class Routes:
    """All runs, with the track of each in each channel, counted from above."""

    runs: list[Run]
    tracks: dict[tuple[int, str], int]
    counts: list[int]
    crossings: int


def route(rows: list[Row], ends: list[tuple[str, End, End]], most_tracks: int | None = None) -> Routes:
    """Find the way of every conductor.

    `most_tracks`: where a channel needs more, nobody will follow the lines, and no time is spent on their order.
    """
    router = _Router(rows)
    runs = [router.run(key, a, b) for key, a, b in sorted(ends, key=_reach)]
    tracks, counts, crossings = _tracks(runs, len(rows) + 1, most_tracks)
    return Routes(runs, tracks, counts, crossings)


def _reach(entry: tuple[str, End, End]) -> tuple[int, float]:
    _, a, b = entry
    return (abs(a.row - b.row), abs(a.placed.x - b.placed.x))


class _Router:
    def __init__(self, rows: list[Row]) -> None:
        self.rows = rows
        self.used: list[set[float]] = [set() for _ in range(len(rows) + 1)]  # x of verticals in each channel
        self.middle: list[set[float]] = [set() for _ in rows]  # x of verticals beside the outlines of each row

    def run(self, key: str, a: End, b: End) -> Run:
        run = Run(key, (a, b))
        if a.placed is b.placed and self.way(a) == self.way(b) and self.way(a) in ("left", "right"):
            run.inside = True
            run.lanes[0] = run.lanes[1] = self.lane(a, None)
            return run
        channel_a, x_a = self.start(run, 0)
        channel_b, x_b = self.start(run, 1)
        step = 1 if channel_b > channel_a else -1
        x = x_a
        for channel in range(channel_a, channel_b, step):
            row = channel if step == 1 else channel - 1
            through = self.gap(row, x, x_b)
            run.stops.append((channel, x, through))
            x = through
        run.stops.append((channel_b, x, x_b))
        return run

    def way(self, end: End) -> str:
        return end.placed.body.landing(end.mark, end.side).way

    def start(self, run: Run, which: int) -> tuple[int, float]:
        """Channel and x at which one end enters it."""
        end = run.ends[which]
        landing = end.placed.body.landing(end.mark, end.side)
        if landing.way in ("up", "down"):
            return end.row + (landing.way == "down"), end.placed.x + landing.x + end.offset
        up = landing.edge[1] < end.placed.body.height / 2
        channel = end.row if up else end.row + 1
        run.lanes[which] = lane = self.lane(end, channel)
        return channel, lane

    def lane(self, end: End, channel: int | None) -> float:
        """The next free vertical beside a base; `channel`: the one that it leads to, None for neither."""
        left = self.way(end) == "left"
        edge = end.placed.x if left else end.placed.x + end.placed.body.width
        x = edge - SLEEVES_MM + 1.25 if left else edge + SLEEVES_MM - 1.25
        blocked = self.used[channel] if channel is not None else set()
        while x in self.middle[end.row] or x in blocked:
            x += -LANE_MM if left else LANE_MM
        self.middle[end.row].add(x)
        if channel is not None:
            blocked.add(x)
        return x

    def gap(self, row: int, x: float, goal: float) -> float:
        """The best free vertical through a row, between its outlines or beside them."""
        taken = self.middle[row] | self.used[row] | self.used[row + 1]
        best = min(self.free(row, taken, x, goal), key=lambda g: (abs(g - x) + abs(g - goal), abs(g - goal)))
        self.middle[row].add(best)
        self.used[row].add(best)
        self.used[row + 1].add(best)
        return best

    def free(self, row: int, taken: set[float], x: float, goal: float) -> Iterator[float]:
        """Free verticals: on the grid of the lanes, clear of every outline and of the room beside it."""
        walls = [(p.x - p.left - 2.0, p.x + p.body.width + p.right + 2.0) for p in self.rows[row].placed]
        low, high = min((w[0] for w in walls), default=0.0), max((w[1] for w in walls), default=0.0)
        for target in (x, goal, low, high):
            for direction in (-1, 1):
                place = round((target - 1.25) / LANE_MM) * LANE_MM + 1.25
                while place in taken or any(w[0] < place < w[1] for w in walls):
                    place += direction * LANE_MM
                yield place


# ------------------------------------------------------------------------------- tracks
@dataclass(frozen=True, slots=True)
class _Piece:
    key: str
    low: float
    high: float
    above: tuple[float, ...]  # x of verticals that come from above
    below: tuple[float, ...]


def _tracks(
    runs: list[Run], channels: int, most_tracks: int | None
) -> tuple[dict[tuple[int, str], int], list[int], int]:
    pieces = [[p for run in runs if (p := _piece(run, channel)) is not None] for channel in range(channels)]
    packed = [_pack(mine) for mine in pieces]
    counts = [count for _, count in packed]
    found: dict[tuple[int, str], int] = {}
    crossings = 0
    swaps = 0 if most_tracks is not None and max(counts, default=0) > most_tracks else _SWAPS
    for channel, (mine, (placed, count)) in enumerate(zip(pieces, packed, strict=True)):
        crossings += _improve(mine, placed, count, swaps)
        found.update({(channel, key): track for key, track in placed.items()})
    return found, counts, crossings


def _piece(run: Run, channel: int) -> _Piece | None:
    for index, (at, x0, x1) in enumerate(run.stops):
        if at != channel:
            continue
        above: list[float] = []
        below: list[float] = []
        for x, other, end in ((x0, index - 1, 0), (x1, index + 1, 1)):
            inner = 0 <= other < len(run.stops)
            from_above = (run.stops[other][0] if inner else run.ends[end].row) < channel
            (above if from_above else below).append(x)
        return _Piece(run.key, min(x0, x1), max(x0, x1), tuple(above), tuple(below))
    return None


def _pack(pieces: list[_Piece]) -> tuple[dict[str, int], int]:
    """Left-edge packing into tracks."""
    ends: list[float] = []
    placed: dict[str, int] = {}
    for piece in sorted(pieces, key=lambda p: p.low):
        track = next((t for t, end in enumerate(ends) if end + 2.0 < piece.low), len(ends))
        ends[track : track + 1] = [piece.high]
        placed[piece.key] = track
    return placed, len(ends)


def _improve(pieces: list[_Piece], placed: dict[str, int], count: int, swaps: int) -> int:
    """Exchange whole tracks while that takes crossings away; returns the crossings that are left."""
    costs = _costs(pieces, placed, count)
    order = list(range(count))  # track as packed -> track as drawn
    best = _crossings(costs, order)
    dice = Random(7)
    for _ in range(swaps if count > 1 else 0):
        one, other = dice.sample(range(count), 2)
        order[one], order[other] = order[other], order[one]
        crossings = _crossings(costs, order)
        if crossings <= best:
            best = crossings
        else:
            order[one], order[other] = order[other], order[one]
    for key, track in placed.items():
        placed[key] = order[track]
    return best


def _costs(pieces: list[_Piece], placed: dict[str, int], count: int) -> list[list[tuple[int, int]]]:
    """For each pair of tracks: crossings of the first one's verticals when the second lies above, and below it."""
    above = [[0] * count for _ in range(count)]
    below = [[0] * count for _ in range(count)]
    for one in pieces:
        for other in pieces:
            s, t = placed[one.key], placed[other.key]
            if s != t:
                above[s][t] += sum(other.low < x < other.high for x in one.above)
                below[s][t] += sum(other.low < x < other.high for x in one.below)
    return [list(zip(*rows, strict=True)) for rows in zip(above, below, strict=True)]


def _crossings(costs: list[list[tuple[int, int]]], order: list[int]) -> int:
    return sum(
        cost[0] if order[t] < order[s] else cost[1]
        for s, row in enumerate(costs)
        for t, cost in enumerate(row)
        if s != t
    )
