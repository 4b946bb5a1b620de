"""Where terminals are: place, side, and a rough position on it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ..circuit import Circuit, Device
from .strips import is_strip

PITCH_M = 0.05  # between devices of which the file says no position: about the width of a small device
TERMINAL_M = 0.005  # between neighbouring terminals of a device, or pins of a base
ROW_M = 0.2  # from the last rail to the row in which devices without a rail are thought to stand


@dataclass(frozen=True, slots=True)
class Spot:
    """Position of one terminal in metres, x to the right, y downwards, as seen from the front of its place."""

    place: str
    side: str
    x_m: float
    y_m: float
    strip: bool = False
    conductors: int = 2

    def way_m(self, other: Spot) -> float:
        """Way along the ducts: across and down."""
        return abs(self.x_m - other.x_m) + abs(self.y_m - other.y_m)


class Whereabouts(dict[str, Spot]):
    """The spots of all terminals, each found when first asked for.

    Devices stand on their rail, evenly, else in one row in the order of the file.
    """

    def __init__(self, circuit: Circuit) -> None:
        super().__init__()
        self.hinged = {p.name for p in circuit.places if p.hinged} | {"door"}
        self.hub = _hub(circuit)
        self._corner = _corners(circuit)
        self._devices = circuit.by_tag
        self._offsets = {d.tag: _offsets(d) for d in circuit.devices}

    def outer(self, one: str, other: str) -> bool:
        """Whether a conductor lies on the outer side of a strip: it leaves the enclosure; a door belongs to it."""
        places = {self[one].place, self[other].place}
        return len(places) == 2 and not places & self.hinged

    def __missing__(self, terminal: str) -> Spot:
        spot = self[terminal] = self._spot(terminal)
        return spot

    def _spot(self, terminal: str) -> Spot:
        tag, mark = terminal.split(".", 1)
        device = self._devices.get(tag)
        if device is None:
            return Spot("", "front", 0.0, 0.0)
        x, y = self._corner[tag]
        dx, dy = self._offsets[tag].get(mark, (0.0, 0.0))
        return Spot(device.place, self._side(device), x + dx, y + dy, is_strip(device), device.conductors_per_terminal)

    def _side(self, device: Device) -> str:
        """A door is wired from its inside; a base from behind where the file says so."""
        behind = device.place in self.hinged or any(fact.name == "wired-from-behind" for fact in device.facts)
        return "behind" if behind else "front"


def _hub(circuit: Circuit) -> str:
    """The place from which the others are wired: that of the strips, else the plate, else that of most devices."""
    weights = Counter[str]()
    hinged = {"door"} | {p.name for p in circuit.places if p.hinged}
    for device in circuit.devices:
        base = 1000 if is_strip(device) else 100 if device.place == "plate" else 1
        weights[device.place] += 0 if device.place in hinged else base
    return weights.most_common(1)[0][0] if weights else ""


def _corners(circuit: Circuit) -> dict[str, tuple[float, float]]:
    corners: dict[str, tuple[float, float]] = {}
    lowest: dict[str, float] = {}
    for mount in circuit.mounts:
        lowest[mount.place] = max(lowest.get(mount.place, 0.0), mount.y_m)
        step = mount.length_m / max(len(mount.devices), 1)
        for index, tag in enumerate(mount.devices):
            corners[tag] = (mount.x_m + index * step, mount.y_m)
    counts = Counter[str]()
    for device in circuit.devices:
        if device.tag not in corners:
            row = lowest.get(device.place)
            corners[device.tag] = (counts[device.place] * PITCH_M, 0.0 if row is None else row + ROW_M)
            counts[device.place] += 1
    return corners


def _offsets(device: Device) -> dict[str, tuple[float, float]]:
    """Base pins by their grid, other terminals side by side; all within the device's own width where it is known."""
    if device.base is not None:
        return {mark: (column * TERMINAL_M, row * TERMINAL_M) for mark, column, row in device.base.pins}
    step = min(TERMINAL_M, PITCH_M / max(len(device.terminals), 1))
    return {mark: (index * step, 0.0) for index, mark in enumerate(device.terminals)}
