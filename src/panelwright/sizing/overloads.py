"""Overload protection: the setting by nameplate current, thermal protectors, trip class."""

from __future__ import annotations

from ..catalog.quantities import WATTS_PER_HP
from ..circuit import Device
from .answers import Allowed, Answer, Fitted, Missing, Working, in_amps, line_with, not_answered
from .asking import POSITIVE, asked, or_none
from .factors import factor, step
from .job import Job
from .motors import Current
from .plates import Plate
from .regions import Region
from .routes import Route, Stop
from .tables import TableRow, rows_of

SETTING, PROTECTOR = "overload setting", "thermal protector"
RELAYS = ("overload relay", "motor breaker")
SAME, SET = 1.005, 1.0005  # one rating, one setting, within rounding
FAR_BELOW = 0.5  # of the motor current: a setting that trips while the motor runs


class OverloadRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent of the nameplate current by marking; `larger_percent` where the motor does not start on it."""

    motor: str
    service_factor_min: float | None = None
    rise_max_c: float | None = None
    percent: float
    larger_percent: float

    def holds(self, service_factor: float | None, rise_c: float | None) -> bool:
        """Whether a nameplate meets it."""
        by_factor, by_rise = self.service_factor_min, self.rise_max_c
        if by_factor is not None:
            return service_factor is not None and service_factor >= by_factor
        return by_rise is None or (rise_c is not None and rise_c <= by_rise)


class ProtectorRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent of the table current up to a motor current."""

    percent: float
    current_max_a: float | None = None


class ClassRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Seconds to trip at 7.2 times the setting."""

    trip_class: str
    from_s: float
    to_s: float


@asked(service_factor=or_none(POSITIVE), rise_c=or_none(POSITIVE))
def overload_row(service_factor: float | None, rise_c: float | None) -> OverloadRow:
    """The row of 430.32(A)(1) for what the nameplate says; what it does not say counts as `all other motors`."""
    rows = rows_of("overload_percent", OverloadRow)
    return next(row for row in rows if row.holds(service_factor, rise_c))


@asked(amps=POSITIVE)
def protector_limit(amps: float) -> tuple[float, ProtectorRow]:
    """Largest trip current of a protector inside a motor, from its table current. Source: NEC 430.32(A)(2)."""
    rows = rows_of("thermal_protector", ProtectorRow)
    row = next(row for row in rows if row.current_max_a is None or amps <= row.current_max_a)
    return amps * row.percent / 100, row


def overload_answers(route: Route, current: Current, job: Job) -> tuple[Answer, ...]:
    """The setting of the overload relay, and the limit of a protector inside the motor if it has one."""
    plate = route.plate
    answers = [_nec_setting(route, job.region) if job.american else _iec_setting(route, current, job.region)]
    if job.american and "thermally-protected" in plate.words and current.amps is not None:
        limit, row = protector_limit(current.amps)
        words = f"{row.percent:g} % x {in_amps(current.amps)} = {in_amps(limit)}"
        clause = job.region.clause("thermal protector")
        answers.append(Answer(
            plate.name, PROTECTOR, f"trips at no more than {in_amps(limit)}", limit, "A", (step(words, row, clause),),
        ))  # fmt: skip
    return tuple(answers)


def _nec_setting(route: Route, region: Region) -> Answer:
    plate = route.plate
    if plate.plate_a is None:
        return not_answered(
            plate.name, SETTING, (_no_nameplate(plate, "overloads go by the nameplate and not by the table"),)
        )
    row = overload_row(plate.service_factor, plate.rise_c)
    at, larger = (plate.plate_a * percent / 100 for percent in (row.percent, row.larger_percent))
    words = f"{row.percent:g} % x nameplate {plate.plate_text} = {in_amps(at)} ({_marked(plate, row)})"
    why = f"only if it does not start or carry its load: {row.larger_percent:g} % ({region.clause('overload larger')})"
    missing: list[Missing] = []
    if plate.service_factor is None and plate.rise_c is None:
        best = rows_of("overload_percent", OverloadRow)[0]
        missing.append(Missing(
            f"service factor of {plate.tag}",
            f"with {best.service_factor_min:g} or more the setting may be {best.percent:g} % and not {row.percent:g} %",
            f"{plate.line}  service factor {best.service_factor_min:g}",
        ))  # fmt: skip
    small = factor("small motor")
    small_w = small.value * WATTS_PER_HP * SAME
    fitted, more = _fitted(route, at, plate, small_w)
    is_small = 0 < plate.watts <= small_w
    notes = (f"up to {small.value:g} hp other means are allowed ({small.cited})",) if is_small else ()
    return Answer(
        plate.name, SETTING, f"at most {in_amps(at)}", at, "A", (step(words, row, region.clause("overload")),),
        (Allowed(f"at most {in_amps(larger)}", why, larger),), fitted, notes, (*missing, *more),
    )  # fmt: skip


def _marked(plate: Plate, row: OverloadRow) -> str:
    if plate.service_factor is not None:
        return f"service factor {plate.service_factor:g}"
    return row.motor if plate.rise_c is not None else "service factor and temperature rise not said"


def _iec_setting(route: Route, current: Current, region: Region) -> Answer:
    plate, rule = route.plate, region.clause("overload")
    if plate.plate_a is None and current.amps is None:
        return not_answered(plate.name, SETTING, (_no_nameplate(plate, "the relay is set to the nameplate current"),))
    amps = plate.plate_a or current.amps or 0.0
    words = f"set to the rated current: {plate.plate_text or in_amps(amps)}"
    warnings = () if plate.plate_a else ("set it by the nameplate on the day: the current here is a guide value",)
    steps = (Working(words, rule, "IEC 60204-1", "from memory"), *_class(route, amps, region))
    least = factor("overload needed")
    fitted, missing = _fitted(route, amps, plate, least.value, room=factor("scale of an overload relay").value)
    if plate.watts and plate.watts <= least.value and fitted is None:
        warnings = (*warnings, f"not asked for up to {least.value / 1000:g} kW ({least.cited})")
    return Answer(
        plate.name, SETTING, in_amps(amps), amps, "A", steps, (), fitted, warnings, missing,
    )  # fmt: skip


def _class(route: Route, amps: float, region: Region) -> tuple[Working, ...]:
    """How long the relay bears a start, by its trip class; class 10 where the file does not say it."""
    stop = route.first("overload relay")
    if stop is None:
        return ()
    said = next((fact.name.removeprefix("class ") for fact in stop.device.facts if fact.name.startswith("class ")), "")
    row = next(row for row in rows_of("overload_class", ClassRow) if row.trip_class == (said or "10"))
    held = factor("starting current").value * amps * stop.share
    name = f"class {row.trip_class}" if said else "class 10 (not said: the usual one)"
    words = f"{name} trips in {row.from_s:g} to {row.to_s:g} s at {in_amps(held)}; a longer start needs a higher class"
    return (step(words, row, region.clause("overload class")),)


def _no_nameplate(plate: Plate, why: str) -> Missing:
    return Missing(f"nameplate current of {plate.name}", why, f"{plate.line}  7.6 A")


def _fitted(
    route: Route, at: float, plate: Plate, exempt_w: float, *, room: float = 1.0
) -> tuple[Fitted | None, tuple[Missing, ...]]:
    """How the relay of the file is set; up to `exempt_w` a motor may do without one."""
    stop = route.first(*RELAYS)
    if stop is None:
        if "thermally-protected" in plate.words or (plate.watts and plate.watts <= exempt_w):
            return None, ()
        why = "nothing in the file protects this motor against overload"
        poles = "3 poles" if plate.phases == 3 else "2 poles"
        line = f"OL1  overload relay  {poles}  {in_amps(0.8 * at)} to {in_amps(1.2 * at)}  set {in_amps(at)}"
        missing = Missing(f"overload relay of {plate.tag}", why, f"devices: {line}")
        return Fitted("no overload relay", False, why), (missing,)
    return _relay_fitted(stop, at, room)


def _relay_fitted(stop: Stop, at: float, room: float) -> tuple[Fitted, tuple[Missing, ...]]:
    device = stop.device
    own = at * stop.share
    share = f" (it stands in the winding: {stop.share:g} x {in_amps(at)})" if stop.share != 1 else ""
    facts = {fact.name: fact for fact in device.facts}
    span, setting = facts.get("range"), facts.get("set")
    text = " ".join([device.tag, *(f.text for f in (span, setting) if f is not None)])
    if setting is not None and setting.quantity is not None:
        value = setting.quantity.value
        if value > own * room * SET:
            return Fitted(text, False, f"set above {in_amps(own)}{share}"), ()
        if value < own * FAR_BELOW:
            return Fitted(text, None, f"set far below {in_amps(own)}{share}: it may trip without need"), ()
        near = "not above" if value <= own * SET else "as near as the scale can be read to"
        return Fitted(text, True, f"{near} {in_amps(own)}{share}"), ()
    if span is not None and span.quantity is not None and span.other is not None:
        inside = span.quantity.value <= own <= span.other.value
        why = f"{in_amps(own)} is {'inside' if inside else 'outside'} its range{share}"
        return Fitted(text, inside, why), (_no_setting(device, own),) if inside else ()
    return Fitted(text, None, "its range is not said"), (_no_setting(device, own),)


def _no_setting(device: Device, amps: float) -> Missing:
    line = line_with(device, f"set {in_amps(amps)}")
    return Missing(f"setting of {device.tag}", "only a setting can be compared with the motor", line)
