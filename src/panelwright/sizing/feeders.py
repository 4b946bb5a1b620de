"""The feeder of several motors: conductor and protection, with the other loads that hang on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Device, Load, Source
from .answers import Answer, Fitted, Working, in_amps
from .branch import judged_size, several_answer
from .conductors import smallest_conductor
from .factors import factor, step
from .job import Job
from .motors import Current
from .protection import KINDS, branch_limit, device_sort, motor_row, rating_of, size_below
from .routes import Route, Stop
from .tables import OutsideTable
from .together import Running, running_together

CONDUCTOR, DEVICE, LOAD = "feeder conductor", "feeder device", "load of the feeder"
SAME = 1e-9


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


def feeder_load(motors: Sequence[float], others: float = 0.0) -> float:
    """Ampacity for several motors: 1.25 x the largest + the rest + other loads. Source: NEC 430.24."""
    if not motors:
        return others
    largest = max(motors)
    return factor("feeder largest motor").value * largest + sum(motors) - largest + others


def feeder_device(shares: Sequence[Share]) -> tuple[float, float | None]:
    """(sum, largest standard size not above it): largest branch device + the other currents. Source: NEC 430.62(A)."""
    first = max(shares, key=lambda share: share.device_a)
    total = first.device_a + sum(share.amps for share in shares if share is not first)
    return total, size_below(total, fuses=True)


def feeder_answers(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> tuple[Answer, ...]:
    """For each supply that feeds more than one motor, or a motor and other loads."""
    found: list[Answer] = []
    for supply in dict.fromkeys(tag for route in routes for tag in route.supplies):
        fed = _one_winding_each([(r, c) for r, c in zip(routes, currents, strict=True) if supply in r.supplies])
        others = tuple(_other_loads(supply, job))
        if len(fed) + len(others) < 2:
            continue
        unknown = tuple(dict.fromkeys(missing for _, current in fed for missing in current.missing))
        if unknown:
            found.append(Answer(supply, LOAD, missing=unknown))
            continue
        motors = tuple((route, current.amps or 0.0) for route, current in fed)
        feeder = Feeder(supply, motors, others, running_together([route for route, _ in fed], job))
        found += [_nec_conductor(feeder, job), _nec_device(feeder, job)] if job.american else [_iec_feeder(feeder, job)]
    return tuple(found)


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


# ---- NEC
def _nec_conductor(feeder: Feeder, job: Job) -> Answer:
    rest = sum(share.amps for share in feeder.others)
    sets = [feeder.currents(tags) for tags in feeder.running.sets]
    largest = max(sets, key=lambda motors: feeder_load([amps for _, amps in motors]))
    needed = feeder_load([amps for _, amps in largest], rest)
    row = factor("feeder largest motor")
    terms = [f"{row.value:g} x {in_amps(largest[0][1])}", *(in_amps(amps) for _, amps in largest[1:])]
    terms += [f"{in_amps(share.amps)} ({share.name})" for share in feeder.others]
    words = f"{' + '.join(terms)} = {in_amps(needed)}"
    steps: tuple[Working, ...] = (step(words, row, job.region.clause("feeder conductor")),)
    try:
        chosen = smallest_conductor(needed, job.region, job.site)
    except OutsideTable as reason:
        return several_answer(feeder.supply, CONDUCTOR, needed, steps, str(reason), job)
    return Answer(
        feeder.supply, CONDUCTOR, f"{chosen.name} copper", chosen.area_mm2, "mm2", (*steps, *chosen.workings),
        fitted=_wires(feeder, needed, job), warnings=_together(feeder),
    )  # fmt: skip


def _together(feeder: Feeder) -> tuple[str, ...]:
    """How many motors were counted, where there are several."""
    if len(feeder.motors) < 2:
        return ()
    sets = "; ".join(" and ".join(sorted(tags)) for tags in feeder.running.sets)
    return (feeder.running.how if feeder.running.whole else f"{feeder.running.how}: at most {sets} at once",)


def _nec_device(feeder: Feeder, job: Job) -> Answer:
    """The largest branch device, of the feeder's kind, and the currents of the others; rounded down."""
    fitted_stop = next((stop for stop in feeder.shared if stop.device.kind in ("fuse", "breaker")), None)
    sort = device_sort(fitted_stop.device)[0] if fitted_stop else "inverse_time_breaker"
    shares = [
        Share(route.plate.tag, amps, branch_limit(amps, sort, job.region, motor_row(route.plate)).size_a)
        for route, amps in feeder.motors
    ]
    sets = [[share for share in shares if share.name in tags] for tags in feeder.running.sets]
    counted = [*max(sets, key=lambda some: feeder_device(some)[0]), *feeder.others]
    total, size = feeder_device(counted)
    first = max(counted, key=lambda share: share.device_a)
    rest = [in_amps(share.amps) for share in counted if share is not first]
    words = " + ".join([f"{in_amps(first.device_a)} (largest {KINDS[sort]}, {first.name})", *rest])
    steps = [Working(f"{words} = {in_amps(total)}", job.region.clause("feeder device"), "NEC 430.62(A)")]
    if size is not None and size < total - SAME:
        down = f"next standard size down: {in_amps(size)}"
        steps.append(Working(down, job.region.clause("standard sizes"), "NEC 240.6(A)"))
    fitted = _at_most(fitted_stop, total) if fitted_stop else None
    choice = f"at most {in_amps(size)}" if size is not None else ""
    return Answer(feeder.supply, DEVICE, choice, size, "A", tuple(steps), fitted=fitted)


def _at_most(stop: Stop, total: float) -> Fitted | None:
    rating = rating_of(stop.device)
    if rating is None:
        return None
    fits = rating <= total + SAME
    return Fitted(f"{stop.device.tag} {in_amps(rating)}", fits, f"{'not above' if fits else 'above'} {in_amps(total)}")


def _wires(feeder: Feeder, needed: float, job: Job) -> Fitted | None:
    """The thinnest wires of the file ahead of the branch devices."""
    wires = [w for route, _ in feeder.motors for w in route.wires if w.net not in route.branch_nets and w.size]
    sizes = [wire.size for wire in wires if wire.size is not None]
    if not sizes:
        return None
    size = min(sizes, key=lambda one: one.value)
    return judged_size(f"wires {size.text}", size, needed, job)


# ---- IEC
def _iec_feeder(feeder: Feeder, job: Job) -> Answer:
    """The currents added up, for the motors that can run together."""
    sets = [feeder.currents(tags) for tags in feeder.running.sets]
    largest = max(sets, key=lambda motors: sum(amps for _, amps in motors))
    loads = [*largest, *((share.name, share.amps) for share in feeder.others)]
    total = sum(amps for _, amps in loads)
    words = f"{' + '.join(f'{in_amps(amps)} ({name})' for name, amps in loads)} = {in_amps(total)}"
    try:
        chosen = smallest_conductor(total, job.region, job.site)
    except OutsideTable as reason:
        return several_answer(feeder.supply, CONDUCTOR, total, (Working(words),), str(reason), job)
    fitted = _wires(feeder, total, job)
    stop = next((stop for stop in feeder.shared if (rating_of(stop.device) or total) < total - SAME), None)
    if stop is not None:
        fitted = Fitted(f"{stop.device.tag} {in_amps(rating_of(stop.device) or 0.0)}", False, f"below {in_amps(total)}")
    return Answer(
        feeder.supply, CONDUCTOR, chosen.name, chosen.area_mm2, "mm2", (Working(words), *chosen.workings),
        fitted=fitted, warnings=_together(feeder),
    )  # fmt: skip
