"""Voltage drop of runs: dc, single-phase and three-phase, with resistance and reactance.

dc and single-phase: 2 x I x Z x L; three-phase: 1.732 x I x Z x L; Z = R cos phi + X sin phi, R at working temperature.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

from ..catalog import read_quantity
from ..catalog.quantities import FOOT_M
from ..circuit import Cable, Quantity
from .answers import Allowed, Answer, Fitted, Missing, Working, amount, in_amps, not_answered
from .asking import A_REGION, A_SHARE, CELSIUS, NOT_NEGATIVE, POSITIVE, AskedWrongly, asked, one_of
from .branch import branch_wires
from .conductor_ohms import ohms_a_metre
from .conductors import Conductor, sizes
from .factors import factor, step
from .job import Job
from .motors import Current, held_rotor
from .plates import Plate
from .regions import Region
from .routes import Route
from .site import Site, drop_limit
from .tables import OutsideTable, TableRow, rows_of

DROP, START = "voltage drop", "voltage while it starts"
CONDUITS = {"pvc": "PVC", "al": "aluminium", "steel": "steel"}
KFT_M = 1000 * FOOT_M
SINGLE, THREE = 2.0, sqrt(3)


class AwgImpedanceRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """ac resistance and reactance at 75 C, ohm/kft to neutral, in three kinds of conduit."""

    size: str
    x_pvc_al_ohm_kft: float
    x_steel_ohm_kft: float
    r_pvc_ohm_kft: float
    r_al_ohm_kft: float
    r_steel_ohm_kft: float
    z085_pvc_ohm_kft: float | None = None
    z085_al_ohm_kft: float | None = None
    z085_steel_ohm_kft: float | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """Resistance and reactance of one conductor, ohm per metre, and where they come from."""

    ohm_m: float
    reactance_m: float
    working: Working


@asked(amps=NOT_NEGATIVE, length_m=NOT_NEGATIVE, times=POSITIVE, power_factor=A_SHARE)
def drop_v(amps: float, length_m: float, line: Line, *, times: float, power_factor: float = 1.0) -> float:
    """Volts lost there and back: `times` (2, or 1.732 for three phases) x I x L x (R cos phi + X sin phi)."""
    sine = sqrt(max(0.0, 1 - power_factor**2))
    return times * amps * length_m * (line.ohm_m * power_factor + line.reactance_m * sine)


@asked(conduit=one_of(CONDUITS))
def awg_line(size: str, conduit: str = "pvc") -> Line | None:
    """A copper conductor in conduit ("pvc", "al", "steel") on ac; None for sizes that Chapter 9 Table 9 lacks here."""
    row = next((row for row in rows_of("conductor_impedance_awg", AwgImpedanceRow) if row.size == size), None)
    if row is None:
        return None
    ohms: float = getattr(row, f"r_{conduit}_ohm_kft")
    x = row.x_steel_ohm_kft if conduit == "steel" else row.x_pvc_al_ohm_kft
    words = f"R = {ohms:g}, X = {x:g} ohm/kft at {factor('copper nec').value:g} C in {CONDUITS[conduit]} conduit"
    return Line(ohms / KFT_M, x / KFT_M, Working(words, "", row.source, row.trust))


@asked(celsius=CELSIUS)
def line_of(size: Quantity | str, *, dc: bool = False, celsius: float = 70.0) -> Line | None:
    """The copper conductor that was typed ("14 AWG", "2.5 mm2"); None for a size that the tables do not have.

    ac: AWG by Chapter 9 Table 9, other sizes by their dc resistance and the usual reactance of cables.
    """
    if isinstance(size, str):
        read = read_quantity(size)
        if read is None or read.unit != "m2":
            why = "it is no size of a conductor. Write it with its unit: 14 AWG, 250 kcmil, 2.5 mm2"
            raise AskedWrongly(f"line_of: size is {size!r}; {why}.")
        size = read
    american = "AWG" in size.text.upper() or "kcmil" in size.text.lower()
    if american and not dc and (found := awg_line(size.text.upper().replace("AWG", " ").split()[0])) is not None:
        return found
    resistance = ohms_a_metre(size, celsius)
    if resistance is None:
        return None
    ohms, row = resistance
    reactance = factor("reactance cable")
    per, unit = (KFT_M, "ohm/kft") if american else (1000.0, "ohm/km")
    words = f"R = {ohms * per:.4g} {unit} at {celsius:g} C"
    if dc:
        return Line(ohms, 0.0, Working(words, "", row.source, row.trust))
    words += f", X = {reactance.value:g} ohm/km"
    return Line(ohms, reactance.value / 1000, Working(words, "", f"{row.source}; X {reactance.source}", row.trust))


@asked(amps=NOT_NEGATIVE, length_m=NOT_NEGATIVE, most_v=POSITIVE, region=A_REGION, times=POSITIVE, power_factor=A_SHARE)
def smallest_for_drop(
    amps: float,
    length_m: float,
    most_v: float,
    region: Region,
    site: Site,
    *,
    times: float,
    power_factor: float = 1.0,
    dc: bool = False,
) -> Conductor:
    """The smallest power conductor on which at most `most_v` are lost; whether it carries the amperes is not asked.

    `times` as for drop_v. Raises: OutsideTable where no size of the tables will do.
    """

    def lost(line: Line) -> float:
        return drop_v(amps, length_m, line, times=times, power_factor=power_factor)

    return _smallest_losing(lost, most_v, region, site, dc=dc)


def _smallest_losing(
    lost_v: Callable[[Line], float], most_v: float, region: Region, site: Site, *, dc: bool
) -> Conductor:
    for conductor in sizes(0.0, region, site):
        size = read_quantity(conductor.name)
        line = line_of(size, dc=dc, celsius=_copper_c(region, site)) if size is not None else None
        if line is not None and lost_v(line) <= most_v + 1e-9:
            return Conductor(conductor.name, conductor.area_mm2, conductor.amps, (line.working,))
    raise OutsideTable(f"no single conductor of the tables keeps the drop to {amount(most_v, 'V', 3)}")


def _copper_c(region: Region, site: Site) -> float:
    """Temperature of the copper that a drop is reckoned with: of the NEC's tables, else what the insulation bears."""
    return factor("copper nec").value if region.family == "NEC" else site.insulation_c


@dataclass(frozen=True, slots=True)
class Run:
    """A cable on the way to a motor."""

    cable: Cable
    length: Quantity
    size: Quantity
    line: Line


@dataclass(frozen=True, slots=True)
class Taking:
    """What a motor takes while it runs, and over how many conductors of its run the drop counts."""

    amps: float
    times: float
    power_factor: float
    words: str

    def volts(self, runs: Sequence[Run], *, amps: float = 0.0, power_factor: float = 0.0) -> float:
        """Volts lost in all runs, at this current or another."""
        cosine = power_factor or self.power_factor
        each = (drop_v(amps or self.amps, r.length.value, r.line, times=self.times, power_factor=cosine) for r in runs)
        return sum(each)


def drop_answers(route: Route, current: Current, conductor: Quantity | None, job: Job) -> tuple[Answer, ...]:
    """The drop on the cables of a motor while it runs and while it starts."""
    plate = route.plate
    tags = {wire.cable for wire in branch_wires(route) if wire.net in route.run_nets}
    cables = [cable for cable in route.cables if cable.tag in tags]
    unmeasured = next((cable for cable in cables if cable.length is None), None)
    if not cables or unmeasured is not None:
        return (not_answered(plate.name, DROP, (_no_length(plate, unmeasured, route, job),)),)
    runs = [run for cable in cables if (run := _run(cable, route, conductor, job)) is not None]
    if len(runs) < len(cables) or current.amps is None:
        lacking = f"the tables of resistance do not have a size of {' and '.join(cable.tag for cable in cables)}"
        return (Answer(plate.name, DROP, missing=current.missing, warnings=() if current.missing else (lacking,)),)
    taking = _taking(route, current.amps)
    return (_running(plate, taking, runs, job), *_starting(route, current, taking, runs, job))


def _run(cable: Cable, route: Route, conductor: Quantity | None, job: Job) -> Run | None:
    size = next((w.size for w in branch_wires(route) if w.cable == cable.tag and w.size), None) or conductor
    if size is None or cable.length is None:
        return None
    line = line_of(size, dc=route.plate.kind == "dc", celsius=_copper_c(job.region, job.site))
    return Run(cable, cable.length, size, line) if line is not None else None


def _taking(route: Route, amps: float) -> Taking:
    """Three conductors of a three-phase motor; behind a star-delta starter each winding has two of its own."""
    plate = route.plate
    usual = factor("running power factor").value
    cosine = 1.0 if plate.kind == "dc" else plate.power_factor or usual
    said = "" if plate.power_factor or plate.kind == "dc" else f" (power factor {usual:g} taken)"
    if route.star_delta:
        share = factor("star-delta line").value
        return Taking(amps * share, SINGLE, cosine, f"{said} for each winding")
    return Taking(amps, THREE if plate.phases == 3 else SINGLE, cosine, said)


def _no_length(plate: Plate, cable: Cable | None, route: Route, job: Job) -> Missing:
    why = "the drop grows with the length of the run"
    if cable is not None:
        ends = " and ".join(cable.ends)
        line = f"{cable.tag}  cable  {cable.cores}  25 m  from {cable.start} to {ends}"
        return Missing(f"length of {cable.tag}", why, line)
    cores = "4 x 12 AWG  80 ft" if job.american else "4 G 2.5 mm2  25 m"
    own = f"{plate.tag}."
    wires = [w for w in branch_wires(route) if any(end.startswith(own) for end in w.ends)] or branch_wires(route)
    near = [end.partition(".")[0] for wire in wires for end in wire.ends]
    motors = {device.tag for device in job.circuit.devices if device.motors}
    start = next((tag for tag in (*near, *(stop.device.tag for stop in route.stops)) if tag not in motors), "X1")
    return Missing(f"length of the run to {plate.tag}", why, f"cables: W1  cable  {cores}  from {start} to {plate.tag}")


def _running(plate: Plate, taking: Taking, runs: Sequence[Run], job: Job) -> Answer:
    volts = taking.volts(runs)
    percent = 100 * volts / plate.volts
    steps = [line for run in runs for line in _run_steps(run, taking)]
    steps.append(Working(f"of {amount(plate.volts, 'V')}: {amount(percent, '%', 3)}"))
    limit, words = job.site.drop_percent, f"at most {job.site.drop_percent:g} %"
    asked = Working(words, "", "the panel file") if job.site.text("voltage drop") else None
    steps.append(asked or step(words, drop_limit(job.region), job.region.clause("voltage drop")))
    fits = percent <= limit + 1e-9
    names = " and ".join(run.cable.tag for run in runs)
    fitted = ", ".join(f"{run.cable.tag} {run.size.text}, {run.length.text}" for run in runs)
    also: list[Allowed] = []
    if len(runs) == 1 and percent > 0:
        also.append(_longest(runs[0], limit / percent))
        also += () if fits else _thicker(plate, taking, runs[0], limit, job)
    return Answer(
        plate.name, DROP, f"{amount(volts, 'V', 3)}, {amount(percent, '%', 3)} on {names}", volts, "V", tuple(steps),
        tuple(also), Fitted(fitted, fits, f"{'not above' if fits else 'above'} {limit:g} %"),
    )  # fmt: skip


def _run_steps(run: Run, taking: Taking) -> tuple[Working, Working]:
    cosine = taking.power_factor
    words = (
        f"{taking.times:.4g} x {in_amps(taking.amps)} x {run.length.text} x (R x {cosine:g} + X x "
        f"{sqrt(1 - cosine**2):.3g}){taking.words} = {amount(taking.volts([run]), 'V', 3)}"
    )
    return run.line.working, Working(words)


def _longest(run: Run, times: float) -> Allowed:
    """How long the run may be on that conductor, in the unit that was typed."""
    metres = run.length.value * times
    why = f"the longest run on {run.size.text} within the limit"
    return Allowed(length_told(metres, run.length), why, metres)


def _thicker(plate: Plate, taking: Taking, run: Run, limit: float, job: Job) -> tuple[Allowed, ...]:
    """The smallest conductor on which the same run stays within the limit; none where the tables end before it."""

    def lost(line: Line) -> float:
        return taking.volts([Run(run.cable, run.length, run.size, line)])

    try:
        found = _smallest_losing(lost, plate.volts * limit / 100, job.region, job.site, dc=plate.kind == "dc")
    except OutsideTable:
        return ()
    return (Allowed(found.name, f"the smallest that stays within {limit:g} % on this run", found.area_mm2),)


def length_told(metres: float, like: Quantity | None) -> str:
    """A length in feet where `like` was typed in feet, else in metres."""
    feet = like is not None and any(unit in like.text for unit in ("ft", "feet", "foot"))
    return amount(metres / FOOT_M, "ft", 3) if feet else amount(metres, "m", 3)


def _starting(route: Route, current: Current, taking: Taking, runs: Sequence[Run], job: Job) -> tuple[Answer, ...]:
    plate = route.plate
    held = held_rotor(plate, current, job.region)
    if held.amps is None or plate.kind == "dc" or route.star_delta:
        return ()
    pf = factor("start power factor")
    volts = taking.volts(runs, amps=held.amps, power_factor=pf.value)
    left = plate.volts - volts
    words = f"at {in_amps(held.amps)} and power factor {pf.value:g} the run takes {amount(volts, 'V', 3)}"
    share = 100 * left / plate.volts
    warnings = ("the supply behind the panel drops as well; it is not counted here",)
    return (Answer(plate.name, START, f"{amount(left, 'V', 3)}, {amount(share, '%', 3)} at its terminals", left, "V",
                   (*held.workings, Working(words, "", pf.source, pf.trust)), warnings=warnings),)  # fmt: skip
