"""Control circuits: the overcurrent device that their conductors need."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..circuit import Quantity
from ..wiring import Wire
from .answers import Allowed, Answer, Fitted, Missing, Working, amount, not_answered
from .asking import NEC_REGION, POSITIVE, AskedWrongly, asked, one_of, wrongly
from .conductor_ohms import MM2
from .conductors import SAME_AREA, AmpacityRow, awg_area_mm2, awg_name, sizes
from .control_circuits import ControlCircuit, held_amps
from .control_fuses import FittedFuse, fuses_after, largest_clearing_fuse, usual_fuse
from .factors import factor, step
from .regions import Region
from .tables import OutsideTable, TableRow, rows_of

PROTECTION = "control-circuit protection"
HOW = {
    "separate": "a device of its own",
    "inside": "on the motor branch device, inside the enclosure",
    "leaving": "on the motor branch device, leaving the enclosure",
}
_AWG = re.compile(r"(\d+(?:/0)?)\s*AWG", re.IGNORECASE)


SIXTY_C = 60.0  # name of a column
SOME_A = 1e-3  # where nothing is held in, the smallest fuse


class ControlDeviceRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Largest device for a size; None where the ampacity decides."""

    size: str
    separate_cu: float | None = None
    separate_al: float | None = None
    inside_cu: float | None = None
    inside_al: float | None = None
    leaving_cu: float | None = None
    leaving_al: float | None = None


class SmallRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Small conductors of control circuits."""

    size: str
    load_a: float
    class1_device_a: float
    small_device_a: float


@dataclass(frozen=True, slots=True)
class Limit:
    """What the device of a conductor may have at most."""

    size: str
    amps: float
    workings: tuple[Working, ...]


# ---- single questions
@asked(how=one_of(HOW), region=NEC_REGION, metal=one_of(("cu", "al")))
def largest_control_device(size: str, how: str, region: Region, metal: str = "cu") -> Limit:
    """Largest device for a control conductor of an AWG size ("14").

    `how`: "separate" a device of its own; "inside", "leaving": only the motor branch device, the conductor stays in
    the enclosure or leaves it. Raises: AskedWrongly for a size that the rule does not know, or not of aluminium.
    """
    rule, name = region.clause("control device"), awg_name(size)
    row = next((row for row in _printed() if row.size == size), None)
    found: float | None = getattr(row, f"{how}_{metal}") if row else None
    if row is not None and found is not None:
        return Limit(name, found, (step(f"{name}, {HOW[how]}: {amount(found, 'A')} at most", row, rule),))
    small = next((one for one in rows_of("control_conductors", SmallRow) if one.size == size), None)
    if row is not None and metal == "cu" and small is not None:
        words = f"{name}, {HOW[how]}: its ampacity, {amount(small.class1_device_a, 'A')}"
        return Limit(name, small.class1_device_a, (step(words, small, rule),))
    limit = _by_ampacity(size, how, metal, rule)
    if limit is None:
        known = [row.size for row in _printed()] if metal == "cu" else ["12", "10"]
        raise wrongly("largest_control_device", "size", size, one_of([*known, *_larger()]))
    return limit


def _printed() -> list[ControlDeviceRow]:
    """The rows of Table 430.72(B) for single sizes."""
    return [row for row in rows_of("control_device", ControlDeviceRow) if row.size.isdigit()]


def _larger() -> list[str]:
    """The sizes beyond the table, whose ampacity decides."""
    most = max(awg_area_mm2(row.size) for row in _printed())
    return [row.size for row in rows_of("ampacity", AmpacityRow) if awg_area_mm2(row.size) > most * SAME_AREA]


def _by_ampacity(size: str, how: str, metal: str, rule: str) -> Limit | None:
    """Beyond the table: its notes, by the 60 C column of Table 310.16. Inside an enclosure that stands for the larger
    values in free air, which the note names.
    """
    row = next((row for row in rows_of("ampacity", AmpacityRow) if row.size == size), None)
    if row is None or (size not in _larger() and how != "separate"):
        return None
    own, name = row.amps(SIXTY_C, metal), awg_name(size)
    if own is None:
        return None
    if how == "separate":
        return Limit(name, own, (step(f"{name}, {HOW[how]}: its ampacity, {amount(own, 'A')}", row, rule),))
    times = factor(f"control conductor {how}")
    words = f"{name}, {HOW[how]}: {times.value:g} x {amount(own, 'A')} = {amount(times.value * own, 'A')} at most"
    return Limit(name, times.value * own, (step(words, times, rule),))


@asked(device_a=POSITIVE, how=one_of(HOW), region=NEC_REGION)
def smallest_on_branch_device(device_a: float, how: str, region: Region) -> Limit | None:
    """The smallest copper control conductor that a motor branch device of this rating may protect; None for none."""
    for row in rows_of("control_device", ControlDeviceRow):
        found: float | None = getattr(row, f"{how}_cu")
        if found is not None and found >= device_a:
            return largest_control_device(row.size, how, region)
    return None


# ---- from a circuit
def protection_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """The device for the conductors of the circuit."""
    device, region = circuit.device, circuit.job.region
    fitted = fuses_after(circuit)
    if region.family == "NEC" and is_tapped(circuit):
        yield from _tapped(circuit, fitted)
        return
    limit = conductor_limit(circuit)
    if limit is None:
        yield not_answered(device.tag, PROTECTION, (wire_size(circuit),))
        return
    held = held_amps(circuit)
    most, clears = usual_fuse(limit.amps, circuit.job.region.family), _most_cleared(circuit)
    most = min(most, clears) if clears else most
    times = factor("control fuse").value
    least = min(usual_fuse(max(held * times, SOME_A), circuit.job.region.family, up=True), most)
    workings = (
        *limit.workings,
        Working(f"carries {amount(held, 'A', 3)} held in: {times:g} x = {amount(times * held, 'A', 3)}, so at least "
                f"{amount(least, 'A')}", trust="common practice"),
    )  # fmt: skip
    choice = f"{amount(least, 'A')} to {amount(most, 'A')} in the un-earthed wire"
    judged, warnings = _judged(fitted, limit, held), _warnings(circuit, fitted)
    yield Answer(device.tag, PROTECTION, choice, most, "A", workings, _class_2(circuit), judged, warnings)


def _class_2(circuit: ControlCircuit) -> tuple[Allowed, ...]:
    """The lighter way of wiring that a marked class 2 supply allows in the NEC."""
    source, most_va = circuit.source, factor("class 2 va")
    most_v = factor("class 2 dc volts" if circuit.is_dc else "class 2 ac volts")
    gives = source.va or source.amps * circuit.volts
    if circuit.job.region.family != "NEC" or circuit.volts > most_v.value or not gives or gives > most_va.value:
        return ()
    most = f"up to {most_va.value:g} VA, {most_v.value:g} V; {most_va.cited}"
    why = f"only from a supply marked class 2 ({most})"
    return (Allowed("class 2 wiring without a device of its own", why),)


def is_tapped(circuit: ControlCircuit) -> bool:
    """Whether the control circuit takes its volts from the power circuit itself."""
    return not any(load.sort == "primary" for load in circuit.device.loads) and bool(circuit.structure.feeding)


def leaves_enclosure(circuit: ControlCircuit) -> bool:
    """Whether a control wire goes out into the field: by a cable, or to a place that is no door."""
    return any(wire.cable for wire in control_wires(circuit))


def control_wires(circuit: ControlCircuit) -> tuple[Wire, ...]:
    """The wires of the circuit: not power, not protective."""
    protective = {net.id for net in circuit.job.wiring.nets if net.protective}
    nets = {net for wired in circuit.structure.wired for net in (wired.a, wired.b)}
    return tuple(w for w in circuit.job.wiring.wires if not w.power and w.net in nets and w.net not in protective)


def smallest_wire(circuit: ControlCircuit) -> Quantity | None:
    """Size of the thinnest control wire; None when none is said."""
    sizes = [wire.size for wire in control_wires(circuit) if wire.size is not None]
    return min(sizes, key=lambda size: size.value, default=None)


def conductor_limit(circuit: ControlCircuit) -> Limit | None:
    """What the thinnest control wire allows with a device of its own; None when its size is not said or known."""
    size, region = smallest_wire(circuit), circuit.job.region
    if size is None:
        return None
    if region.family != "NEC":
        return _capacity(size, circuit)
    gauge = awg_of(size)
    if not gauge:
        return None
    try:
        limit = largest_control_device(gauge, "separate", region)
    except AskedWrongly:
        return None
    return limit if _AWG.search(size.text) else replace(limit, size=f"{size.text}, counted as {gauge} AWG")


def awg_of(size: Quantity) -> str:
    """The AWG size as which a control conductor counts: as typed, else the largest whose area it has; "" for none."""
    typed = _AWG.search(size.text)
    if typed is not None:
        return typed[1]
    area = size.value / MM2 * SAME_AREA
    sizes = [row.size for row in rows_of("control_device", ControlDeviceRow) if row.size.isdigit()]
    return max((one for one in sizes if awg_area_mm2(one) <= area), key=awg_area_mm2, default="")


def _capacity(size: Quantity, circuit: ControlCircuit) -> Limit | None:
    """What the conductor carries where it lies."""
    try:
        found = sizes(0.0, circuit.job.region, circuit.job.site)
    except OutsideTable:
        return None
    conductor = next((one for one in found if abs(one.area_mm2 - size.value / MM2) < 1e-3), None)
    return Limit(size.text, conductor.amps, conductor.workings) if conductor else None


def wire_size(circuit: ControlCircuit) -> Missing:
    """What to ask for when the control wires have no size, or none that the tables of the code have."""
    usual = "14 AWG" if circuit.job.american else "1.0 mm2"
    size = smallest_wire(circuit)
    if size is None:
        return Missing("size of the control wires", "the device has to fit them", f"under wires: control  {usual}")
    why = f"the tables of {circuit.job.region.name} say nothing of it here, at this ambient"
    return Missing(f"capacity of {size.text}", why, f"under wires a size that they have: control  {usual}")


def _tapped(circuit: ControlCircuit, fitted: tuple[FittedFuse, ...]) -> Iterator[Answer]:
    """A circuit on the motor branch: its wires may do without a device of their own up to a limit."""
    region, device = circuit.job.region, circuit.device
    how = "leaving" if leaves_enclosure(circuit) else "inside"
    branch = max((one.amps for one in fitted), default=0.0)
    size = smallest_wire(circuit)
    gauge = awg_of(size) if size else ""
    if not branch or not gauge:
        missing = []
        if not branch:
            why = "it protects the control wires too"
            missing.append(Missing("motor branch device", why, "1FU  fuse  3 poles  25 A"))
        if not gauge:
            missing.append(wire_size(circuit))
        yield not_answered(device.tag, PROTECTION, missing)
        return
    smallest = smallest_on_branch_device(branch, how, region)
    try:
        limit = largest_control_device(gauge, how, region)
    except AskedWrongly:
        yield not_answered(device.tag, PROTECTION, (wire_size(circuit),))
        return
    fits = branch <= limit.amps
    choice = f"{smallest.size} or larger" if smallest else "a device of its own"
    why = "" if fits else f"at most {amount(limit.amps, 'A')}"
    judged = Fitted(f"{limit.size} on {amount(branch, 'A')}", fits, why)
    workings = smallest.workings if smallest else limit.workings
    yield Answer(device.tag, PROTECTION, choice, branch, "A", workings, fitted=judged)


def _most_cleared(circuit: ControlCircuit) -> float:
    """The largest fuse that an electronic dc supply can clear; 0 for other supplies."""
    if not circuit.is_dc or circuit.device.kind != "dc supply" or not circuit.source.amps:
        return 0.0
    return usual_fuse(largest_clearing_fuse(circuit.source.amps), circuit.job.region.family)


def _judged(fitted: tuple[FittedFuse, ...], limit: Limit, held: float) -> Fitted | None:
    if not fitted:
        return None
    text = ", ".join(one.text for one in fitted)
    for one in fitted:
        if one.amps > limit.amps:
            return Fitted(text, False, f"{one.text} does not protect {limit.size} ({amount(limit.amps, 'A')})")
    if sum(one.amps for one in fitted) < held:
        return Fitted(text, False, f"carries {amount(held, 'A', 3)} when all is in")
    return Fitted(text, True, f"protects {limit.size}, carries {amount(held, 'A', 3)}")


def _warnings(circuit: ControlCircuit, fitted: tuple[FittedFuse, ...]) -> tuple[str, ...]:
    found = []
    if not fitted and not _most_cleared(circuit):
        found.append("the file has no fuse or breaker between the supply and its loads")
    step_at = circuit.largest_step
    if fitted and step_at is not None:
        amps = step_at.va / circuit.volts
        bears = factor("fuse at a step").value
        small = [one for one in fitted if one.amps * bears < amps]
        if small:
            seen = f"{small[0].text} sees {amount(amps, 'A')} for some 50 ms at the largest step"
            found.append(f"{seen}: a time-delay fuse")
    return tuple(found)
