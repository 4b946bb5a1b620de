"""The order of work: one side of one place after the other, and near to near within each."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass

from .whereabouts import Whereabouts

Joint = tuple[str, str]
ROW = 1000.0  # metres; keeps rows apart when positions are put on one line


@dataclass(frozen=True, slots=True)
class Stage:
    """Wires laid without turning the panel or walking. `heading` says where, and when left and right exchange."""

    heading: str
    joints: tuple[Joint, ...]


def stages_of(joints: Sequence[Joint], where: Whereabouts) -> tuple[Stage, ...]:
    """Sort conductors into stages, the stage with most devices first, and each stage into an order of work.

    A place is finished, its front and then its back, before the next is begun; conductors between two places come
    when both are done.
    """
    found: dict[tuple[str, str, str, str], list[Joint]] = {}
    for one, other in joints:
        here, there = sorted(
            (where[one], where[other]), key=lambda s: (s.place != where.hub, s.place, s.side != "front")
        )
        ends = (one, other) if where[one] == here else (other, one)
        found.setdefault((here.place, here.side, there.place, there.side), []).append(ends)
    places = list(dict.fromkeys([where.hub, *(key[0] for key in found), *(key[2] for key in found)]))

    def turn(key: tuple[str, str, str, str]) -> tuple[int, int, int, bool, bool]:
        here, side, there, other_side = key
        between = here != there
        return (
            between,
            places.index(there if not between else here),
            places.index(there),
            side != other_side,
            side != "front",
        )

    return tuple(
        Stage(_heading(*key, hub=where.hub), _near_to_near(found[key], where)) for key in sorted(found, key=turn)
    )


def _heading(here: str, side: str, there: str, other_side: str, hub: str) -> str:
    here, there = here or "panel", there or "panel"
    if here != there:
        return f"From {here} to {there}"
    if side != other_side:
        return f"On {here}, from the front to the back"
    if side == "front":
        return f"On {here}"
    if here == hub:
        return f"Turn {here} over: from here on left and right are exchanged"
    return f"On {here}, from its inside: left and right are exchanged"


def _near_to_near(joints: Sequence[Joint], where: Whereabouts) -> tuple[Joint, ...]:
    """Take each time the conductor with the end nearest to where the hands are.

    Positions are read row by row, forth and back, as one line, on which the nearest end is found at once.
    """
    ends: list[tuple[float, int, int]] = []
    for index, joint in enumerate(joints):
        for end in (0, 1):
            insort(ends, (_along(joint[end], where), index, end))
    if joints and where[joints[0][0]].place != where[joints[0][1]].place:
        return tuple(sorted(joints, key=lambda j: (_along(j[0], where), _along(j[1], where))))  # pulled in one go
    order: list[Joint] = []
    here = ends[0][0] if ends else 0.0
    while ends:
        at = bisect_left(ends, (here, -1, 0))
        if at == len(ends) or (at > 0 and here - ends[at - 1][0] < ends[at][0] - here):
            at -= 1
        _, index, end = ends.pop(at)
        one, other = joints[index][end], joints[index][1 - end]
        here = _along(other, where)
        del ends[bisect_left(ends, (here, index, 1 - end))]
        order.append((one, other))
    return tuple(order)


def _along(terminal: str, where: Whereabouts) -> float:
    """Position on the line made of the rows of a place."""
    spot = where[terminal]
    sign = -1.0 if spot.side == "behind" else 1.0  # seen from behind, left is right
    return round(spot.y_m, 1) * ROW + sign * spot.x_m
