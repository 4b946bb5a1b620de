"""Protective conductors: by the branch device (NEC 250.122), by the line conductor (IEC)."""

from __future__ import annotations

from ..circuit import Quantity
from ..wiring import Wiring
from .answers import Answer, Fitted, Working, amount, in_amps
from .conductors import awg_area_mm2, awg_name
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


def earth_for_device(device_a: float) -> tuple[str, EarthRow]:
    """Copper size for a device rating. Raises: OutsideTable above the table. Source: NEC Table 250.122."""
    row = next((row for row in rows_of("equipment_earth", EarthRow) if device_a <= row.device_a + 1e-9), None)
    if row is None:
        raise OutsideTable(f"the table of protective conductors ends below {in_amps(device_a)}")
    return row.cu, row


def earth_for_line(line_mm2: float) -> tuple[float, ShareRow]:
    """Area in mm2 for a line conductor. Source: IEC 60204-1 Table 1."""
    rows = rows_of("protective_conductor", ShareRow)
    row = next(row for row in rows if row.line_max_mm2 is None or line_mm2 <= row.line_max_mm2 + 1e-9)
    return (row.area_mm2 if row.area_mm2 is not None else line_mm2 * (row.share or 1.0)), row


def earth_answer(route: Route, device: Answer, line: Quantity | None, job: Job) -> Answer | None:
    """The protective conductor of a branch; None while what it goes by is not known."""
    about = route.plate.name
    fitted = _fitted(job.wiring, about.split(".")[0])
    if job.american:
        amps = rating_of(route.device.device) if route.device else None
        amps = amps or device.value
        if amps is None:
            return None
        size, row = earth_for_device(amps)
        steps = (Working(f"device of {in_amps(amps)}: row {in_amps(row.device_a)}, {awg_name(size)}",
                         job.region.clause("equipment earth"), row.source, row.trust),)  # fmt: skip
        note = "never smaller than needed for a fault to open the device; larger where line conductors were made larger"
        return Answer(about, EARTH, f"{awg_name(size)} copper", awg_area_mm2(size), "mm2", steps,
                      fitted=_judged(fitted, awg_area_mm2(size)), warnings=(note,))  # fmt: skip
    if line is None:
        return None
    line_mm2 = line.value * 1e6
    area, share = earth_for_line(line_mm2)
    steps = (Working(f"line conductor {line.text}: {amount(area, 'mm2')}", job.region.clause("equipment earth"),
                     share.source, share.trust),)  # fmt: skip
    return Answer(about, EARTH, f"{amount(area, 'mm2')} copper", area, "mm2", steps, fitted=_judged(fitted, area))


def _fitted(wiring: Wiring, tag: str) -> Quantity | None:
    """The conductor that the file has at the PE terminal of a motor."""
    at = f"{tag}.PE"
    return next((wire.size for wire in wiring.wires if at in wire.ends and wire.size is not None), None)


def _judged(fitted: Quantity | None, area_mm2: float) -> Fitted | None:
    if fitted is None:
        return None
    fits = fitted.value * 1e6 >= area_mm2 * 0.995
    return Fitted(fitted.text, fits, "" if fits else f"{amount(area_mm2, 'mm2')} are needed")
