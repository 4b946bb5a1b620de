"""The order of work: one side of one place after the other, and near to near within each."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Container, Sequence
from dataclasses import dataclass
from itertools import pairwise

from .whereabouts import Whereabouts

Joint = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Stage:
    """Wires laid without turning the panel or walking. `heading` says where, and when left and right exchange."""

    heading: str
    joints: tuple[Joint, ...]


def stages_of(joints: Sequence[Joint], where: Whereabouts) -> tuple[Stage, ...]:
    """Sort conductors into stages, and each stage into an order of work; the place that joins the others comes first.

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

    def turn(key: tuple[str, str, str, str]) -> tuple[bool, int, int, bool, bool]:
        here, side, there, other_side = key
        nearer, farther = sorted((places.index(here), places.index(there)))
        return here != there, farther, nearer, side != other_side, side != "front"

    headings = {key: _heading(*key, where.hinged) for key in found}
    return tuple(Stage(headings[key], _near_to_near(found[key], where)) for key in sorted(found, key=turn))


FLAT = ("plate", "door", "panel")  # what one works on; any other place is a room, a pit, a machine


def _heading(here: str, side: str, there: str, other_side: str, hinged: Container[str]) -> str:
    """Where to work. A door is reached from its inside anyhow; on anything else the back has to be turned to."""
    if here != there:
        ends = [
            f"the back of {place or 'panel'}" if seen == "behind" and place not in hinged else place or "panel"
            for place, seen in ((here, side), (there, other_side))
        ]
        return f"From {ends[0]} to {ends[1]}"
    place = here or "panel"
    if side != other_side:
        return f"On {place}, from the front to the back"
    if side == "front":
        return "In the field" if place == "field" else f"{'On' if place in FLAT else 'At'} {place}"
    if here in hinged:
        return f"On {place}, from its inside: left and right are exchanged"
    return f"Turn {place} over: from here on left and right are exchanged"


def _near_to_near(joints: Sequence[Joint], where: Whereabouts) -> tuple[Joint, ...]:
    """Take each time the conductor with the end nearest to where the hands are; those between places in one pull."""
    if where[joints[0][0]].place != where[joints[0][1]].place:
        return tuple(sorted(joints, key=lambda joint: [(where[end].y_m, where[end].x_m) for end in joint]))
    ends = _LooseEnds(joints, where)
    order: list[Joint] = []
    x, y = ends.corner()
    for _ in joints:
        joint = ends.take_nearest(x, y)
        x, y = ends.spot(joint[1])
        order.append(joint)
    return tuple(order)


class _LooseEnds:
    """The ends still to be wired, row by row from left to right as seen from the side one works on."""

    def __init__(self, joints: Sequence[Joint], where: Whereabouts) -> None:
        self.where = where
        self.joints = joints
        self.rows: dict[float, list[tuple[float, int, int]]] = {}
        for index, joint in enumerate(joints):
            for end in (0, 1):
                x, y = self.spot(joint[end])
                self.rows.setdefault(y, []).append((x, index, end))
        for row in self.rows.values():
            row.sort()

    def spot(self, terminal: str) -> tuple[float, float]:
        """Place on its row, and the row: rows nearer together than a hand's width are one."""
        spot = self.where[terminal]
        return (-spot.x_m if spot.side == "behind" else spot.x_m), round(spot.y_m, 1)

    def corner(self) -> tuple[float, float]:
        """Where one begins: top left."""
        y = min(self.rows)
        return self.rows[y][0][0], y

    def take_nearest(self, x: float, y: float) -> Joint:
        """The conductor with the nearest end, that end first; no longer loose after this."""
        best = (float("inf"), 0, 0)
        for row_y, row in self.rows.items():
            at = bisect_left(row, (x,))
            for end_x, index, end in row[max(at - 1, 0) : at + 1]:
                best = min(best, (abs(end_x - x) + abs(row_y - y), index, end))
        _, index, end = best
        joint = self.joints[index][end], self.joints[index][1 - end]
        for which, terminal in ((end, joint[0]), (1 - end, joint[1])):
            at_x, row_y = self.spot(terminal)
            row = self.rows[row_y]
            del row[bisect_left(row, (at_x, index, which))]
        return joint


def way_of_hands_m(joints: Sequence[Joint], where: Whereabouts) -> float:
    """Way from the end of each conductor to the start of the next, as far as both are in one place."""
    return sum(
        where[one[1]].way_m(where[other[0]])
        for one, other in pairwise(joints)
        if where[one[1]].place == where[other[0]].place
    )
