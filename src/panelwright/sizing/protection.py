"""Short-circuit and earth-fault protection of motor branches.

NEC: a percentage of the table current by kind of device (430.52), and the next standard size up (exception 1).
IEC: a device that lets the motor start and opens before the conductor is too hot; no table of percentages exists.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..circuit import Device
from .answers import Allowed, Answer, Fitted, Missing, Working, in_amps, line_with, not_answered
from .asking import NEC_REGION, NOT_NEGATIVE, POSITIVE, Rule, asked, one_of
from .factors import FactorRow, factor, step
from .job import Job
from .motors import Current, held_rotor
from .plates import Plate
from .regions import Region
from .routes import Route
from .tables import OutsideTable, TableRow, rows_of

DEVICE = "branch device"
KINDS = {
    "nontime_delay_fuse": "non-time-delay fuse",
    "time_delay_fuse": "time-delay fuse",
    "inverse_time_breaker": "inverse-time breaker",
    "instantaneous_trip_breaker": "instantaneous-trip breaker",
}


class PercentRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent of the table current by kind of device."""

    motor: str
    nontime_delay_fuse: float
    time_delay_fuse: float
    instantaneous_trip_breaker: float
    inverse_time_breaker: float


class CeilingRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent that exception 2 allows at most."""

    device: str
    motor: str = ""
    percent: float
    current_max_a: float | None = None
    device_max_a: float | None = None


class RatingRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A standard rating."""

    rating_a: float
    fuse_only: str


class UsualRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A rating that is made."""

    kind: str
    rating_a: float


class CurveRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Instantaneous tripping of a breaker, times its rating."""

    curve: str
    from_times: float
    to_times: float


A_MOTOR = Rule(
    lambda value: value in {row.motor for row in rows_of("branch_device", PercentRow)},
    "it is none of those that are known",
    lambda *_: f"There are {', '.join(row.motor for row in rows_of('branch_device', PercentRow))}",
)


@dataclass(frozen=True, slots=True)
class BranchLimit:
    """What 430.52 allows: the product, the next standard size, the largest one not above the product, the ceiling.

    `under`: None when no standard size is that small. An instantaneous-trip breaker is set, so `size` is the product.
    """

    device: str
    percent: float
    product_a: float
    size_a: float
    under_a: float | None
    ceiling_a: float | None
    ceiling_by: CeilingRow | None
    workings: tuple[Working, ...]


def standard_sizes(*, fuses: bool) -> tuple[float, ...]:
    """Standard ratings in amperes; those for fuses alone only if `fuses`. Source: NEC 240.6(A)."""
    return tuple(row.rating_a for row in rows_of("standard_ratings", RatingRow) if fuses or row.fuse_only == "no")


@asked(amps=NOT_NEGATIVE)
def next_size(amps: float, *, fuses: bool) -> float:
    """The standard rating at or above. Raises: OutsideTable above the largest."""
    found = next((size for size in standard_sizes(fuses=fuses) if size >= amps - 1e-9), None)
    if found is None:
        raise OutsideTable(f"no standard rating is as large as {in_amps(amps)}")
    return found


@asked(amps=NOT_NEGATIVE)
def size_below(amps: float, *, fuses: bool) -> float | None:
    """The largest standard rating that is not above."""
    return max((size for size in standard_sizes(fuses=fuses) if size <= amps + 1e-9), default=None)


@asked(amps=POSITIVE, device=one_of(KINDS), region=NEC_REGION, motor=A_MOTOR)
def branch_limit(amps: float, device: str, region: Region, motor: str = "three-phase") -> BranchLimit:
    """The largest branch device for a table current. `device`: a key of KINDS; `motor`: a row of Table 430.52.

    Raises: AskedWrongly for another device or motor, OutsideTable.
    """
    row = {row.motor: row for row in rows_of("branch_device", PercentRow)}[motor]
    percent: float = getattr(row, device)
    product = amps * percent / 100
    words = f"{percent:g} % x {in_amps(amps)} = {in_amps(product)} ({KINDS[device]})"
    steps = [step(words, row, region.clause("branch device"))]
    fuses = device.endswith("fuse")
    if device == "instantaneous_trip_breaker":
        return BranchLimit(
            device, percent, product, product, None, *_ceiling(amps, device, product, motor), tuple(steps)
        )
    size = next_size(product, fuses=fuses)
    under = size_below(product, fuses=fuses)
    if size > product + 1e-9:
        words = f"{in_amps(product)} is no standard size: next size up {in_amps(size)}"
        steps.append(
            Working(words, f"{region.clause('branch exception 1')}, {region.clause('standard sizes')}", "NEC 240.6(A)")
        )
    return BranchLimit(device, percent, product, size, under, *_ceiling(amps, device, size, motor), tuple(steps))


def _ceiling(amps: float, device: str, size: float, motor: str) -> tuple[float | None, CeilingRow | None]:
    """What exception 2 allows where the motor will not start on less; a fuse stays in its class (up to 600 A)."""
    for row in rows_of("branch_ceilings", CeilingRow):
        fits = (row.current_max_a is None or amps <= row.current_max_a) and (
            row.device_max_a is None or size <= row.device_max_a
        )
        if row.device == device and row.motor in ("", motor) and fits:
            return min(amps * row.percent / 100, row.device_max_a or float("inf")), row
    return None, None


def _ceiling_rule(limit: BranchLimit, region: Region) -> str:
    """The exception that a ceiling stands in, and a word where it was not read."""
    row = limit.ceiling_by
    assert row is not None
    rule = row.source if row.device == "instantaneous_trip_breaker" else region.clause("branch exception 2")
    return rule if row.trust == "seen" else f"{rule}, {row.trust}"


def motor_row(plate: Plate) -> str:
    """The row of Table 430.52 for a motor."""
    if plate.kind == "three-phase" and "energy-efficient" in plate.words:
        return "three-phase design B energy efficient"
    return plate.kind


@dataclass(frozen=True, slots=True)
class Behind:
    """What else stands behind a branch device: the largest current of the motor's other windings, other motors."""

    winding_a: float = 0.0
    motors: tuple[str, ...] = ()


def device_answer(route: Route, current: Current, job: Job, behind: Behind | None = None) -> Answer:
    """The branch device of a motor; a motor of several windings has one device, for the largest of them."""
    behind = behind or Behind()
    if current.amps is None:
        return not_answered(route.plate.name, DEVICE, current.missing)
    if behind.winding_a > current.amps:
        why = f"one device for all windings: chosen by the largest, {in_amps(behind.winding_a)}"
        current = replace(current, amps=behind.winding_a, workings=(*current.workings, Working(why)))
    answer = _nec_device(route, current.amps or 0.0, job) if job.american else _iec_device(route, current, job)
    if not behind.motors or route.device is None:
        return answer
    tag = route.device.device.tag
    why = f"protects {' and '.join(behind.motors)} too: see the device of the group"
    return replace(answer, fitted=Fitted(f"{tag}", None, why), missing=())


# ---- NEC
def device_sort(device: Device) -> tuple[str, ...]:
    """Which kinds of Table 430.52 a device of the file may be: one, or two when the file leaves it open."""
    said = {fact.name for fact in device.facts}
    if device.kind == "fuse":
        return ("time_delay_fuse",) if "slow" in said else ("nontime_delay_fuse",) if "fast" in said else (
            "time_delay_fuse", "nontime_delay_fuse")  # fmt: skip
    if "instantaneous-trip" in said:
        return ("instantaneous_trip_breaker",)
    return ("inverse_time_breaker",)


def _nec_device(route: Route, amps: float, job: Job) -> Answer:
    motor = motor_row(route.plate)
    stop = route.device
    sorts = device_sort(stop.device) if stop else ("inverse_time_breaker", "time_delay_fuse", "nontime_delay_fuse")
    limits = [branch_limit(amps, sort, job.region, motor) for sort in sorts]
    first = limits[0]
    also = [Allowed(f"at most {in_amps(one.size_a)} {KINDS[one.device]}",
                    f"{one.percent:g} % of the motor current", one.size_a) for one in limits[1:]]  # fmt: skip
    if first.under_a and first.under_a < first.size_a:
        why = f"not above {in_amps(first.product_a)}, without {job.region.clause('branch exception 1')}"
        also.insert(0, Allowed(f"{in_amps(first.under_a)} {KINDS[first.device]}", why, first.under_a))
    if first.ceiling_a and first.ceiling_a > first.size_a:
        why = f"only if the motor does not start on {in_amps(first.size_a)}: {_ceiling_rule(first, job.region)}"
        also.append(Allowed(f"up to {in_amps(first.ceiling_a)}", why, first.ceiling_a))
    fitted, missing = _nec_fitted(route, limits, amps)
    return Answer(
        route.plate.name, DEVICE, f"at most {in_amps(first.size_a)} {KINDS[first.device]}", first.size_a, "A",
        first.workings, tuple(also), fitted, missing=missing,
    )  # fmt: skip


def _nec_fitted(route: Route, limits: list[BranchLimit], amps: float) -> tuple[Fitted | None, tuple[Missing, ...]]:
    stop = route.device
    if stop is None:
        fuse = next(one.size_a for one in limits if one.device == "time_delay_fuse")
        return None, (_no_device(route, f"{in_amps(fuse)}  slow"),)
    if stop.device.kind == "motor breaker":
        why = "protects a branch only where it is listed for that, as a self-protected combination controller"
        return Fitted(f"{stop.device.tag} motor breaker", None, why), ()
    rating = rating_of(stop.device)
    if rating is None:
        return Fitted(stop.device.tag, None, "its rating is not said"), ()
    text = f"{stop.device.tag} {stop.device.kind} {in_amps(rating)}"
    least, most = min(one.size_a for one in limits), max(one.size_a for one in limits)
    if rating < amps - 1e-9:
        return Fitted(text, False, f"less than the motor current of {in_amps(amps)}"), ()
    if rating <= least + 1e-9:
        return Fitted(text, True, f"not above {in_amps(least)}"), ()
    if rating > most + 1e-9:
        return Fitted(text, False, f"above {in_amps(most)}, the largest that is allowed"), ()
    why = "the largest size differs for time-delay and non-time-delay fuses"
    return Fitted(text, None, "allowed as a non-time-delay fuse, too large as a time-delay fuse"), (
        Missing(f"kind of fuse of {stop.device.tag}", why, f"{line_with(stop.device, 'slow')}   (or fast)"),
    )


def _no_device(route: Route, rating: str) -> Missing:
    why = "nothing in the file opens this branch on a short circuit"
    poles = 3 if route.plate.phases == 3 else 2
    return Missing(f"branch device of {route.plate.tag}", why, f"devices: FU1  fuse  {poles} poles  {rating}")


def rating_of(device: Device) -> float | None:
    """Rated amperes as the file says them; the upper end of the range of a motor breaker."""
    facts = {fact.name: fact for fact in device.facts}
    if (amps := facts.get("amps")) is not None and amps.quantity is not None:
        return amps.quantity.value
    if (span := facts.get("range")) is not None and span.other is not None:
        return span.other.value
    return None


# ---- IEC
def _iec_device(route: Route, current: Current, job: Job) -> Answer:
    assert current.amps is not None
    amps, rule = current.amps, fuse_factor(route)
    clause = job.region.clause("branch device")
    fuse = usual_size("gG fuse", amps * rule.value)
    held = starting(route, current, job)
    back_up = usual_size("gG fuse", amps)
    breaker = _breaker(amps, held.amps or amps)
    steps = (
        step(f"{in_amps(amps)} x {rule.value:g} = {in_amps(amps * rule.value)}: next gG size {in_amps(fuse)}",
             rule, clause),
        *held.workings,
    )  # fmt: skip
    also = [Allowed(f"{in_amps(back_up)} aM", "back-up fuse: only together with an overload relay", back_up)]
    if breaker is not None:
        also.append(Allowed(f"{in_amps(breaker[0])} breaker, {breaker[1].curve}",
                            f"holds below {breaker[1].from_times:g} x its rating", breaker[0]))  # fmt: skip
    also.append(Allowed(f"motor breaker with {in_amps(amps)} in its range", "protects against overload too", amps))
    fitted, missing = _iec_fitted(route, amps, held.amps or amps)
    why = "the maker of contactor and overload relay says which device they stand (coordination): that table decides"
    return Answer(
        route.plate.name, DEVICE, f"{in_amps(fuse)} gG", fuse, "A", steps, tuple(also), fitted, (why,), missing,
    )  # fmt: skip


def fuse_factor(route: Route) -> FactorRow:
    """Times the motor current for a gG fuse: less where the motor starts in star."""
    return factor("gG fuse of a star-delta motor" if route.star_delta else "gG fuse of a motor")


def starting(route: Route, current: Current, job: Job) -> Current:
    """The current that the line gives while the motor starts: a third of the held rotor's where it starts in star."""
    held = held_rotor(route.plate, current, job.region)
    if held.amps is None or not route.star_delta:
        return held
    third = factor("start in star")
    words = f"in star: {third.value:.3g} x {in_amps(held.amps)} = {in_amps(held.amps * third.value)}"
    return Current(held.amps * third.value, held.by, (*held.workings, step(words, third)))


def usual_size(kind: str, amps: float) -> float:
    """The rating at or above that is made. Raises: OutsideTable above the largest."""
    found = next(
        (r.rating_a for r in rows_of("usual_ratings", UsualRow) if r.kind == kind and r.rating_a >= amps - 1e-9), None
    )
    if found is None:
        raise OutsideTable(f"no {kind} is as large as {in_amps(amps)}")
    return found


def _breaker(amps: float, held_a: float) -> tuple[float, CurveRow] | None:
    """The smallest D or C breaker that carries the motor and is not tripped at once by its start."""
    curves = {row.curve: row for row in rows_of("breaker_curves", CurveRow)}
    curve = curves["D curve"]
    try:
        return usual_size("breaker", max(amps, held_a / curve.from_times)), curve
    except OutsideTable:
        return None


def _iec_fitted(route: Route, amps: float, held_a: float) -> tuple[Fitted | None, tuple[Missing, ...]]:
    stop = route.device
    if stop is None:
        fuse = usual_size("gG fuse", amps * fuse_factor(route).value)
        return None, (_no_device(route, f"{in_amps(fuse)}  gG"),)
    device, rating = stop.device, rating_of(stop.device)
    if rating is None:
        return Fitted(device.tag, None, "its rating is not said"), ()
    text = f"{device.tag} {device.kind} {in_amps(rating)}"
    if rating < amps - 1e-9:
        return Fitted(text, False, f"less than the motor current of {in_amps(amps)}"), ()
    said = {fact.name for fact in device.facts}
    if device.kind == "motor breaker":
        return Fitted(text, True, "its range reaches the motor current"), ()
    if device.kind == "fuse":
        return _fuse_fitted(text, device, rating, amps * fuse_factor(route).value, said)
    return _breaker_fitted(text, device, rating, held_a, said)


def _fuse_fitted(
    text: str, device: Device, rating: float, wanted: float, said: set[str]
) -> tuple[Fitted, tuple[Missing, ...]]:
    if "aM" in said:
        return Fitted(f"{text} aM", True, "a back-up fuse at or above the motor current"), ()
    if rating >= wanted - 1e-9:
        return Fitted(text, True, f"at least {in_amps(wanted)}: bears the start"), ()
    if "gG" in said or "fast" in said:
        return Fitted(text, None, f"below {in_amps(wanted)}: look at its curve whether it bears the start"), ()
    why = "a gG fuse of this size may open while the motor starts, an aM fuse does not"
    missing = Missing(f"kind of fuse of {device.tag}", why, f"{line_with(device, 'gG')}   (or aM)")
    return Fitted(text, None, f"below {in_amps(wanted)}: bears the start if it is an aM fuse"), (missing,)


def _breaker_fitted(
    text: str, device: Device, rating: float, held_a: float, said: set[str]
) -> tuple[Fitted, tuple[Missing, ...]]:
    curve = next((row for row in rows_of("breaker_curves", CurveRow) if row.curve in said), None)
    if curve is not None:
        at = rating * curve.from_times
        fits = at >= held_a
        why = f"{curve.curve}: does not trip at once below {curve.from_times:g} x {in_amps(rating)} = {in_amps(at)}"
        return Fitted(f"{text} {curve.curve}", fits, f"{why}; the start takes {in_amps(held_a)}"), ()
    least = next((row for row in rows_of("breaker_curves", CurveRow) if rating * row.from_times >= held_a), None)
    if least is None:
        return Fitted(text, None, f"no curve bears a start of {in_amps(held_a)}"), ()
    mend = line_with(device, least.curve)
    missing = Missing(
        f"curve of {device.tag}", f"the start takes {in_amps(held_a)}; only its curve tells if it holds", mend
    )
    return Fitted(text, None, f"holds during the start with {least.curve} or slower"), (missing,)
