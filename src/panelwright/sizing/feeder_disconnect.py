"""One switch for all loads of a supply: what it carries, and what it breaks with the largest motor held fast."""

from __future__ import annotations

from .answers import Answer, Fitted, Working, amount, in_amps
from .asking import POSITIVE, asked
from .controllers import switch_fitted
from .factors import factor, step
from .feeder_loads import Feeder
from .job import Job
from .motors import Current, ThreePhaseRow, held_rotor, voltage_column
from .protection import usual_size
from .tables import OutsideTable, rows_of

QUESTION = "feeder disconnect"


def disconnect_of_all(feeder: Feeder, job: Job) -> Answer:
    """NEC 430.110(C): 115 % of all currents, and the horsepower of them all; IEC 60204-1 5.3.3: carries and breaks."""
    total = sum(amps for _, amps in feeder.heaviest()) + feeder.other_amps
    return _nec(feeder, total, job) if job.american else _iec(feeder, total, job)


def _nec(feeder: Feeder, total: float, job: Job) -> Answer:
    row, rule = factor("disconnect of all"), job.region.clause("feeder disconnect")
    least = total * row.value
    steps = [step(f"{row.value:g} x {in_amps(total)} = {in_amps(least)}", row, rule)]
    running = {tag for tag, _ in feeder.heaviest()}
    held = {tag: amps for tag, amps in _held(feeder, job).items() if tag in running}
    with_held = sum(held.values()) + feeder.other_amps
    hp = equivalent_hp(total, with_held, feeder.motors[0][0].plate.volts) if _same_kind(feeder) else None
    words = f"all rotors held: {' + '.join(in_amps(amps) for amps in held.values())}, in all {in_amps(with_held)}"
    if hp is not None:
        steps.append(step(f"{words}: as one motor of {amount(hp, 'hp')}", row, rule))
    size = _size("enclosed switch", least)
    rated = f", rated for {amount(hp, 'hp')}" if hp is not None else ", rated in horsepower for all of them"
    return Answer(feeder.supply, QUESTION, f"{size}{rated}", least, "A", tuple(steps), fitted=_fitted(feeder, least))


@asked(full_a=POSITIVE, held_a=POSITIVE, volts=POSITIVE)
def equivalent_hp(full_a: float, held_a: float, volts: float) -> float | None:
    """Horsepower of the one motor that takes as much, running and with its rotor held; None beyond the tables.

    Source: NEC 430.110(C)(1), Tables 430.250 and 430.251(B).
    """
    column = voltage_column(volts)
    found = []
    for table, amps in (("motor_current_3ph", full_a), ("locked_rotor_3ph", held_a)):
        cells = [(row.hp, getattr(row, f"a_{column}v", None)) for row in rows_of(table, ThreePhaseRow)]
        found.append(next((hp for hp, cell in cells if cell is not None and cell >= amps), None))
    return max(found) if None not in found else None  # type: ignore[type-var]


def _same_kind(feeder: Feeder) -> bool:
    return all(
        route.plate.phases == 3 and route.plate.volts == feeder.motors[0][0].plate.volts for route, _ in feeder.motors
    )


def _iec(feeder: Feeder, total: float, job: Job) -> Answer:
    rule = job.region.clause("feeder disconnect")
    held = _held(feeder, job)
    motors = dict(feeder.heaviest())
    tag = max(motors, key=lambda one: held.get(one, motors[one]) - motors[one])
    breaks = total - motors[tag] + held.get(tag, motors[tag])
    words = (
        f"breaks {in_amps(breaks)}: {tag} with its rotor held {in_amps(held.get(tag, motors[tag]))}, the others running"
    )
    steps = (
        Working(f"carries {_summed(feeder)}", rule, "IEC 60204-1", "from memory"),
        Working(words, rule, "IEC 60204-1", "from memory"),
    )
    choice = f"{_size('switch-disconnector', total)} in AC-23 (motor), lockable"
    return Answer(feeder.supply, QUESTION, choice, total, "A", steps, fitted=_fitted(feeder, total))


def _summed(feeder: Feeder) -> str:
    loads = [*feeder.heaviest(), *((share.name, share.amps) for share in feeder.others)]
    terms = " + ".join(in_amps(amps) for _, amps in loads)
    return terms if len(loads) == 1 else f"{terms} = {in_amps(sum(amps for _, amps in loads))}"


def _held(feeder: Feeder, job: Job) -> dict[str, float]:
    """Amperes of each motor with its rotor held."""
    found = {}
    for route, amps in feeder.motors:
        current = held_rotor(route.plate, Current(amps, "table"), job.region)
        found[route.plate.tag] = current.amps if current.amps is not None else amps
    return found


def _size(kind: str, amps: float) -> str:
    try:
        return f"{in_amps(usual_size(kind, amps))} switch"
    except OutsideTable:
        return f"at least {in_amps(amps)}"


def _fitted(feeder: Feeder, least: float) -> Fitted:
    """The switch that all motors go through."""
    stop = next((stop for stop in feeder.shared if stop.device.kind == "disconnect"), None)
    return switch_fitted(stop, least, "none for all of them is in the file")
