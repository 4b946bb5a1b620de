"""What the nameplate of the panel says of each supply: volts, phases, frequency, full-load current, largest motor."""

from __future__ import annotations

from collections.abc import Sequence

from ..circuit import Source
from .answers import Answer, Working, amount, in_amps
from .feeder_loads import Feeder, feeders_of
from .job import Job
from .motors import Current
from .routes import Route

QUESTION = "nameplate of the panel"
NOT_LIVE = ("PE", "N")


def nameplate_answers(routes: Sequence[Route], currents: Sequence[Current], job: Job) -> tuple[Answer, ...]:
    """One answer for each supply of a motor whose currents are known. Source: NEC 409.110; IEC 60204-1 16.4."""
    return tuple(_answer(one, job) for one in feeders_of(routes, currents, job, least=1) if isinstance(one, Feeder))


def _answer(feeder: Feeder, job: Job) -> Answer:
    rule = job.region.clause("nameplate")
    device = job.circuit.by_tag[feeder.supply]
    source = next(part for part in device.parts if isinstance(part, Source))
    motors = feeder.heaviest()
    total = sum(amps for _, amps in motors) + feeder.other_amps
    live = [rail for rail in source.rails if rail not in NOT_LIVE]
    phases = "3 phases" if len(live) == len("UVW") else "1 phase"
    kind = f"{phases}, {amount(source.hertz, 'Hz')}" if source.current == "ac" else "dc"
    loads = [*motors, *((share.name, share.amps) for share in feeder.others)]
    summed = " + ".join(f"{in_amps(amps)} ({name})" for name, amps in loads)
    steps = (Working(f"{summed}{f' = {in_amps(total)}' if len(loads) > 1 else ''}", rule, rule, "from memory"),)
    tag, largest = motors[0]
    power = next(route.plate.power_text for route, _ in feeder.motors if route.plate.tag == tag)
    choice = (
        f"{amount(source.volts, 'V')}, {kind}, full-load current {amount(total, 'A', 3)}, "
        f"largest motor {f'{power}, ' if power else ''}{in_amps(largest)}"
    )
    note = "with the short-circuit rating of the panel, the number of its drawings, and who made it"
    return Answer(feeder.supply, QUESTION, choice, total, "A", steps, warnings=(note,))
