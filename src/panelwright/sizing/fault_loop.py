"""Earth faults at a motor: whether enough current flows for the branch device to open in time (TN systems, IEC).

What flows is the volts to earth over the whole loop: supply, line conductor, protective conductor. That has to be at
least what opens the device within the time that the rules set: Zs x Ia <= U0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import sqrt

from ..circuit import Cable, Device, Quantity
from .answers import Allowed, Answer, Fitted, Working, amount, in_amps
from .asking import NOT_NEGATIVE, POSITIVE, asked, one_of, wrongly
from .branch import branch_wires
from .conductor_ohms import ohms_a_metre
from .drops import length_told
from .earthing import fitted_earth
from .factors import factor, step
from .job import Job
from .protection import CurveRow, rating_of
from .routes import Route
from .tables import OutsideTable, TableRow, rows_of

QUESTION = "longest run for earth faults"


class GateRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Largest melting currents of a gG fuse, and what it lets through in a short circuit."""

    rating_a: float
    melts_5s_a: float | None = None
    melts_04s_a: float | None = None
    melts_01s_a: float | None = None
    let_through_a2s: float


class TimeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Longest time up to some volts to earth."""

    volts_max: float | None = None
    seconds: float


class TakenRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Impedance of the supply up to a rating of the device."""

    device_max_a: float | None = None
    ohms: float


@dataclass(frozen=True, slots=True)
class Opens:
    """The current at which a device surely opens within a time, and how that is known. `at_once`: at any time asked."""

    amps: float
    seconds: float
    working: Working
    at_once: bool = False


# ---- single questions
@asked(rating_a=POSITIVE, seconds=POSITIVE)
def opens_at(rating_a: float, sort: str, seconds: float) -> Opens:
    """What surely opens a device within `seconds`.

    `sort`: "gG", "aM", "B curve", "C curve", "D curve" or "motor breaker" (`rating_a` the upper end of its range).
    Raises: AskedWrongly for another sort, OutsideTable for a gG fuse whose row the table does not have.
    """
    if sort == "motor breaker":
        return _motor_breaker(rating_a)
    if sort in ("gG", "aM"):
        return _gg(rating_a, seconds) if sort == "gG" else _am(rating_a, seconds)
    curves = {row.curve: row for row in rows_of("breaker_curves", CurveRow)}
    if sort not in curves:
        raise wrongly("opens_at", "sort", sort, one_of(("gG", "aM", *curves, "motor breaker")))
    row = curves[sort]
    amps = row.to_times * rating_a
    words = f"{sort}: surely opens at once at {row.to_times:g} x {in_amps(rating_a)} = {in_amps(amps)}"
    return Opens(amps, seconds, step(words, row), at_once=True)


def _gg(rating_a: float, seconds: float) -> Opens:
    row = gate_row(rating_a)
    slow = seconds >= factor("earth fault slow").value
    amps, at = (row.melts_5s_a, "5 s") if slow else (row.melts_04s_a, "0.4 s")
    if amps is None or (not slow and seconds < 0.4):
        amps, at = row.melts_01s_a, "0.1 s"
    if amps is None:
        raise OutsideTable(f"the gates of gG fuses have no {rating_a:g} A")
    return Opens(amps, seconds, step(f"{in_amps(rating_a)} gG: surely opens within {at} at {in_amps(amps)}", row))


def gate_row(rating_a: float) -> GateRow:
    """The row of a gG fuse. Raises: OutsideTable for a rating without one."""
    row = next((row for row in rows_of("fuse_gates", GateRow) if row.rating_a == rating_a), None)
    if row is None:
        raise OutsideTable(f"the gates of gG fuses have no {rating_a:g} A")
    return row


def _am(rating_a: float, seconds: float) -> Opens:
    row = factor("aM fuse 5 s" if seconds >= factor("earth fault slow").value else "aM fuse 0.4 s")
    amps = row.value * rating_a
    words = f"aM: surely opens in time at {row.value:g} x {in_amps(rating_a)} = {in_amps(amps)}"
    return Opens(amps, seconds, step(words, row))


def _motor_breaker(range_end_a: float) -> Opens:
    times, spread = factor("motor breaker at once"), factor("motor breaker spread")
    amps = times.value * spread.value * range_end_a
    words = f"opens at once at {times.value:g} x {in_amps(range_end_a)}, {spread.value:g} x that at the latest"
    return Opens(amps, 0.0, step(f"{words} = {in_amps(amps)}", times), at_once=True)


@asked(volts_to_earth=POSITIVE)
def earth_fault_seconds(volts_to_earth: float) -> tuple[float, TimeRow]:
    """The longest time for a final circuit up to 32 A, and its row. Source: IEC 60364-4-41 Table 41.1."""
    rows = rows_of("earth_fault_times", TimeRow)
    row = next(row for row in rows if row.volts_max is None or volts_to_earth <= row.volts_max)
    return row.seconds, row


@asked(device_a=POSITIVE)
def supply_loop_ohms(device_a: float) -> TakenRow:
    """What IEC 60204-1 Table 10 takes for the supply when nobody has measured it."""
    rows = rows_of("loop_impedance_taken", TakenRow)
    return next(row for row in rows if row.device_max_a is None or device_a <= row.device_max_a)


@asked(volts_to_earth=POSITIVE, opens_a=POSITIVE, supply_ohms=NOT_NEGATIVE, loop_ohm_m=POSITIVE)
def longest_loop_m(volts_to_earth: float, opens_a: float, supply_ohms: float, loop_ohm_m: float) -> float:
    """Longest run in metres for which U0 / Ia is not exceeded; 0 where the supply alone is too much.

    `loop_ohm_m`: ohms of a metre of line and protective conductor together, warm.
    """
    return max(0.0, (volts_to_earth / opens_a - supply_ohms) / loop_ohm_m)


# ---- from a circuit
@dataclass(frozen=True, slots=True)
class Loop:
    """What is known of the loop of a motor. `per_m`: ohms of a metre of the conductors that are reckoned with."""

    volts: float
    supply_ohms: float
    taken: Working
    per_m: float
    per_text: str
    runs: tuple[Cable, ...]

    @property
    def length_m(self) -> float | None:
        """Metres of its runs; None while the file does not say all of them."""
        lengths = [cable.length.value for cable in self.runs if cable.length is not None]
        return sum(lengths) if lengths and len(lengths) == len(self.runs) else None

    def told(self, metres: float) -> str:
        """A length in the unit in which the file has its runs."""
        return length_told(metres, next((cable.length for cable in self.runs if cable.length is not None), None))


def loop_answer(route: Route, device: Answer, line: Quantity | None, job: Job) -> Answer | None:
    """How long the run of a motor may be so that an earth fault at its end opens the branch device in time.

    None for the NEC, for other than three-phase motors, and while device or conductor are not known.
    """
    if job.american or route.plate.phases != 3 or line is None:
        return None
    found = _device(route, device)
    if found is None:
        return None
    rating, sort, name = found
    loop = _loop(route, line, rating, job)
    if loop is None:
        return None
    seconds, row = earth_fault_seconds(loop.volts)
    slow = factor("earth fault slow").value
    if job.region.table("earth fault") == "installations" and rating > factor("earth fault final").value:
        seconds = slow
    try:
        opens = opens_at(rating, sort, seconds)
    except OutsideTable:
        return None
    time = step(f"within {seconds:g} s at {amount(loop.volts, 'V', 3)} to earth", row, job.region.clause("earth fault"))
    answer = _answered(route, loop, opens, name, time, _slower(rating, sort, opens, slow, job))
    if sort != "gG" or route.device is None or any(fact.name == "gG" for fact in route.device.device.facts):
        return answer
    return replace(answer, warnings=(*answer.warnings, f"the kind of {name} is not said: taken as gG"))


def _slower(rating: float, sort: str, opens: Opens, slow: float, job: Job) -> Opens | None:
    """The other reading: 5 s for a stationary machine, where the device opens slower on less."""
    if opens.at_once or job.region.table("earth fault") == "installations":
        return None
    other = opens_at(rating, sort, slow)
    return other if other.amps < opens.amps else None


def _answered(route: Route, loop: Loop, opens: Opens, name: str, time: Working, slower: Opens | None) -> Answer:
    most = loop.volts / opens.amps
    longest = longest_loop_m(loop.volts, opens.amps, loop.supply_ohms, loop.per_m)
    whole = f"{amount(loop.volts, 'V')} / {in_amps(opens.amps)} = {amount(most, 'ohm')} at most in the whole loop"
    warm = factor("fault loop celsius")
    left = f"({amount(most)} - {amount(loop.supply_ohms)}) ohm / {amount(loop.per_m * 1000, 'ohm/km')}"
    words = f"{left} ({loop.per_text}, at {warm.value:g} C) = {loop.told(longest)}"
    steps = (time, opens.working, Working(whole), loop.taken, step(words, warm))
    also: tuple[Allowed, ...] = ()
    if slower is not None:
        further = longest_loop_m(loop.volts, slower.amps, loop.supply_ohms, loop.per_m)
        why = f"a stationary machine: within {slower.seconds:g} s, at {in_amps(slower.amps)}"
        also = (Allowed(loop.told(further), f"{why} ({factor('earth fault slow').source})", further),)
    fitted = _fitted(loop, longest, also, name)
    return Answer(route.plate.name, QUESTION, f"{loop.told(longest)} behind {name}", longest, "m", steps,
                  also, fitted, _warnings(loop, longest))  # fmt: skip


def _fitted(loop: Loop, longest: float, also: Sequence[Allowed], name: str) -> Fitted | None:
    if loop.length_m is None:
        return None
    text = f"{' and '.join(cable.tag for cable in loop.runs)}, {loop.told(loop.length_m)}"
    if loop.length_m <= longest:
        return Fitted(text, True)
    if also and loop.length_m <= (also[0].value or 0.0):
        return Fitted(text, True, "as a stationary machine")
    return Fitted(text, False, f"an earth fault at its end may not open {name} in time")


def _warnings(loop: Loop, longest: float) -> tuple[str, ...]:
    share = factor("earth fault measured")
    measured = f"measure the loop before use; cold it should not be above {share.value:.2g} of what is allowed"
    if loop.length_m is None or loop.length_m <= longest:
        return (f"for a TN supply; {measured}",)
    mend = "a larger protective conductor, a device that opens on less, or a residual-current device mends it"
    return (f"for a TN supply; {measured}", mend)


def _device(route: Route, answer: Answer) -> tuple[float, str, str] | None:
    """(rating, sort, name) of the branch device of the file, or of the fuse that was chosen."""
    stop = route.device
    if stop is None:
        return (answer.value, "gG", f"{in_amps(answer.value)} gG") if answer.value else None
    rating = rating_of(stop.device)
    sort = device_kind(stop.device)
    if rating is None or not sort:
        return None
    return rating, sort, stop.device.tag


def device_kind(device: Device) -> str:
    """ "gG", "aM", "motor breaker" or the curve of a device; "" when its line does not say which curve.

    A fuse whose kind is not said counts as gG; "slow" and "fast" ones go by the curves of their makers.
    """
    said = {fact.name for fact in device.facts}
    if device.kind == "fuse":
        return "aM" if "aM" in said else "" if said & {"slow", "fast"} else "gG"
    if device.kind == "motor breaker":
        return "motor breaker"
    return next((row.curve for row in rows_of("breaker_curves", CurveRow) if row.curve in said), "")


def _loop(route: Route, line: Quantity, device_a: float, job: Job) -> Loop | None:
    cables = _runs(route)
    line = _core(route, cables) or line
    earth = fitted_earth(job.wiring, route.plate.tag) or line
    celsius = factor("fault loop celsius").value
    each = [ohms_a_metre(size, celsius) for size in (line, earth)]
    ohms = [one[0] for one in each if one is not None]
    if len(ohms) < len(each):
        return None
    text = line.text if earth.text == line.text else f"{line.text} and {earth.text}"
    supply, taken = _supply(route, device_a, job)
    volts = route.plate.volts / sqrt(3)
    return Loop(volts, supply, taken, sum(ohms), f"{text}, there and back", cables)


def _core(route: Route, cables: Sequence[Cable]) -> Quantity | None:
    """The thinnest line conductor of those cables."""
    tags = {cable.tag for cable in cables}
    sizes = [wire.size for wire in branch_wires(route) if wire.cable in tags and wire.size is not None]
    return min(sizes, key=lambda size: size.value, default=None)


def _runs(route: Route) -> tuple[Cable, ...]:
    """The cables that lie between the branch device and the motor, one after the other."""
    tags = {wire.cable for wire in branch_wires(route) if wire.net in route.run_nets}
    return tuple(cable for cable in route.cables if cable.tag in tags)


def _supply(route: Route, device_a: float, job: Job) -> tuple[float, Working]:
    for tag in route.supplies:
        device = job.circuit.by_tag[tag]
        said = next((f.quantity for f in device.facts if f.name == "loop impedance" and f.quantity), None)
        if said is not None:
            return said.value, Working(f"supply {tag}: {said.text}", "", "the panel file")
    row = supply_loop_ohms(device_a)
    tag = route.supplies[0] if route.supplies else "L"
    words = f"supply: {amount(row.ohms, 'ohm')} taken; measured, write on {tag}: loop impedance 0.35 ohm"
    return row.ohms, step(words, row)
