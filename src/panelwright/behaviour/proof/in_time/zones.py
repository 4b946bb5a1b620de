"""What several clocks can show at once: a zone, as bounds on their differences.

Times are whole ticks. A bound is one number: twice the ticks, and one more when the limit itself is allowed; so the
smaller number is always the tighter bound. Row and column 0 stand for zero, row i and column j for "clock i minus
clock j is at most". Source: D. Dill, Timing assumptions and verification of finite-state concurrent systems, 1989;
the cutting of large numbers: G. Behrmann and others, Lower and upper bounds in zone-based abstractions, 2006.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor

TICKS_PER_S = 10_000
ENDLESS = 1 << 60
ZERO = 1  # at most 0

Zone = tuple[int, ...]  # (number of clocks + 1) squared, row by row
Source = tuple[int, int | None]  # old place of a clock, or 0 with what it shows now; None: anything


def ticks_at_least(seconds: float) -> int:
    """Whole ticks, rounded down: a lower bound never grows."""
    return floor(max(0.0, seconds) * TICKS_PER_S + 1e-6)


def ticks_at_most(seconds: float) -> int:
    """Whole ticks, rounded up: an upper bound never shrinks."""
    return ceil(seconds * TICKS_PER_S - 1e-6)


def at_most(ticks: int) -> int:
    """The bound "at most"."""
    return 2 * ticks + 1


def less_than(ticks: int) -> int:
    """The bound "less than"."""
    return 2 * ticks


def added(one: int, other: int) -> int:
    """The bound of a sum of two differences."""
    if one >= ENDLESS or other >= ENDLESS:
        return ENDLESS
    return one + other - ((one | other) & 1)


def tightened(zone: Zone, size: int, row: int, column: int, bound: int) -> Zone | None:
    """The zone with one more bound; None when nothing is left. `size`: clocks and zero."""
    if bound >= zone[row * size + column]:
        return zone
    if added(bound, zone[column * size + row]) < ZERO:
        return None
    found = list(zone)
    onward = zone[column * size : column * size + size]
    for i in range(size):
        via = added(zone[i * size + row], bound)
        if via < ENDLESS:
            for j in range(size):
                new = added(via, onward[j])
                if new < found[i * size + j]:
                    found[i * size + j] = new
    return tuple(found)


def delayed(zone: Zone, size: int, limits: Sequence[tuple[int, int]]) -> Zone:
    """Any time goes by, as long as the clocks keep to their limits: pairs of clock and bound, kept to now."""
    found = list(zone)
    for i in range(1, size):
        latest = ENDLESS
        for clock, bound in limits:
            latest = min(latest, added(zone[i * size + clock], bound))
        found[i * size] = latest
        if latest < ENDLESS:
            for j in range(1, size):
                new = added(latest, zone[j])
                if new < found[i * size + j]:
                    found[i * size + j] = new
    return tuple(found)


def rearranged(zone: Zone, size: int, sources: Sequence[Source]) -> Zone:
    """The zone over other clocks: each either an old one, or started anew."""
    n = len(sources) + 1
    rows = [(0, 0), *sources]
    found = [ZERO] * (n * n)
    for i, (old_i, shows_i) in enumerate(rows):
        for j, (old_j, shows_j) in enumerate(rows):
            if i == j:
                continue
            if i and not old_i and shows_i is None:
                found[i * n + j] = ENDLESS
                continue
            bound = zone[old_i * size + old_j] if old_i != old_j else ZERO
            up = 0 if old_i or not i else shows_i or 0
            down = 0 if old_j or not j else shows_j or 0
            found[i * n + j] = bound if bound >= ENDLESS else bound + 2 * (up - down)
    return tuple(found)


def blurred(zone: Zone, size: int, lower: Sequence[int | None], upper: Sequence[int | None]) -> Zone:
    """The zone with everything made alike that nothing can tell apart from now on.

    `lower` and `upper`: the largest number that each clock has to reach, and that it must not exceed, None without
    one; with a 0 in front.
    """
    found = list(zone)
    for i in range(size):
        enough = lower[i]
        for j in range(size):
            bound, most = found[i * size + j], upper[j]
            if i == j or bound >= ENDLESS:
                continue
            if i and (enough is None or bound > at_most(enough)):
                found[i * size + j] = ENDLESS
            elif most is None:
                found[i * size + j] = ENDLESS if i else ZERO
            elif bound < less_than(-most):
                found[i * size + j] = less_than(-most)
    return zone if list(zone) == found else _closed(found, size)


def _closed(bounds: list[int], size: int) -> Zone:
    """Every bound as tight as the others make it."""
    for k in range(size):
        for i in range(size):
            via = bounds[i * size + k]
            if via < ENDLESS:
                for j in range(size):
                    new = added(via, bounds[k * size + j])
                    if new < bounds[i * size + j]:
                        bounds[i * size + j] = new
    return tuple(bounds)


def covers(wide: Zone, narrow: Zone) -> bool:
    """Whether everything in the second is in the first."""
    return all(a >= b for a, b in zip(wide, narrow, strict=True))


def can_exceed(zone: Zone, size: int, clock: int, ticks: int) -> bool:
    """Whether a clock can show more."""
    return zone[clock * size] > at_most(ticks)


def can_fall_short(zone: Zone, size: int, clock: int, ticks: int) -> bool:
    """Whether a clock can show less."""
    return added(less_than(ticks), zone[clock]) >= ZERO


Difference = tuple[int, int, int]  # (a, b, ticks): time a minus time b is at most so many ticks


def times_of_course(count: int, differences: Sequence[Difference], order: Sequence[int]) -> list[int] | None:
    """Times that fit all differences, the earliest ones, counted from time 0; None when none fit.

    `order`: times that come one after the other.
    """
    all_of = [*differences, *((a, b, 0) for a, b in pairwise(order))]
    times = [0] * count
    for _ in range(count + 1):
        moved = False
        for a, b, ticks in all_of:
            if times[a] - ticks > times[b]:
                times[b] = times[a] - ticks
                moved = True
        if not moved:
            return [time - times[0] for time in times]
    return None
