"""The power side of a panel: every motor, the feeders, heat and short-circuit rating."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from .answers import Answer, Part
from .branch import CONDUCTOR, chosen_or_fitted, conductor_answer, with_small_note
from .controllers import CONTACTOR, DISCONNECT, contactor_answers, disconnect_answer
from .drops import drop_answers
from .earthing import EARTH, earth_answer
from .fault_loop import loop_answer
from .feeders import LOAD, feeder_answers
from .groups import QUESTION as GROUP
from .groups import group_answers
from .heat import heat_answers
from .job import Job
from .motors import Current, full_load, full_load_answer
from .nameplate import nameplate_answers
from .overloads import overload_answers
from .protection import DEVICE, Behind, device_answer
from .routes import Route, routes_of
from .short_circuit import let_through_answer, rating_answers, with_short_circuit
from .tables import OutsideTable
from .torque import TORQUE, torque_answers


def power_parts(job: Job) -> tuple[Part, ...]:
    """One part for each motor winding in file order, then feeders, the panel's rating and its heat."""
    routes = routes_of(job.wiring)
    currents = [full_load(route.plate, job.region) for route in routes]
    parts = [
        Part(_heading(route), tuple(_motor(route, current, _behind(route, routes, currents), job)))
        for route, current in zip(routes, currents, strict=True)
    ]
    whole = {
        "Groups of motors": _inside("groups", GROUP, lambda: group_answers(routes, currents, job)),
        "Feeder": _inside("feeder", LOAD, lambda: feeder_answers(routes, currents, job)),
        "Nameplate": nameplate_answers(routes, currents, job),
        "Short-circuit rating": rating_answers(routes, job),
        "Heat in the enclosure": heat_answers(routes, currents, job),
        "Power terminals": _inside("terminals", TORQUE, lambda: torque_answers(routes) if job.american else ()),
    }
    return (*parts, *(Part(heading, answers) for heading, answers in whole.items() if answers))


def _heading(route: Route) -> str:
    plate = route.plate
    facts = ", ".join(filter(None, (plate.power_text, plate.volts_text, plate.plate_text)))
    return f"Motor {plate.name}{f' {plate.text}' if plate.text else ''}: {facts}"


def _behind(route: Route, routes: Sequence[Route], currents: Sequence[Current]) -> Behind:
    """The other windings and motors behind the branch device of a route."""
    tag = route.device.device.tag if route.device else ""
    others = [
        (one, current)
        for one, current in zip(routes, currents, strict=True)
        if one is not route and one.device and one.device.device.tag == tag
    ]
    own = [c.amps for one, c in others if one.plate.tag == route.plate.tag and c.amps is not None]
    motors = dict.fromkeys(one.plate.tag for one, _ in others if one.plate.tag != route.plate.tag)
    return Behind(max(own, default=0.0), tuple(motors))


def _motor(route: Route, current: Current, behind: Behind, job: Job) -> Iterator[Answer]:
    name = route.plate.name
    yield full_load_answer(route.plate, current)
    conductor = _first(name, CONDUCTOR, lambda: conductor_answer(route, current, job))
    device = _first(name, DEVICE, lambda: device_answer(route, current, job, behind))
    yield from (with_short_circuit(with_small_note(conductor, device, job), route, job), device)
    yield from overload_answers(route, current, job)
    yield from _inside(name, CONTACTOR, lambda: contactor_answers(route, current, job))
    yield from _inside(name, DISCONNECT, lambda: (disconnect_answer(route, current, job),))
    line = chosen_or_fitted(route, conductor)
    yield from _inside(name, EARTH, lambda: (earth_answer(route, device, line, job),))
    for against in (let_through_answer, loop_answer):
        yield from filter(None, (against(route, device, line, job),))
    yield from drop_answers(route, current, line, job)


def _inside(about: str, question: str, answers: Callable[[], Sequence[Answer | None]]) -> tuple[Answer, ...]:
    """The answers; where a table ends before that load, one that says so."""
    try:
        return tuple(answer for answer in answers() if answer is not None)
    except OutsideTable as reason:
        return (Answer(about, question, warnings=(f"{reason}.",)),)


def _first(about: str, question: str, answer: Callable[[], Answer]) -> Answer:
    return _inside(about, question, lambda: (answer(),))[0]
