"""Voltage drop of runs: dc, single-phase and three-phase, with resistance and reactance.

dc and single-phase: 2 x I x Z x L; three-phase: 1.732 x I x Z x L; Z = R cos phi + X sin phi, R at working temperature.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from ..circuit import Cable, Quantity
from .answers import Answer, Fitted, Missing, Working, amount, in_amps, not_answered
from .branch import branch_wires
from .conductor_ohms import ohms_a_metre
from .factors import factor
from .job import Job
from .motors import Current, held_rotor
from .plates import Plate
from .routes import Route
from .tables import TableRow, rows_of

DROP, START = "voltage drop", "voltage while it starts"
CONDUITS = {"pvc": "PVC", "al": "aluminium", "steel": "steel"}
KFT_M = 304.8  # metres in 1000 ft
SINGLE, THREE = 2.0, sqrt(3)
POWER_FACTOR = 0.85


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


def drop_v(amps: float, length_m: float, line: Line, *, times: float, power_factor: float = 1.0) -> float:
    """Volts lost there and back: `times` (2, or 1.732 for three phases) x I x L x (R cos phi + X sin phi)."""
    sine = sqrt(max(0.0, 1 - power_factor**2))
    return times * amps * length_m * (line.ohm_m * power_factor + line.reactance_m * sine)


def awg_line(size: str, conduit: str = "pvc") -> Line | None:
    """A copper conductor in conduit ("pvc", "al", "steel") on ac; None for sizes that Chapter 9 Table 9 lacks here."""
    row = next((row for row in rows_of("conductor_impedance_awg", AwgImpedanceRow) if row.size == size), None)
    if row is None:
        return None
    ohms: float = getattr(row, f"r_{conduit}_ohm_kft")
    x = row.x_steel_ohm_kft if conduit == "steel" else row.x_pvc_al_ohm_kft
    words = f"R = {ohms:g}, X = {x:g} ohm/kft at 75 C in {CONDUITS[conduit]} conduit"
    return Line(ohms / KFT_M, x / KFT_M, Working(words, "", row.source, row.trust))


def line_of(size: Quantity, *, dc: bool = False, celsius: float = 70.0) -> Line | None:
    """The copper conductor that was typed ("14 AWG", "2.5 mm2"); None for a size that the tables do not have.

    ac: AWG by Chapter 9 Table 9, other sizes by their dc resistance and the usual reactance of cables.
    """
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


def drop_answers(route: Route, current: Current, conductor: Quantity | None, job: Job) -> tuple[Answer, ...]:
    """The drop on the cable of a motor while it runs and while it starts."""
    plate = route.plate
    cable = next((c for c in route.cables if any(w.cable == c.tag for w in branch_wires(route))), None)
    if cable is None or cable.length is None:
        return (not_answered(plate.name, DROP, (_no_length(plate, cable, route, job),)),)
    size = next((w.size for w in branch_wires(route) if w.cable == cable.tag and w.size), None) or conductor
    if size is None or current.amps is None:
        return (not_answered(plate.name, DROP, current.missing),)
    line = line_of(size, dc=plate.kind == "dc", celsius=75.0 if job.american else job.site.insulation_c)
    if line is None:
        return (Answer(plate.name, DROP, warnings=(f"the tables of resistance do not have {size.text}",)),)
    return (_running(plate, current.amps, cable.tag, cable.length, line, size, job),
            *_starting(route, current, cable.length, line, job))  # fmt: skip


def _no_length(plate: Plate, cable: Cable | None, route: Route, job: Job) -> Missing:
    why = "the drop grows with the length of the run"
    if cable is not None:
        return Missing(f"length of {cable.tag}", why, f"{cable.tag}  cable  {cable.cores}  25 m  from ...")
    cores = "4 x 12 AWG  80 ft" if job.american else "4 G 2.5 mm2  25 m"
    ends = [end for wire in branch_wires(route) for end in wire.ends]
    own = f"{plate.tag}."
    near = [end for wire in branch_wires(route) if any(e.startswith(own) for e in wire.ends) for end in wire.ends]
    start = next((end.partition(".")[0] for end in (*near, *ends) if not end.startswith(own)), "X1")
    return Missing(f"length of the run to {plate.tag}", why, f"cables: W1  cable  {cores}  from {start} to {plate.tag}")


def _running(plate: Plate, amps: float, cable: str, length: Quantity, line: Line, size: Quantity, job: Job) -> Answer:
    times = THREE if plate.phases == 3 else SINGLE
    cosine = 1.0 if plate.kind == "dc" else plate.power_factor or POWER_FACTOR
    volts = drop_v(amps, length.value, line, times=times, power_factor=cosine)
    percent = 100 * volts / plate.volts
    said = "" if plate.power_factor or plate.kind == "dc" else " (power factor 0.85 taken)"
    words = (
        f"{times:.4g} x {in_amps(amps)} x {length.text} x (R x {cosine:g} + X x {sqrt(1 - cosine**2):.3g}){said} = "
        f"{amount(volts, 'V', 3)}; of {amount(plate.volts, 'V')}: {amount(percent, '%', 3)}"
    )
    limit, asked = job.site.drop_percent, job.site.text("voltage drop")
    steps = (
        line.working,
        Working(words),
        Working(f"at most {limit:g} %", "" if asked else job.region.clause("voltage drop"), "the panel file"),
    )
    fits = percent <= limit + 1e-9
    return Answer(
        plate.name, DROP, f"{amount(volts, 'V', 3)}, {amount(percent, '%', 3)} on {cable}", volts, "V", steps,
        fitted=Fitted(f"{cable} {size.text}, {length.text}", fits, f"{'not above' if fits else 'above'} {limit:g} %"),
    )  # fmt: skip


def _starting(route: Route, current: Current, length: Quantity, line: Line, job: Job) -> tuple[Answer, ...]:
    plate = route.plate
    held = held_rotor(plate, current, job.region)
    if held.amps is None or plate.kind == "dc":
        return ()
    pf = factor("start power factor")
    volts = drop_v(held.amps, length.value, line, times=THREE if plate.phases == 3 else SINGLE, power_factor=pf.value)
    left = plate.volts - volts
    words = f"at {in_amps(held.amps)} and power factor {pf.value:g} the run takes {amount(volts, 'V', 3)}"
    share = 100 * left / plate.volts
    warnings = ("the supply behind the panel drops as well; it is not counted here",)
    return (Answer(plate.name, START, f"{amount(left, 'V', 3)}, {amount(share, '%', 3)} at its terminals", left, "V",
                   (*held.workings, Working(words, "", pf.source, pf.trust)), warnings=warnings),)  # fmt: skip
