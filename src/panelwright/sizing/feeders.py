"""The feeder of several motors: conductor and protection, with the other loads that hang on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Device, Load, Source
from .answers import Answer, Fitted, Missing, Working, in_amps
from .conductors import smallest_conductor
from .factors import factor, step
from .job import Job
from .motors import Current
from .protection import branch_limit, device_sort, motor_row, rating_of, size_below
from .routes import Route, Stop
from .tables import OutsideTable

CONDUCTOR, DEVICE, LOAD = "feeder conductor", "feeder device", "load of the feeder"
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Share:
    """One load on a feeder: its current, and for a motor the largest branch device allowed (0 for others)."""

    name: str
    amps: float
    device_a: float = 0.0
    motor: bool = True


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
        fed = [(r, c) for r, c in zip(routes, currents, strict=True) if supply in r.supplies]
        alike = _one_winding_each(fed)
        others = tuple(_other_loads(supply, job))
        if len(alike) + len(others) > 1:
            found += _feeder(supply, alike, others, job)
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


def _feeder(supply: str, fed: list[tuple[Route, Current]], others: tuple[Share, ...], job: Job) -> Iterator[Answer]:
    unknown = tuple(dict.fromkeys(missing for _, current in fed for missing in current.missing))
    known = [(route, current.amps) for route, current in fed if current.amps is not None]
    if unknown or not known:
        yield Answer(supply, LOAD, missing=unknown)
        return
    amps = sorted((amps for _, amps in known), reverse=True)
    rest = sum(share.amps for share in others)
    if not job.american:
        yield _iec_load(supply, known, others, job)
        return
    needed = feeder_load(amps, rest)
    row = factor("feeder largest motor")
    words = " + ".join(
        [
            f"{row.value:g} x {in_amps(amps[0])}",
            *map(in_amps, amps[1:]),
            *(f"{in_amps(s.amps)} ({s.name})" for s in others),
        ]
    )
    steps = (step(f"{words} = {in_amps(needed)}", row, job.region.clause("feeder conductor")),)
    together = "all motors are counted as running together, each with its own current"
    try:
        chosen = smallest_conductor(needed, job.region, job.site)
    except OutsideTable as reason:
        yield Answer(supply, CONDUCTOR, value=needed, unit="A", workings=steps, warnings=(f"{reason}.",))
    else:
        yield Answer(supply, CONDUCTOR, f"{chosen.name} copper", chosen.area_mm2, "mm2", (*steps, *chosen.workings),
                     fitted=_feeder_wires(supply, fed, needed, job), warnings=(together,))  # fmt: skip
    yield _device(supply, fed, known, others, job)


def _iec_load(supply: str, known: list[tuple[Route, float]], others: tuple[Share, ...], job: Job) -> Answer:
    total = sum(amps for _, amps in known) + sum(share.amps for share in others)
    words = " + ".join([*(f"{in_amps(amps)} ({route.plate.tag})" for route, amps in known),
                        *(f"{in_amps(share.amps)} ({share.name})" for share in others)])  # fmt: skip
    steps: tuple[Working, ...] = (Working(f"{words} = {in_amps(total)}, all running together", ""),)
    stop = _shared(known)
    fitted = None
    if stop is not None and (rating := rating_of(stop.device)) is not None:
        fits = rating + SAME >= total
        fitted = Fitted(
            f"{stop.device.tag} {in_amps(rating)}", fits, f"{'at least' if fits else 'below'} {in_amps(total)}"
        )
    chosen = smallest_conductor(total, job.region, job.site)
    return Answer(supply, CONDUCTOR, chosen.name, chosen.area_mm2, "mm2", (*steps, *chosen.workings), fitted=fitted)


def _feeder_wires(supply: str, fed: list[tuple[Route, Current]], needed: float, job: Job) -> Fitted | None:
    from .branch import carried_by

    wires = [w for route, _ in fed for w in route.wires if w.net not in route.branch_nets and w.size is not None]
    if not wires:
        return None
    size = min((wire.size for wire in wires if wire.size), key=lambda one: one.value)
    carries = carried_by(size, needed, job)
    if carries is None:
        return Fitted(f"wires {size.text}", None, "the table does not have that size")
    fits = carries + SAME >= needed
    why = f"carries {in_amps(carries)}" + ("" if fits else f", {in_amps(needed)} are needed")
    return Fitted(f"wires {size.text}", fits, why)


def _shared(known: Sequence[tuple[Route, float]]) -> Stop | None:
    """The device nearest to the motors that all of them go through."""
    common = frozenset.intersection(*(route.tags for route, _ in known))
    return next((stop for stop in known[0][0].stops if stop.device.tag in common), None) if len(known) > 1 else None


def _device(
    supply: str, fed: list[tuple[Route, Current]], known: list[tuple[Route, float]], others: tuple[Share, ...], job: Job
) -> Answer:
    protecting = [s for s in fed[0][0].stops if s.device.kind in ("fuse", "breaker") and s.device.tag in
                  frozenset.intersection(*(r.tags for r, _ in known)) and s is not fed[0][0].device]  # fmt: skip
    sort = device_sort(protecting[0].device)[0] if protecting else "inverse_time_breaker"
    shares = [
        Share(route.plate.name, amps, branch_limit(amps, sort, job.region, motor_row(route.plate)).size_a)
        for route, amps in known
    ] + list(others)
    total, size = feeder_device(shares)
    first = max(shares, key=lambda share: share.device_a)
    rest = [in_amps(share.amps) for share in shares if share is not first]
    words = " + ".join([f"{in_amps(first.device_a)} (largest branch device, {first.name})", *rest])
    steps = [Working(f"{words} = {in_amps(total)}", job.region.clause("feeder device"), "NEC 430.62(A)")]
    if size is not None and size < total - SAME:
        steps.append(
            Working(f"next standard size down: {in_amps(size)}", job.region.clause("standard sizes"), "NEC 240.6(A)")
        )
    fitted = None
    missing: tuple[Missing, ...] = ()
    if protecting and (rating := rating_of(protecting[0].device)) is not None:
        fits = size is not None and rating <= total + SAME
        fitted = Fitted(
            f"{protecting[0].device.tag} {in_amps(rating)}",
            fits,
            f"{'not above' if fits else 'above'} {in_amps(total)}",
        )
    choice = f"at most {in_amps(size)}" if size is not None else ""
    return Answer(supply, DEVICE, choice, size, "A", tuple(steps), fitted=fitted, missing=missing)
