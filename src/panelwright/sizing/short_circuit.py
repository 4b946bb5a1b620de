"""The short-circuit rating of a panel: that of its weakest power component, against what the supply can give."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..circuit import Device, Quantity
from .answers import Answer, Fitted, Missing, Working, amount, line_with
from .factors import factor, step
from .job import Job
from .plates import WATTS_PER_HP
from .routes import Route
from .tables import TableRow, rows_of

RATING, OPENING = "short-circuit rating", "short circuit opened"
PVC_C = 70.0
DEFAULTS = {
    "breaker": "circuit breaker (including GFCI type)",
    "motor breaker": "circuit breaker (including GFCI type)",
    "fuse": "fuseholder",
    "overload relay": "industrial control equipment: auxiliary devices (overload relay)",
    "disconnect": "switch unit",
    "terminal strip": "terminal block or power distribution block",
}


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
    last = Working(f"the weakest rates the panel: {amount(ka, 'kA')}", rule, rule)
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


def opening_answer(route: Route, conductor: Quantity | None, job: Job) -> Answer | None:
    """How soon the branch device has to open a short circuit before the conductor is too hot: t = (k S / I) squared.

    None for the NEC, whose percentages stand in for it, and while current or conductor are not known.
    """
    fault, _ = _fault(job)
    if job.american or fault is None or conductor is None or job.site.insulation_c != PVC_C:
        return None
    k = factor("k copper pvc")
    area, amps = conductor.value * 1e6, fault * 1000
    seconds = (k.value * area / amps) ** 2
    words = f"({k.value:g} x {amount(area, 'mm2')} / {amount(amps, 'A')}) squared = {amount(1000 * seconds, 'ms', 2)}"
    most = amount((k.value * area) ** 2, "A2s", 3)
    limit = f"the branch device may let at most {most} through: compare with its data"
    choice = f"within {amount(1000 * seconds, 'ms', 2)} at {amount(fault, 'kA')}"
    return Answer(route.plate.name, OPENING, choice, seconds, "s", (step(words, k), Working(limit)))


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
