"""Which motors can run together: those whose contactors are closed together in some state that the panel reaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .control_circuits import ControlCircuit, control_circuits
from .controllers import CONTACTORS
from .job import Job
from .routes import Route


@dataclass(frozen=True, slots=True)
class Running:
    """The largest sets of motors (tags) that can run together, and how that is known. One set holds all of them."""

    sets: tuple[frozenset[str], ...]
    how: str

    @property
    def whole(self) -> bool:
        """Whether all motors count as running together."""
        return len(self.sets) == 1


def running_together(routes: Sequence[Route], job: Job) -> Running:
    """The sets of motors that can run together among those of the routes.

    A motor may run while any contactor on its way is closed; one without a contactor may always run. Where the states
    are too many to be walked through, all are counted.
    """
    motors = frozenset(route.plate.tag for route in routes)
    everything = Running((motors,), "all motors are counted as running together, each with its own current")
    contactors = {r.plate.tag: {s.device.tag for s in r.every(*CONTACTORS)} for r in routes}
    circuit = _circuit_of(frozenset().union(*contactors.values()), job)
    if len(motors) < 2 or circuit is None or not circuit.reach.exact:
        return everything
    found = set()
    for moment in circuit.reach.moments:
        closed = {element.partition(".")[0] for element in (*moment.held, *moment.pulling)}
        closed |= {name for name, value in moment.standing.items() if value}
        found.add(frozenset(tag for tag in motors if not contactors[tag] or contactors[tag] & closed))
    largest = tuple(sorted((one for one in found if not any(one < other for other in found)), key=sorted))
    if len(largest) == 1:
        return Running(largest, everything.how) if largest[0] == motors else everything
    return Running(largest, f"never all together, over all {circuit.reach.states} states that the panel can reach")


def _circuit_of(contactors: frozenset[str], job: Job) -> ControlCircuit | None:
    """The control circuit that drives all of them, if one does and every one has a plain coil."""
    for circuit in control_circuits(job):
        driven = {element.partition(".")[0] for element, wired in circuit.loads.items() if wired.load.drives == "coil"}
        if contactors and contactors <= driven:
            return circuit
    return None
