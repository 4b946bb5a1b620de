"""Where the bodies stand: rows by place, door above, plate below it, field last."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from ...circuit import Circuit, Device
from .bodies import Body, body_of

ROW_MM = 330.0  # longest row of bodies
BETWEEN_MM = 12.5  # between two bodies, room for a few conductors to pass
LANE_MM = 2.5
SLEEVES_MM = 12.5  # beside a base, before its lanes begin


@dataclass(slots=True)
class Placed:
    """A body with the left edge of its outline; `left`, `right`: mm kept free beside it for conductors."""

    body: Body
    x: float
    left: float
    right: float


@dataclass(slots=True)
class Row:
    """Bodies side by side. `behind`: seen from behind."""

    place: str
    behind: bool
    placed: list[Placed] = field(default_factory=list)
    y: float = 0.0

    @property
    def height(self) -> float:
        """Height of the tallest body."""
        return max((p.body.height for p in self.placed), default=0.0)


def rows_of(circuit: Circuit, devices: Collection[str], behind: Collection[str], ends: Mapping[str, int]) -> list[Row]:
    """Rows of the wanted devices.

    `ends`: terminal ("K1.9") to the number of conductors that end there; those that leave sideways need room beside
    the outline. Outlines stand on a grid of 5 mm, rows take turns with an offset of 2.5 mm, so that screws of
    neighbouring rows are never above one another.
    """
    rows: list[Row] = []
    for place in _places(circuit):
        for group in _groups(circuit, place, devices):
            mirrored = place in behind
            bodies = [body_of(device, mirrored) for device in group]
            _fill(rows, Row(place, mirrored), [*reversed(bodies)] if mirrored else bodies, ends)
    return rows


def _places(circuit: Circuit) -> list[str]:
    order = {"door": 0, "plate": 1, "field": 9}
    names = [*(p.name for p in circuit.places), *(d.place for d in circuit.devices)]
    return sorted(dict.fromkeys(names), key=lambda name: order.get(name, 5))


def _groups(circuit: Circuit, place: str, devices: Collection[str]) -> list[list[Device]]:
    """Devices of one place: those on a rail together, in the order of the rail, then the rest."""
    here = [d for d in circuit.devices if d.place == place and d.tag in devices]
    groups: list[list[Device]] = []
    taken: set[str] = set()
    for mount in sorted((m for m in circuit.mounts if m.kind == "rail" and m.place == place), key=lambda m: m.y_m):
        on_rail = [d for tag in mount.devices for d in here if d.tag == tag]
        taken |= {d.tag for d in on_rail}
        groups.append(on_rail)
    rest = [d for d in here if d.tag not in taken]
    return [group for group in ([*groups, rest] if place != "door" else [rest, *groups]) if group]


def _fill(rows: list[Row], row: Row, bodies: list[Body], ends: Mapping[str, int]) -> None:
    rows.append(row)
    x = (len(rows) - 1) % 2 * LANE_MM
    for body in bodies:
        left, right = (_beside(body, way, ends) for way in ("left", "right"))
        if row.placed and x + left + body.width + right > ROW_MM:
            row = Row(row.place, row.behind)
            rows.append(row)
            x = (len(rows) - 1) % 2 * LANE_MM
        row.placed.append(Placed(body, x + left, left, right))
        x += left + body.width + right + BETWEEN_MM + LANE_MM


def _beside(body: Body, way: str, ends: Mapping[str, int]) -> float:
    """Room beside an outline for sleeves and lanes, a multiple of 5 mm."""
    tag = body.device.tag
    count = sum(ends.get(f"{tag}.{mark}", 0) for (mark, _), landing in body.landings.items() if landing.way == way)
    return -(-(SLEEVES_MM + count * LANE_MM) // 5) * 5 if count else 0.0
