"""Protective conductors: by the branch device (NEC 250.122), by the line conductor (IEC)."""

from __future__ import annotations

from dataclasses import replace

from ..circuit import Quantity
from ..wiring import Wiring
from .answers import Answer, Fitted, Working, amount, in_amps
from .asking import POSITIVE, asked
from .conductors import awg_area_mm2, awg_name
from .factors import factor
from .job import Job
from .protection import rating_of
from .routes import Route
from .tables import OutsideTable, TableRow, rows_of

EARTH = "protective conductor"


class EarthRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Smallest conductor up to a rating of the device."""

    device_a: float
    cu: str
    al: str


class ShareRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """An area, or a share of the line conductor's, up to a line conductor."""

    line_max_mm2: float | None = None
    area_mm2: float | None = None
    share: float | None = None


@asked(device_a=POSITIVE)
def earth_for_device(device_a: float) -> tuple[str, EarthRow]:
    """Copper size for a device rating. Raises: OutsideTable above the table. Source: NEC Table 250.122."""
    row = next((row for row in rows_of("equipment_earth", EarthRow) if device_a <= row.device_a + 1e-9), None)
    if row is None:
        raise OutsideTable(f"the table of protective conductors ends below {in_amps(device_a)}")
    return row.cu, row


@asked(line_mm2=POSITIVE)
def earth_for_line(line_mm2: float) -> tuple[float, ShareRow]:
    """Area in mm2 for a line conductor. Source: IEC 60204-1 Table 1."""
    rows = rows_of("protective_conductor", ShareRow)
    row = next(row for row in rows if row.line_max_mm2 is None or line_mm2 <= row.line_max_mm2 + 1e-9)
    return (row.area_mm2 if row.area_mm2 is not None else line_mm2 * (row.share or 1.0)), row


def earth_answer(route: Route, device: Answer, line: Quantity | None, job: Job) -> Answer | None:
    """The protective conductor of a branch; None while what it goes by is not known."""
    fitted = fitted_earth(job.wiring, route.plate.tag)
    amps = (rating_of(route.device.device) if route.device else None) or device.value
    if job.american:
        answer = _nec_earth(route, amps, line, fitted, job) if amps is not None else None
    else:
        answer = _iec_earth(route, line, fitted, job) if line is not None else None
    return _led(answer, route, job) if answer is not None else None


def _led(answer: Answer, route: Route, job: Job) -> Answer:
    """The answer; where the file leads no conductor to the motor, it says so."""
    tag = route.plate.tag
    at = f"{tag}.PE"
    if answer.fitted is not None or any(at in wire.ends for wire in job.wiring.wires):
        return answer
    none = Fitted("no protective conductor", None, f"the file leads none to {tag}; write one: PE  {at}")
    return replace(answer, fitted=none)


def _nec_earth(route: Route, amps: float, line: Quantity | None, fitted: Quantity | None, job: Job) -> Answer:
    """By the rating of the device, and never larger than the line conductors."""
    size, row = earth_for_device(amps)
    name, area, clause = awg_name(size), awg_area_mm2(size), job.region.clause("equipment earth")
    steps = [Working(f"device of {in_amps(amps)}: row {in_amps(row.device_a)}, {name}", clause, row.source, row.trust)]
    if line is not None and line.value * 1e6 < area * 0.995:
        name, area = line.text.removesuffix(" copper"), line.value * 1e6
        words = f"need not be larger than the line conductors: {name}"
        steps.append(Working(words, job.region.clause("earth not larger"), "NEC 250.122(A)", "from memory"))
    note = "never smaller than needed for a fault to open the device; larger where line conductors were made larger"
    judged = _judged(fitted, area)
    return Answer(route.plate.name, EARTH, f"{name} copper", area, "mm2", tuple(steps), (), judged, (note,))


def _iec_earth(route: Route, line: Quantity, fitted: Quantity | None, job: Job) -> Answer:
    """By the line conductor."""
    area, share = earth_for_line(line.value * 1e6)
    same = abs(area - line.value * 1e6) < 1e-9
    name = line.text.removesuffix(" copper") if same else amount(area, "mm2")
    words, clause = f"line conductor {line.text}: {name}", job.region.clause("equipment earth")
    closed, open_ = factor("protective apart protected"), factor("protective apart open")
    notes: tuple[str, ...] = ()
    at = f"{route.plate.tag}.PE"
    in_cable = any(at in wire.ends and wire.cable for wire in job.wiring.wires)
    if area < open_.value and not in_cable:
        apart = f"not below {closed.value:g} mm2, or {open_.value:g} mm2 without mechanical protection"
        notes = (f"laid apart from the line conductors: {apart} ({open_.cited})",)
    return Answer(
        route.plate.name, EARTH, f"{name} copper", area, "mm2",
        (Working(words, clause, share.source, share.trust),), fitted=_judged(fitted, area), warnings=notes,
    )  # fmt: skip


def fitted_earth(wiring: Wiring, tag: str) -> Quantity | None:
    """The conductor that the file has at the PE terminal of a motor."""
    at = f"{tag}.PE"
    return next((wire.size for wire in wiring.wires if at in wire.ends and wire.size is not None), None)


def _judged(fitted: Quantity | None, area_mm2: float) -> Fitted | None:
    if fitted is None:
        return None
    fits = fitted.value * 1e6 >= area_mm2 * 0.995
    return Fitted(fitted.text, fits, "" if fits else f"{amount(area_mm2, 'mm2')} are needed")
