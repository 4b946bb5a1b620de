"""What hangs on a supply: its motors with their currents, its other loads, and which motors run together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Device, Load, Source
from .answers import Fitted, Missing
from .branch import judged_size
from .job import Job
from .motors import Current
from .routes import Route, Stop
from .together import Running, running_together


@dataclass(frozen=True, slots=True)
class Share:
    """One load on a feeder: its current, and for a motor the largest branch device allowed (0 for others)."""

    name: str
    amps: float
    device_a: float = 0.0
    motor: bool = True


@dataclass(frozen=True, slots=True)
class Feeder:
    """The motors with their currents that a supply feeds, its other loads, and which motors run together."""

    supply: str
    motors: tuple[tuple[Route, float], ...]
    others: tuple[Share, ...]
    running: Running

    def currents(self, tags: frozenset[str]) -> list[tuple[str, float]]:
        """(tag, amperes) of those motors, the largest first."""
        found = [(route.plate.tag, amps) for route, amps in self.motors if route.plate.tag in tags]
        return sorted(found, key=lambda one: -one[1])

    @property
    def shared(self) -> tuple[Stop, ...]:
        """The devices that all of its motors go through, the nearest to them first."""
        common = frozenset.intersection(*(route.tags for route, _ in self.motors))
        own = {route.device.device.tag for route, _ in self.motors if route.device}
        return tuple(s for s in self.motors[0][0].stops if s.device.tag in common and s.device.tag not in own)

    def heaviest(self) -> list[tuple[str, float]]:
        """Those of the motors that can run together whose currents add up to the most, the largest first."""
        return max(map(self.currents, self.running.sets), key=lambda motors: sum(amps for _, amps in motors))

    @property
    def other_amps(self) -> float:
        """Amperes of all that is no motor."""
        return sum(share.amps for share in self.others)

    @property
    def counted(self) -> tuple[str, ...]:
        """How many motors were counted, as a note for the sheet; none for a single one."""
        if len(self.motors) < 2:
            return ()
        sets = "; ".join(" and ".join(sorted(tags)) for tags in self.running.sets)
        return (self.running.how if self.running.whole else f"{self.running.how}: at most {sets} at once",)


def feeders_of(
    routes: Sequence[Route], currents: Sequence[Current], job: Job, *, least: int = 2
) -> Iterator[Feeder | tuple[str, tuple[Missing, ...]]]:
    """Each supply with at least `least` loads, a motor among them; (tag, missing) where a current is not known."""
    for supply in dict.fromkeys(tag for route in routes for tag in route.supplies):
        fed = _one_winding_each([(r, c) for r, c in zip(routes, currents, strict=True) if supply in r.supplies])
        others = tuple(_other_loads(supply, job))
        if len(fed) + len(others) < least:
            continue
        unknown = tuple(dict.fromkeys(missing for _, current in fed for missing in current.missing))
        if unknown:
            yield supply, unknown
            continue
        motors = tuple((route, current.amps or 0.0) for route, current in fed)
        yield Feeder(supply, motors, others, running_together([route for route, _ in fed], job))


def _one_winding_each(fed: list[tuple[Route, Current]]) -> list[tuple[Route, Current]]:
    """Of a motor with several windings only the one with the largest current: they never run together."""
    best: dict[str, tuple[Route, Current]] = {}
    for route, current in fed:
        tag = route.plate.tag
        if tag not in best or (current.amps or 0) > (best[tag][1].amps or 0):
            best[tag] = (route, current)
    return list(best.values())


def _other_loads(supply: str, job: Job) -> Iterator[Share]:
    """Transformers and dc supplies that live from the supply, at their rated primary current."""
    rails = {rail for device, source in job.circuit.supplies if device.tag == supply for rail in source.rails}
    for device in job.circuit.devices:
        primary = next((part for part in device.parts if isinstance(part, Load) and part.sort == "primary"), None)
        if primary is None or device.tag == supply or not _lives_from(device, rails, job):
            continue
        source = next((part for part in device.parts if isinstance(part, Source)), None)
        va = (source.va or source.volts * source.amps) if source else 0.0
        if va and primary.rated_v:
            yield Share(device.tag, va / primary.rated_v, motor=False)


def _lives_from(device: Device, rails: set[str], job: Job) -> bool:
    """Whether a power path from those rails ends in it."""
    for path in job.circuit.power_paths:
        devices = {getattr(item, "device", "") for item in path.items}
        if device.tag in devices and rails & set(path.section):
            return True
    return False


def wires_ahead(feeder: Feeder, needed: float, job: Job) -> Fitted | None:
    """The thinnest wires of the file ahead of the branch devices."""
    wires = [w for route, _ in feeder.motors for w in route.wires if w.net not in route.branch_nets and w.size]
    sizes = [wire.size for wire in wires if wire.size is not None]
    if not sizes:
        return None
    size = min(sizes, key=lambda one: one.value)
    return judged_size(f"wires {size.text}", size, needed, job)
