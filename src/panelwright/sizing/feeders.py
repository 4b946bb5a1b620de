"""The feeder of several motors: conductor, protection, disconnect, with the other loads that hang on it."""

from __future__ import annotations

from collections.abc import Sequence

from .answers import Allowed, Answer, Fitted, Working, in_amps
from .asking import NOT_NEGATIVE, AskedWrongly, asked, every
from .branch import several_answer
from .conductors import Conductor, smallest_conductor
from .factors import factor, step
from .feeder_disconnect import disconnect_of_all
from .feeder_loads import Feeder, Share, feeders_of, wires_ahead
from .iec_feeders import iec_conductor, iec_device
from .job import Job
from .motors import Current
from .protection import KINDS, branch_limit, device_sort, motor_row, rating_of, size_below
from .routes import Route, Stop
from .tables import OutsideTable

CONDUCTOR, DEVICE, LOAD = "feeder conductor", "feeder device", "load of the feeder"
SAME = 1e-9


@asked(motors=every(NOT_NEGATIVE), others=NOT_NEGATIVE)
def feeder_load(motors: Sequence[float], others: float = 0.0) -> float:
    """Ampacity for several motors: 1.25 x the largest + the rest + other loads. Source: NEC 430.24."""
    if not motors:
        return others
    largest = max(motors)
    return factor("feeder largest motor").value * largest + sum(motors) - largest + others


def feeder_device(shares: Sequence[Share]) -> tuple[float, float | None]:
    """(sum, largest standard size not above it): largest branch device + the other currents. Source: NEC 430.62(A)."""
    if not shares:
        raise AskedWrongly("feeder_device: shares is empty; a feeder feeds something. Give a Share for each load.")
    first = max(shares, key=lambda share: share.device_a)
    total = first.device_a + sum(share.amps for share in shares if share is not first)
    return total, size_below(total, fuses=True)


def feeder_answers(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> tuple[Answer, ...]:
    """For each supply that feeds more than one motor, or a motor and other loads."""
    found: list[Answer] = []
    answers = (_nec_conductor, _nec_device) if job.american else (iec_conductor, iec_device)
    for feeder in feeders_of(routes, currents, job):
        if isinstance(feeder, Feeder):
            found += [answer(feeder, job) for answer in answers]
            if len(feeder.motors) > 1:
                found.append(disconnect_of_all(feeder, job))
        else:
            supply, missing = feeder
            found.append(Answer(supply, LOAD, missing=missing))
    return tuple(found)


# ---- NEC
def _nec_conductor(feeder: Feeder, job: Job) -> Answer:
    rest = feeder.other_amps
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
        (*_aluminium(needed, chosen, job), *_taps(feeder, chosen, job)), wires_ahead(feeder, needed, job),
        feeder.counted,
    )  # fmt: skip


def _aluminium(needed: float, chosen: Conductor, job: Job) -> tuple[Allowed, ...]:
    """The aluminium conductor that carries as much, where copper is thick enough for aluminium to be bought."""
    if chosen.area_mm2 < factor("aluminium from").value:
        return ()
    try:
        metal = smallest_conductor(needed, job.region, job.site, metal="al")
    except OutsideTable:
        return ()
    why = f"where every terminal is marked for aluminium ({job.region.clause('terminals')}); mind the drop, by its ohms"
    return (Allowed(f"{metal.name} aluminium", why, metal.area_mm2),)


def _taps(feeder: Feeder, chosen: Conductor, job: Job) -> tuple[Allowed, ...]:
    """What the wires from the feeder to one branch device may be, shorter than 10 or 25 ft. NEC 430.28."""
    if len(feeder.motors) < 2:
        return ()
    own = factor("motor conductor").value * max(amps for _, amps in feeder.motors)
    device = _largest_device(feeder, _sort_ahead(feeder), job)[1]
    if device is None:
        return ()
    found = []
    for kind, least in (
        ("short", device / factor("tap short").value),
        ("long", chosen.amps / factor("tap long").value),
    ):
        size = smallest_conductor(max(own, least), job.region, job.site)
        feet, share = factor(f"tap {kind} feet"), factor(f"tap {kind}")
        of = f"the {in_amps(device)} ahead" if kind == "short" else "what the feeder carries"
        if size.area_mm2 < chosen.area_mm2:
            why = f"up to {feet.value:g} ft from the feeder to one branch device: not below 1/{share.value:g} of {of}"
            rule = f"{job.region.clause('taps')}, {share.trust}"
            found.append(Allowed(f"{size.name} copper", f"{why} ({rule})", size.area_mm2))
    return tuple(found)


def _nec_device(feeder: Feeder, job: Job) -> Answer:
    """The largest branch device, of the feeder's kind, and the currents of the others; rounded down."""
    stop = _fitted_device(feeder)
    sort = _sort_ahead(feeder)
    total, size, steps = _largest_device(feeder, sort, job)
    fitted = _at_most(stop, total) if stop else None
    choice = f"at most {in_amps(size)} {KINDS[sort]}" if size is not None else ""
    if stop is not None:
        return Answer(feeder.supply, DEVICE, choice, size, "A", steps, fitted=fitted)
    other = "time_delay_fuse" if sort == "inverse_time_breaker" else "inverse_time_breaker"
    other_a = _largest_device(feeder, other, job)[1]
    also = (Allowed(f"at most {in_amps(other_a)} {KINDS[other]}", "by its own percentage", other_a),) if other_a else ()
    ahead = "the file has none: it is what the supply of this panel may have at most"
    return Answer(feeder.supply, DEVICE, choice, size, "A", steps, also, warnings=(ahead,))


def _fitted_device(feeder: Feeder) -> Stop | None:
    return next((stop for stop in feeder.shared if stop.device.kind in ("fuse", "breaker")), None)


def _sort_ahead(feeder: Feeder) -> str:
    """The kind of the feeder's device; of the largest motor's branch device where the file has no feeder device."""
    largest = max(feeder.motors, key=lambda one: one[1])[0]
    stop = _fitted_device(feeder) or largest.device
    sort = device_sort(stop.device)[0] if stop and stop.device.kind in ("fuse", "breaker") else "inverse_time_breaker"
    return sort if sort != "instantaneous_trip_breaker" else "inverse_time_breaker"


def _largest_device(feeder: Feeder, sort: str, job: Job) -> tuple[float, float | None, tuple[Working, ...]]:
    """(sum, standard size not above it, steps) for a feeder device of a kind."""
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
    return total, size, tuple(steps)


def _at_most(stop: Stop, total: float) -> Fitted | None:
    rating = rating_of(stop.device)
    if rating is None:
        return None
    fits = rating <= total + SAME
    return Fitted(f"{stop.device.tag} {in_amps(rating)}", fits, f"{'not above' if fits else 'above'} {in_amps(total)}")
