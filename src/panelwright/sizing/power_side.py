"""The power side of a panel: every motor, the feeders, heat and short-circuit rating."""

from __future__ import annotations

from collections.abc import Iterator

from .answers import Answer, Part
from .branch import chosen_or_fitted, conductor_answer
from .controllers import contactor_answers, disconnect_answer
from .drops import drop_answers
from .earthing import earth_answer
from .feeders import feeder_answers
from .heat import heat_answers
from .job import Job
from .motors import Current, full_load, full_load_answer
from .overloads import overload_answers
from .protection import device_answer
from .routes import Route, routes_of
from .short_circuit import rating_answers


def power_parts(job: Job) -> tuple[Part, ...]:
    """One part for each motor winding in file order, then feeders, the panel's rating and its heat."""
    routes = routes_of(job.wiring)
    currents = [full_load(route.plate, job.region) for route in routes]
    parts = [
        Part(_heading(route), tuple(_motor(route, current, job)))
        for route, current in zip(routes, currents, strict=True)
    ]
    whole = {
        "Feeder": feeder_answers(routes, currents, job),
        "Short-circuit rating": rating_answers(routes, job),
        "Heat in the enclosure": heat_answers(routes, currents, job),
    }
    return (*parts, *(Part(heading, answers) for heading, answers in whole.items() if answers))


def _heading(route: Route) -> str:
    plate = route.plate
    facts = ", ".join(filter(None, (plate.power_text, plate.volts_text, plate.plate_text)))
    return f"Motor {plate.name}{f' {plate.text}' if plate.text else ''}: {facts}"


def _motor(route: Route, current: Current, job: Job) -> Iterator[Answer]:
    yield full_load_answer(route.plate, current)
    conductor = conductor_answer(route, current, job)
    yield conductor
    device = device_answer(route, current, job)
    yield device
    yield from overload_answers(route, current, job)
    yield from contactor_answers(route, current, job)
    if (disconnect := disconnect_answer(route, current, job)) is not None:
        yield disconnect
    line = chosen_or_fitted(route, conductor)
    if (earth := earth_answer(route, device, line, job)) is not None:
        yield earth
    yield from drop_answers(route, current, line, job)
