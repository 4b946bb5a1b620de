"""The feeder of a panel under IEC rules: the currents added up, the device ahead, and how far thinner wires may go."""

from __future__ import annotations

from .answers import Allowed, Answer, Fitted, Working, in_amps
from .branch import several_answer
from .conductors import smallest_conductor
from .factors import factor, step
from .feeder_loads import Feeder, wires_ahead
from .job import Job
from .protection import fuse_factor, rating_of, usual_size
from .routes import Stop
from .tables import OutsideTable

CONDUCTOR, DEVICE = "feeder conductor", "feeder device"
PROTECTING = ("fuse", "breaker", "motor breaker")
SAME = 1e-9


def iec_conductor(feeder: Feeder, job: Job) -> Answer:
    """The currents added up, for the motors that can run together; along its whole length, and for the first metres."""
    total, summed = _load(feeder)
    try:
        chosen = smallest_conductor(total, job.region, job.site)
    except OutsideTable as reason:
        return several_answer(feeder.supply, CONDUCTOR, total, (summed,), str(reason), job)
    also: tuple[Allowed, ...] = ()
    rating, notes = _rating_ahead(feeder, total), feeder.counted
    if rating is not None and rating > chosen.amps + SAME:
        also, note = _protected(rating, job)
        notes = (*notes, note)
    return Answer(
        feeder.supply, CONDUCTOR, chosen.name, chosen.area_mm2, "mm2", (summed, *chosen.workings), also,
        wires_ahead(feeder, total, job), notes,
    )  # fmt: skip


def _load(feeder: Feeder) -> tuple[float, Working]:
    loads = [*feeder.heaviest(), *((share.name, share.amps) for share in feeder.others)]
    total = sum(amps for _, amps in loads)
    terms = " + ".join(f"{in_amps(amps)} ({name})" for name, amps in loads)
    return total, Working(f"{terms} = {in_amps(total)}" if len(loads) > 1 else f"carries {terms}")


def _rating_ahead(feeder: Feeder, total: float) -> float | None:
    """Rating of the device ahead: of the file, else as chosen; None beyond the table."""
    stop = _fitted_ahead(feeder)
    try:
        return (rating_of(stop.device) if stop else None) or _ahead(feeder, total)[0]
    except OutsideTable:
        return None


def _protected(rating: float, job: Job) -> tuple[tuple[Allowed, ...], str]:
    """The conductor that the device ahead protects, and how far one that only carries the load may go."""
    short = factor("reduced length")
    rule = job.region.clause("reduced conductor")
    note = (
        f"a device of {in_amps(rating)} ahead does not protect it: no more than {short.value:g} m of it, inside the "
        f"enclosure or in duct ({rule}, {short.trust})"
    )
    try:
        own = smallest_conductor(rating, job.region, job.site)
    except OutsideTable:
        return (), note
    return (Allowed(own.name, f"protected along its whole length by {in_amps(rating)} ahead", own.area_mm2),), note


def iec_device(feeder: Feeder, job: Job) -> Answer:
    """The device ahead of all: it carries the load, bears a start, and opens after the fuses behind it."""
    rating, steps = _ahead(feeder, _load(feeder)[0])
    stop, fitted = _fitted_ahead(feeder), None
    notes: tuple[str, ...] = ()
    if stop is None:
        rule = job.region.clause("feeder device")
        notes = (f"the file has none: the papers of the panel name it for whoever connects the panel ({rule})",)
    elif (has := rating_of(stop.device)) is not None:
        fits = has >= rating - SAME
        why = f"{'not ' if fits else ''}below {in_amps(rating)}"
        fitted = Fitted(f"{stop.device.tag} {in_amps(has)}", True if fits else None, why)
    return Answer(
        feeder.supply, DEVICE, f"{in_amps(rating)} gG", rating, "A", steps, fitted=fitted, warnings=notes
    )  # fmt: skip


def _fitted_ahead(feeder: Feeder) -> Stop | None:
    return next((stop for stop in feeder.shared if stop.device.kind in PROTECTING), None)


def _ahead(feeder: Feeder, total: float) -> tuple[float, tuple[Working, ...]]:
    """The gG fuse ahead of all, and the steps to it.

    Not below the load while its largest motor starts, nor 1.6 times the largest fuse behind it, nor another device.
    """
    (tag, largest), *_ = feeder.heaviest()
    route = next(route for route, _ in feeder.motors if route.plate.tag == tag)
    bears = fuse_factor(route)
    least = bears.value * largest + total - largest
    rest = f" + {in_amps(total - largest)} of the others" if total > largest + SAME else ""
    words = f"bears the start of {tag}: {bears.value:g} x {in_amps(largest)}{rest} = {in_amps(least)}"
    steps = [step(words, bears)]
    ahead = _fitted_ahead(feeder)
    behind = {stop.device.tag: stop.device for route, _ in feeder.motors if (stop := route.device) not in (None, ahead)}
    rated = [(amps, device) for device in behind.values() if (amps := rating_of(device)) is not None]
    for amps, device in sorted(rated, key=lambda one: -one[0])[:1]:
        ratio = factor("feeder fuse step")
        times = ratio.value if device.kind == "fuse" else 1.0
        least = max(least, amps * times)
        words = f"opens after {device.tag}: {times:g} x {in_amps(amps)} = {in_amps(amps * times)} at least"
        steps.append(step(words, ratio) if times != 1 else Working(f"not below {device.tag}, {in_amps(amps)}"))
    return usual_size("gG fuse", least), tuple(steps)
