"""The conductor of a motor's branch: rule, choice, and what the file has there."""

from __future__ import annotations

from dataclasses import replace

from ..circuit import Quantity
from ..wiring import Wire
from .answers import Allowed, Answer, Fitted, Missing, Working, in_amps, not_answered
from .conductors import SAME_AREA, Conductor, in_parallel, sizes, smallest_conductor
from .control import SmallRow
from .factors import factor, step
from .job import Job
from .motors import Current
from .routes import Route
from .tables import OutsideTable, rows_of

CONDUCTOR = "branch conductor"


def needed_ampacity(route: Route, current: Current, job: Job) -> tuple[float, Working | None]:
    """What a conductor of the branch has to carry for good, and the step that says so. NEC 430.22; IEC: the current."""
    amps = current.amps or 0.0
    if not job.american:
        return amps, None
    words = route.plate.words
    name = "dc half-wave" if "half-wave" in words else "dc full-wave" if "full-wave" in words else "motor conductor"
    row = factor(name)
    needed = amps * row.value
    clause = job.region.clause("motor conductor" if name == "motor conductor" else "dc rectified")
    return needed, step(f"{in_amps(amps)} x {row.value:g} = {in_amps(needed)}", row, clause)


def conductor_answer(route: Route, current: Current, job: Job) -> Answer:
    """The smallest conductor between branch device and motor."""
    about = route.plate.name
    if current.amps is None:
        return not_answered(about, CONDUCTOR, current.missing)
    needed, first = needed_ampacity(route, current, job)
    rule = job.region.clause("motor conductor")
    carried = Working(f"it carries {in_amps(needed)} for good", rule, rule, "from memory")
    guarded, guard = guard_step(route, job)
    steps = (first or carried, *(guard if guarded > needed else ()))
    needed = max(needed, guarded)
    try:
        chosen = smallest_conductor(needed, job.region, job.site)
    except OutsideTable as reason:
        return several_answer(about, CONDUCTOR, needed, steps, str(reason), job)
    also = (*_other_columns(chosen, needed, route, job), *_six_leads(needed, route, job))
    fitted, missing = fitted_conductor(route, needed, job)
    least = factor("smallest single outside")
    small = not job.american and chosen.area_mm2 < least.value
    warnings = (f"single wires outside an enclosure: not below {least.value:g} mm2 ({least.cited})",) if small else ()
    metal = " copper" if job.american else ""
    return Answer(
        about, CONDUCTOR, f"{chosen.name}{metal}", chosen.area_mm2, "mm2", (*steps, *chosen.workings), also, fitted,
        warnings, missing,
    )  # fmt: skip


def several_answer(
    about: str, question: str, needed: float, steps: tuple[Working, ...], reason: str, job: Job
) -> Answer:
    """Conductors in parallel where no single one of the table will do, `value` that of each; else the reason alone."""
    try:
        count, one = in_parallel(needed, job.region, job.site)
    except OutsideTable:
        return Answer(about, question, workings=steps, warnings=(f"{reason}.",))
    choice = f"{count} x {one.name}{' copper' if job.american else ''} for each phase"
    return Answer(about, question, choice, one.area_mm2, "mm2", (*steps, *one.workings), warnings=(f"{reason}.",))


def _other_columns(chosen: Conductor, needed: float, route: Route, job: Job) -> tuple[Allowed, ...]:
    """What terminals for 75 C, or a motor with design letter B, C or D, would allow."""
    if not job.american or job.site.terminals_c is not None or needed > factor("terminals 60 C up to").value:
        return ()
    other = smallest_conductor(needed, job.region, job.site, terminals_c=75.0)
    if other.name == chosen.name:
        return ()
    letter = f"the motor has design letter {route.plate.design}" if route.plate.design in ("B", "C", "D") else ""
    why = letter or "if every terminal is marked for 75 C, or the motor has design letter B, C or D"
    return (Allowed(f"{other.name} copper", f"{why} ({job.region.clause('terminals')})", other.area_mm2),)


def _six_leads(needed: float, route: Route, job: Job) -> tuple[Allowed, ...]:
    """Between a star-delta starter and its motor each of the six conductors carries its winding alone."""
    if not route.star_delta:
        return ()
    share = factor("star-delta line").value
    own = smallest_conductor(needed * share, job.region, job.site)
    why = f"between starter and motor, where each of six conductors carries {share:g} x {in_amps(needed)}"
    return (Allowed(own.name, f"{why} = {in_amps(needed * share)}", own.area_mm2),)


def fitted_conductor(route: Route, needed: float, job: Job) -> tuple[Fitted | None, tuple[Missing, ...]]:
    """Whether the smallest conductor that the file has on the way will do."""
    wires = [wire for wire in branch_wires(route) if wire.size is not None]
    if not wires:
        if not route.wires:
            return None, ()
        line = "power  2.5 mm2  black" if not job.american else "power  12 AWG  black"
        why = "without it nobody can say whether the wires of the file will do"
        return None, (Missing("size of the power wires", why, f"wires: {line}"),)
    thin = min(wires, key=lambda wire: wire.size.value if wire.size else 0.0)
    assert thin.size is not None
    where = f"{thin.cable} {thin.size.text}" if thin.cable else f"wires {thin.size.text}"
    return judged_size(where, thin.size, needed, job), ()


def judged_size(where: str, size: Quantity, needed: float, job: Job) -> Fitted:
    """Whether a conductor that was typed carries `needed` here: as the largest size of the table that is no larger."""
    fitting = [one for one in sizes(needed, job.region, job.site) if one.area_mm2 <= size.value * 1e6 * SAME_AREA]
    if not fitting:
        return Fitted(where, None, "the table does not have that size")
    found = fitting[-1]
    fits = found.amps + 1e-9 >= needed
    counted = "" if found.area_mm2 * SAME_AREA >= size.value * 1e6 else f", counted as {found.name}"
    why = f"carries {in_amps(found.amps)} here{counted}" + ("" if fits else f"; {in_amps(needed)} are needed")
    return Fitted(where, fits, why)


def branch_wires(route: Route) -> tuple[Wire, ...]:
    """The conductors between the branch device and the motor, cable cores included."""
    return tuple(wire for wire in route.wires if wire.net in route.branch_nets)


def chosen_or_fitted(route: Route, answer: Answer) -> Quantity | None:
    """The conductor of the branch: what the file has, else what was chosen."""
    sized = [wire.size for wire in branch_wires(route) if wire.size is not None and wire.size.value > 0]
    if sized:
        return min(sized, key=lambda size: size.value)
    return Quantity(answer.value * 1e-6, "m2", answer.choice) if answer.value else None


def with_small_note(conductor: Answer, device: Answer, job: Job) -> Answer:
    """The conductor's answer, with a word on a branch device that elsewhere would be too large for it. NEC 240.4."""
    if not job.american or device.value is None:
        return conductor
    rows = {f"{row.size} AWG copper": row for row in rows_of("control_conductors", SmallRow)}
    row = rows.get(conductor.choice)
    if row is None or device.value <= row.small_device_a:
        return conductor
    words = (
        f"a device above {row.small_device_a:g} A on {row.size} AWG is allowed for motors alone "
        f"({job.region.clause('small conductors')}): the overload relay guards the conductor"
    )
    return replace(conductor, warnings=(*conductor.warnings, words))


def guard_step(route: Route, job: Job) -> tuple[float, tuple[Working, ...]]:
    """What the overload relay lets flow for good; the conductor has to carry that too. IEC alone."""
    stop = route.first("overload relay", "motor breaker")
    facts = stop.device.facts if stop else ()
    setting = next((fact.quantity.value for fact in facts if fact.name == "set" and fact.quantity), 0.0)
    if stop is None or not setting or job.american or stop.share != 1:
        return 0.0, ()
    words = f"{stop.device.tag} is set to {in_amps(setting)}: the conductor carries no less"
    return setting, (Working(words, job.region.clause("conductor protection"), "IEC 60364-4-43", "from memory"),)
