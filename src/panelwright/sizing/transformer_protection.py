"""The devices that protect a control transformer: ceilings on both sides, and the surge that has to pass."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..circuit import Load
from .answers import Allowed, Answer, Fitted, Working, amount, not_answered
from .asking import POSITIVE, asked, one_of, wrongly
from .control import conductor_limit, wire_size
from .control_circuits import ControlCircuit, figured, held_amps
from .control_fuses import FittedFuse, fuses_after, fuses_before, usual_fuse
from .factors import factor, step
from .regions import Region
from .tables import TableRow, rows_of

PRIMARY, SECONDARY = "primary protection", "secondary protection"


class DeviceRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent of rated current for the device on one side of a transformer."""

    scheme: str
    side: str
    current_min_a: float = 0.0
    current_max_a: float | None = None
    percent: float
    next_up: str


# ---- single questions
@asked(va=POSITIVE, volts=POSITIVE, phases=one_of((1, 3)))
def transformer_amps(va: float, volts: float, phases: int = 1) -> float:
    """Rated current of one side."""
    return va / (volts * (math.sqrt(3) if phases == 3 else 1.0))


@asked(amps=POSITIVE)
def transformer_ceiling(scheme: str, side: str, amps: float) -> tuple[float, DeviceRow]:
    """Largest device in amperes for a side with this rated current, and the row of the table.

    `scheme`: "primary only", "primary and secondary" or "motor control". Raises: AskedWrongly for one that has no row.
    """
    for row in rows_of("transformer_devices", DeviceRow):
        inside = row.current_min_a <= amps and (row.current_max_a is None or amps < row.current_max_a)
        if (row.scheme, row.side) == (scheme, side) and inside:
            return amps * row.percent / 100, row
    rows = rows_of("transformer_devices", DeviceRow)
    if not any(row.scheme == scheme for row in rows):
        raise wrongly("transformer_ceiling", "scheme", scheme, one_of(dict.fromkeys(row.scheme for row in rows)))
    sides = dict.fromkeys(row.side for row in rows if row.scheme == scheme)
    raise wrongly("transformer_ceiling", "side", side, one_of(sides))


# ---- from a circuit
def protection_of_transformer(circuit: ControlCircuit) -> Iterator[Answer]:
    """The device on each side; nothing for a transformer without a rating."""
    if not circuit.source.va:
        return
    device, source, region = circuit.device, circuit.source, circuit.job.region
    primary = next((load for load in device.loads if load.sort == "primary"), None)
    if primary is None:
        return
    before, after = fuses_before(circuit, primary), fuses_after(circuit)
    first, second = transformer_amps(source.va, primary.rated_v), transformer_amps(source.va, circuit.volts)
    if region.family == "NEC":
        yield _nec_primary(circuit, primary, first, before, bool(after))
        if after:
            yield _nec_secondary(circuit, second, after)
        else:
            yield _secondary_by_primary(circuit, primary)
    else:
        yield _iec_primary(circuit, primary, first, before)
        yield _iec_secondary(circuit, second, after)


def _rated(va: float, volts: float, amps: float) -> Working:
    return Working(f"{amount(va, 'VA')} / {volts:g} V = {amount(amps, 'A')} rated")


def _rides(amps: float) -> Working:
    surge = factor("magnetising control")
    product = f"{surge.value:g} x {amount(amps, 'A')} = {amount(surge.value * amps, 'A')}"
    return figured(f"its curve has to let {product} pass for 0.01 s", surge)


def _nec_primary(
    circuit: ControlCircuit, primary: Load, amps: float, fitted: tuple[FittedFuse, ...], both: bool
) -> Answer:
    region = circuit.job.region
    scheme = "primary and secondary" if both else "primary only"
    ceiling, row = transformer_ceiling(scheme, "primary", amps)
    words = f"{row.percent:g} % x {amount(amps, 'A')} = {amount(ceiling, 'A')} at most ({scheme} protected)"
    workings = [_rated(circuit.source.va, primary.rated_v, amps), step(words, row, _clause(region, row)), _rides(amps)]
    also: tuple[Allowed, ...] = ()
    most = ceiling
    motor_row = next(row for row in rows_of("transformer_devices", DeviceRow) if row.scheme == "motor control")
    if amps < (motor_row.current_max_a or 0.0) and is_motor_control(circuit):
        most = amps * motor_row.percent / 100
        larger = usual_fuse(most, circuit.job.region.family)
        of_rated = f"{motor_row.percent:g} % = {amount(most, 'A')} ({motor_row.cited})"
        why = f"under {motor_row.current_max_a:g} A in a motor control circuit: {of_rated}"
        also = (Allowed(amount(larger, "A"), why, larger),)
    small = factor("small transformer")
    if circuit.source.va < small.value:
        also += (Allowed("other means", f"under {small.value:g} VA and part of the controller ({small.cited})"),)
    size = usual_fuse(ceiling, circuit.job.region.family, up=row.next_up == "yes")
    judged = _judged(fitted, max(ceiling, most, size), amps)
    choice = f"{amount(size, 'A')} time-delay fuse or less"
    warnings = _none_fitted(fitted, "primary")
    return Answer(circuit.device.tag, PRIMARY, choice, size, "A", tuple(workings), also, judged, warnings)


def _nec_secondary(circuit: ControlCircuit, amps: float, fitted: tuple[FittedFuse, ...]) -> Answer:
    ceiling, row = transformer_ceiling("primary and secondary", "secondary", amps)
    words = f"{row.percent:g} % x {amount(amps, 'A')} = {amount(ceiling, 'A')} at most"
    words += ", next standard size up allowed" if row.next_up == "yes" else ", not rounded up"
    workings = (_rated(circuit.source.va, circuit.volts, amps), step(words, row, _clause(circuit.job.region, row)))
    size = usual_fuse(ceiling, circuit.job.region.family, up=row.next_up == "yes")
    judged = _judged(fitted, max(ceiling, size), held_amps(circuit))
    return Answer(circuit.device.tag, SECONDARY, f"{amount(size, 'A')} or less", size, "A", workings, (), judged)


@asked(conductor_a=POSITIVE, secondary_v=POSITIVE, primary_v=POSITIVE)
def most_on_primary(conductor_a: float, secondary_v: float, primary_v: float) -> float:
    """Largest primary device that protects a two-wire secondary with this conductor, amperes."""
    return conductor_a * secondary_v / primary_v


def _secondary_by_primary(circuit: ControlCircuit, primary: Load) -> Answer:
    tag, region = circuit.device.tag, circuit.job.region
    limit = conductor_limit(circuit)
    if limit is None:
        return not_answered(tag, SECONDARY, (wire_size(circuit),))
    most = most_on_primary(limit.amps, circuit.volts, primary.rated_v)
    ratio = f"{circuit.volts:g} V / {primary.rated_v:g} V"
    rule = region.clause("secondary by primary")
    words = f"{amount(limit.amps, 'A')} of {limit.size} x {ratio} = {amount(most, 'A')} on the primary"
    choice = f"none, if the primary device is {amount(usual_fuse(most, circuit.job.region.family), 'A')} or less"
    warnings = ("only for a two-wire secondary; a secondary fuse in the un-earthed wire is the clearer way",)
    workings = (*limit.workings, Working(words, rule, rule, "seen"))
    return Answer(tag, SECONDARY, choice, most, "A", workings, warnings=warnings)


def _iec_primary(circuit: ControlCircuit, primary: Load, amps: float, fitted: tuple[FittedFuse, ...]) -> Answer:
    rule = circuit.job.region.clause("transformer protection")
    words = "against short circuit, by the instructions of its maker; the magnetising inrush must not trip it"
    workings = (
        _rated(circuit.source.va, primary.rated_v, amps),
        Working(words, rule, rule, "from memory"),
        _rides(amps),
    )
    size = usual_fuse(2 * amps, circuit.job.region.family, up=True)
    choice = f"{amount(size, 'A')} gG or aM, or a D curve"
    warnings = _none_fitted(fitted, "primary")
    return Answer(circuit.device.tag, PRIMARY, choice, size, "A", workings, (), _judged(fitted, None, amps), warnings)


def _iec_secondary(circuit: ControlCircuit, amps: float, fitted: tuple[FittedFuse, ...]) -> Answer:
    rule = circuit.job.region.clause("control device")
    held = held_amps(circuit)
    size = usual_fuse(amps, circuit.job.region.family, up=True)
    workings = (
        _rated(circuit.source.va, circuit.volts, amps),
        Working("in the un-earthed conductor", rule, rule, "from memory"),
        Working("next usual size above the rated current: it guards the winding too", trust="common practice"),
        Working(f"carries the {amount(held, 'A', 3)} held in", trust="common practice"),
    )
    judged, warnings = _judged(fitted, None, held), _none_fitted(fitted, "secondary")
    high = next((one for one in fitted if one.amps > size), None)
    if judged is not None and judged.fits and high is not None:
        judged = Fitted(judged.text, None, f"above {amount(size, 'A')} it guards the wires, but not the winding")
    return Answer(
        circuit.device.tag, SECONDARY, f"{amount(size, 'A')} or less", size, "A", workings, (), judged, warnings
    )


def is_motor_control(circuit: ControlCircuit) -> bool:
    """Whether a coil of the circuit switches a motor."""
    feeding = set().union(*circuit.structure.feeding.values()) if circuit.structure.feeding else set()
    return any(w.device.tag in feeding for w in circuit.loads.values())


def _judged(fitted: tuple[FittedFuse, ...], ceiling: float | None, least: float) -> Fitted | None:
    """The fuses of the file against a ceiling and what they have to carry."""
    if not fitted:
        return None
    text = ", ".join(one.text for one in fitted)
    high = [one for one in fitted if ceiling is not None and one.amps > ceiling * (1 + 1e-9)]
    low = [one for one in fitted if one.amps < least * (1 - 1e-9)]
    if high:
        return Fitted(text, False, f"{high[0].text} is above {amount(ceiling or 0.0, 'A')}")
    if low:
        return Fitted(text, False, f"{low[0].text} is below the {amount(least, 'A')} it has to carry")
    return Fitted(text, True)


def _none_fitted(fitted: tuple[FittedFuse, ...], side: str) -> tuple[str, ...]:
    return () if fitted else (f"the file has no fuse or breaker on the {side} side",)


def _clause(region: Region, row: DeviceRow) -> str:
    return row.source if row.scheme == "motor control" else region.clause("transformer protection")
