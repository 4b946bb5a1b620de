"""What is on the way of a motor, against the solved network: opening it stops the motor, anything else does not."""

from __future__ import annotations

from functools import cache
from itertools import chain, combinations
from pathlib import Path

import pytest

import panelwright as pw
from panelwright.circuit import Contact, Device, Fuse
from panelwright.electrics import Network, Position
from panelwright.sizing.controllers import CONTACTORS
from panelwright.sizing.routes import Route, routes_of
from panelwright.wiring import Wiring

EXAMPLES = Path("examples")


@cache
def wired(path: Path) -> Wiring:
    """An example with its wires."""
    return pw.wire(pw.read_file(path).circuit)


def with_motors() -> list[Path]:
    """The examples in which a motor is fed through contacts."""
    return [path for path in sorted(EXAMPLES.rglob("*.panel")) if any(r.stops for r in routes_of(wired(path)))]


def poles(device: Device) -> set[str]:
    """Its main contacts by element id."""
    return {f"{device.tag}.{part.name}" for part in device.contacts if part.main or device.mechanism.sort == "switch"}


def running(network: Network, route: Route, closed: frozenset[str], blown: frozenset[str] = frozenset()) -> bool:
    """Whether the motor turns with these contacts closed and these fuses open."""
    answer = network.solve(Position(closed, blown)).motor(f"{route.plate.tag}.{route.plate.part}")
    return answer.state in ("forward", "reverse")


def settings(wiring: Wiring, route: Route) -> list[frozenset[str]]:
    """Main contacts closed: all switches, and every choice of the contactors of the way."""
    switches = set(chain.from_iterable(poles(d) for d in wiring.circuit.devices if d.mechanism.sort == "switch"))
    own = [stop.device for stop in route.every(*CONTACTORS)]
    choices = chain.from_iterable(combinations(own, count) for count in range(1, len(own) + 1))
    return [frozenset(switches.union(*(poles(device) for device in choice))) for choice in choices]


@pytest.mark.parametrize("path", with_motors(), ids=lambda path: path.stem)
def test_what_is_on_the_way_is_what_stops_the_motor(path: Path) -> None:
    """By solving the circuit: with the contactors of the way closed it runs; each device of the way can stop it."""
    wiring = wired(path)
    network = Network(wiring)
    for route in routes_of(wiring):
        if not route.every(*CONTACTORS):
            continue
        runs = [closed for closed in settings(wiring, route) if running(network, route, closed)]
        assert runs, route.plate.name
        for device in wiring.circuit.devices:
            stops = any(_stops(network, route, closed, device) for closed in runs)
            if device.tag in route.tags and _can_open(device):
                assert stops, f"{device.tag} is on the way of {route.plate.name} and opening it changes nothing"
            elif device.tag not in route.tags:
                assert not stops, f"{device.tag} is not on the way of {route.plate.name} and stops it"


def _can_open(device: Device) -> bool:
    return any(isinstance(part, Contact | Fuse) for part in device.parts) and device.kind != "overload relay"


def _stops(network: Network, route: Route, closed: frozenset[str], device: Device) -> bool:
    """Whether the motor no longer turns with this device open."""
    fuses = frozenset(f"{device.tag}.{part.name}" for part in device.parts if isinstance(part, Fuse))
    opened = closed - poles(device)
    if not fuses and opened == closed:
        return False
    return not running(network, route, opened, fuses)
