"""The short-circuit rating of a panel: that of its weakest power component, against what the supply can give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import sqrt

from ..catalog.quantities import WATTS_PER_HP
from ..catalog.shelf import Trust
from ..circuit import Device, Quantity
from .answers import Allowed, Answer, Fitted, Missing, Working, amount, in_amps, line_with
from .conductors import sizes
from .factors import FactorRow, factor, step
from .fault_loop import GateRow, device_kind
from .job import Job
from .protection import rating_of
from .routes import Route
from .tables import TableRow, rows_of

RATING, LET_THROUGH = "short-circuit rating", "let-through energy"
PVC_C = 70.0
DEFAULTS = {
    "breaker": "circuit breaker (including GFCI type)",
    "motor breaker": "circuit breaker (including GFCI type)",
    "fuse": "fuseholder",
    "overload relay": "industrial control equipment: auxiliary devices (overload relay)",
    "disconnect": "switch unit",
    "terminal strip": "terminal block or power distribution block",
}


class LimitRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What an energy-limiting breaker lets through at most, up to a rating and a short-circuit current."""

    curve: str
    rating_max_a: float
    fault_a: float
    let_through_a2s: float


class AssumedRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """kA assumed for a component that is not marked."""

    component: str
    ka: float


def assumed_ka(kind: str, hp: float = 0.0) -> AssumedRow | None:
    """The row for an unmarked component; contactors by the horsepower of their motor. Source: UL 508A Table SB4.1."""
    rows = {row.component: row for row in rows_of("assumed_short_circuit", AssumedRow)}
    if kind in DEFAULTS:
        return rows[DEFAULTS[kind]]
    if kind not in ("contactor", "latched contactor"):
        return None
    for name, row in rows.items():
        if name.startswith("motor controller ") and hp <= float(name.split()[2].split("-")[1]) * 1.005:
            return row
    return None


def rating_answers(routes: Sequence[Route], job: Job) -> tuple[Answer, ...]:
    """One answer for the panel; none where nothing carries a motor."""
    found = tuple(_ratings(routes, job))
    if not found:
        return ()
    rule = job.region.clause("panel short-circuit rating")
    about, unmarked = "panel", [device for device, ka, _ in found if ka is None]
    known = [(device, ka, working) for device, ka, working in found if ka is not None]
    fault, missing = _fault(job)
    if unmarked:
        tags = ", ".join(device.tag for device in unmarked)
        line = line_with(unmarked[0], "withstands 10 kA")
        why = "the panel is as strong as its weakest power component, and the rules give no value for an unmarked one"
        missing = (*missing, Missing(f"short-circuit rating of {tags}", why, line))
        return (Answer(about, RATING, workings=tuple(working for _, _, working in known), missing=missing),)
    weakest = min(known, key=lambda one: one[1] or 0.0)
    ka = weakest[1] or 0.0
    fitted = None
    if fault is not None:
        fits = fault <= ka + 1e-9
        fitted = Fitted(f"supply {amount(fault, 'kA')}", fits, "" if fits else f"more than {weakest[0].tag} withstands")
    warnings = (
        "a current-limiting device ahead may raise it, where its let-through current is shown to be low enough",
        "a combination that was tested together may have a higher rating: its marking decides",
    )
    checked: Trust = "seen" if job.american else "from memory"
    last = Working(f"the weakest rates the panel: {amount(ka, 'kA')}", rule, rule, checked)
    steps = (*(working for _, _, working in sorted(known, key=lambda one: one[1] or 0.0)), last)
    return (
        Answer(about, RATING, f"{amount(ka, 'kA')} ({weakest[0].tag})", ka, "kA", steps, (), fitted, warnings, missing),
    )


def _ratings(routes: Sequence[Route], job: Job) -> Iterator[tuple[Device, float | None, Working]]:
    """Every power component once: (device, kA or None, how that is known)."""
    hp: dict[str, float] = {}
    devices: dict[str, Device] = {}
    for route in routes:
        for stop in route.stops:
            devices[stop.device.tag] = stop.device
            hp[stop.device.tag] = max(hp.get(stop.device.tag, 0.0), route.plate.watts / WATTS_PER_HP)
        for device in job.circuit.devices:
            if device.kind == "terminal strip" and any(
                end.split(".")[0] == device.tag for wire in route.wires for end in wire.ends
            ):
                devices.setdefault(device.tag, device)
    for tag, device in devices.items():
        fact = next((fact for fact in device.facts if fact.name == "short-circuit rating"), None)
        if fact is not None and fact.quantity is not None:
            ka = fact.quantity.value / 1000
            yield device, ka, Working(f"{tag} {device.kind}: {fact.quantity.text}, as marked", "", "the panel file")
            continue
        row = assumed_ka(device.kind, hp.get(tag, 0.0)) if job.american else None
        if row is None:
            yield device, None, Working(f"{tag} {device.kind}: not marked")
        else:
            yield (
                device,
                row.ka,
                Working(f"{tag} {device.kind}: {row.ka:g} kA, not marked: assumed", row.source, row.source, row.trust),
            )


def let_through_answer(route: Route, device: Answer, conductor: Quantity | None, job: Job) -> Answer | None:
    """What the branch device may let through in a short circuit: (k S) squared, against what it lets through.

    None for the NEC, whose percentages stand in for it, and while the conductor is not known.
    Source: IEC 60364-4-43 434.5.2.
    """
    if job.american or conductor is None:
        return None
    k = _k(job)
    area = conductor.value * 1e6
    most = (k.value * area) ** 2
    fault, _ = _fault(job)
    words = f"({k.value:g} x {amount(area, 'mm2')}) squared = {_joules(most)}"
    steps = [step(words, k, job.region.clause("let-through"))]
    if fault is not None:
        steps.append(Working(f"at {amount(fault, 'kA')} the conductor bears that for {_milliseconds(most, fault)}"))
    row, fitted = _lets_through(route, fault, most)
    also: tuple[Allowed, ...] = ()
    if row is not None:
        steps.append(step(_told(route, row), row))
        also = _thick_enough(row.let_through_a2s, k.value, area, job)
    return Answer(
        route.plate.name, LET_THROUGH, f"at most {_joules(most)}", most, "A2s", tuple(steps), also, fitted
    )  # fmt: skip


def _thick_enough(let_through_a2s: float, k: float, area_mm2: float, job: Job) -> tuple[Allowed, ...]:
    """The smallest conductor of the table that surely bears what the device lets through, where this one is thinner."""
    least = sqrt(let_through_a2s) / k
    if area_mm2 >= least:
        return ()
    found = next((one for one in sizes(0.0, job.region, job.site) if one.area_mm2 >= least), None)
    why = f"the smallest that surely bears {_joules(let_through_a2s)}"
    return (Allowed(found.name, why, found.area_mm2),) if found is not None else ()


def with_short_circuit(conductor: Answer, route: Route, job: Job) -> Answer:
    """The answer, with a word where the device of the file lets more through than that conductor surely bears."""
    if job.american or conductor.value is None:
        return conductor
    row, _ = _lets_through(route, _fault(job)[0], 0.0)
    thicker = _thick_enough(row.let_through_a2s, _k(job).value, conductor.value, job) if row is not None else ()
    if row is None or route.device is None or not thicker:
        return conductor
    lets = f"{route.device.device.tag} lets up to {_joules(row.let_through_a2s)} through in a short circuit"
    words = f"{lets}: from {thicker[0].choice} on the conductor surely bears that ({job.region.clause('let-through')})"
    return replace(conductor, warnings=(*conductor.warnings, words))


def _k(job: Job) -> FactorRow:
    return factor("k copper pvc" if job.site.insulation_c <= PVC_C else "k copper xlpe")


def _joules(a2s: float) -> str:
    return amount(a2s / 1000, "kA2s", 3)


def _milliseconds(a2s: float, kilo_amps: float) -> str:
    return amount(a2s / (kilo_amps * 1000) ** 2 * 1000, "ms", 2)


def _lets_through(route: Route, fault: float | None, most: float) -> tuple[GateRow | LimitRow | None, Fitted | None]:
    """What the device of the file lets through at most, by its standard."""
    if route.device is None:
        return None, None
    tag, rating = route.device.device.tag, rating_of(route.device.device)
    row = let_through(rating, device_kind(route.device.device), fault) if rating else None
    if row is None:
        return None, Fitted(tag, None, "compare with what its maker prints")
    fits = row.let_through_a2s <= most
    why = f"lets {_joules(row.let_through_a2s)} through at most" if fits else "compare with what its maker prints"
    return row, Fitted(f"{tag} {in_amps(rating or 0.0)}", True if fits else None, why)


def _told(route: Route, row: GateRow | LimitRow) -> str:
    assert route.device is not None
    device = route.device.device
    kind = "gG" if isinstance(row, GateRow) else f"{row.curve}, energy-limiting class 3"
    lets = f"lets {_joules(row.let_through_a2s)} through at most"
    return f"{device.tag} {in_amps(rating_of(device) or 0.0)} {kind}: {lets}"


def let_through(rating_a: float, sort: str, fault_ka: float | None) -> GateRow | LimitRow | None:
    """What a gG fuse or a B or C curve breaker lets through at most, as a row; None where no standard says.

    A breaker needs the short-circuit current in kA. Source: IEC 60269-2; EN 60898-1 annex ZA (class 3), from memory.
    """
    if sort == "gG":
        return next((row for row in rows_of("fuse_gates", GateRow) if row.rating_a == rating_a), None)
    if fault_ka is None:
        return None
    rows = (row for row in rows_of("breaker_let_through", LimitRow) if row.curve == sort)
    return next((r for r in rows if rating_a <= r.rating_max_a and fault_ka * 1000 <= r.fault_a), None)


def _fault(job: Job) -> tuple[float | None, tuple[Missing, ...]]:
    """kA that the supply can give, as its line says."""
    mains = [device for device, source in job.circuit.supplies if not source.fed_by and source.current == "ac"]
    said = [f.quantity.value / 1000 for d in mains for f in d.facts if f.name == "fault current" and f.quantity]
    if said:
        return max(said), ()
    if not mains:
        return None, ()
    why = "a panel may only be put where the supply gives no more than its rating"
    return None, (Missing(f"fault current of {mains[0].tag}", why, line_with(mains[0], "fault current 10 kA")),)
