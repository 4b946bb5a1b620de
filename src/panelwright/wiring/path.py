"""A short way through some terminals of one place."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from .whereabouts import Whereabouts

TURN_M = 10.0  # a conductor to the other side of the panel is worth going this far round
WINDOW, SHORT_WINDOW = 24, 8  # longest stretch turned round at a time, in small nets and in those above LARGE
LARGE = 60  # terminals; beyond, row after row is nearly the best and looking far gained nothing when measured


def shortest_path(terminals: Sequence[str], where: Whereabouts) -> Sequence[str]:
    """The terminals in an order in which a chain over them is short; the best there is when all stand in one row."""
    if len(terminals) < 3:
        return terminals
    rows: dict[tuple[str, float], list[str]] = {}
    for terminal in terminals:
        rows.setdefault((where[terminal].side, where[terminal].y_m), []).append(terminal)
    order: list[str] = []
    for turn, row in enumerate(sorted(rows)):
        order += sorted(rows[row], key=lambda t: where[t].x_m, reverse=turn % 2 == 1)
    return order if len(rows) == 1 else _improved(order, where)


def _improved(order: list[str], where: Whereabouts) -> list[str]:
    """Turn stretches round and move single terminals as long as that makes the way shorter."""

    def way(one: int, other: int) -> float:
        if one < 0 or other >= len(order):
            return 0.0  # nothing before the first, nothing behind the last
        here, there = where[order[one]], where[order[other]]
        return here.way_m(there) + (TURN_M if here.side != there.side else 0.0)

    window = WINDOW if len(order) <= LARGE else SHORT_WINDOW
    again = True
    while again:
        again = False
        for start in range(len(order) - 1):
            for end in range(start + 1, min(len(order) - 1, start + window) + 1):
                open_ends = way(start - 1, start) + way(end, end + 1)
                if way(start - 1, end) + way(start, end + 1) < open_ends - 1e-9:
                    order[start : end + 1] = order[start : end + 1][::-1]
                    again = True
                    continue
                without = way(start - 1, start + 1) - way(start, start + 1)
                if without + way(end, start) + way(start, end + 1) < open_ends - 1e-9:
                    order[start : end + 1] = [*order[start + 1 : end + 1], order[start]]
                    again = True
    return order


def length_m(order: Sequence[str], where: Whereabouts) -> float:
    """Length of a chain, in metres."""
    return sum(where[one].way_m(where[other]) for one, other in pairwise(order))
