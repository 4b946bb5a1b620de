"""One course of presses in one lane, done the plain way: every pass solved electrically, relay by relay.

It shares nothing with the lanes but the rule of a pass: what should let go lets go, what should pick up does, unless a
rival that is named before it wants to; with a coil on part of its volts staying as it is.
"""

from __future__ import annotations

from panelwright.behaviour import Injected
from panelwright.circuit import Contact
from panelwright.electrics import Network, Position
from panelwright.faults.lanes import Lanes
from panelwright.faults.presses import Presses

MOST_PASSES = 200


def sights(network: Network, lanes: Lanes, injected: Injected | None, lane: int) -> list[dict[str, str]]:
    """Verdicts of everything visible after each step."""
    broken = network.edited(injected.edits) if injected else network
    stuck = dict(injected.stuck) if injected else {}
    operated = {seat.name: stuck.get(seat.device.tag) == "operated" for seat in lanes.seats}
    found = []
    for step in range(lanes.presses.steps):
        for _ in range(MOST_PASSES):
            position = position_of(network, lanes, operated, stuck, step, lane)
            solution = broken.solve(position)
            after = {}
            for seat in lanes.seats:
                verdict = solution.verdict(f"{seat.device.tag}.coil")
                after[seat.name] = operated[seat.name] if verdict == "partial" else verdict == "full"
                if seat.device.tag in stuck:
                    after[seat.name] = operated[seat.name]
            for row, other in lanes.rivals:
                name, rival = lanes.seats[row].name, lanes.seats[other].name
                if after[name] and not operated[name] and after[rival] and not operated[rival]:
                    after[name] = False
            if after == operated:
                break
            operated = after
        found.append({element: solution.verdict(element) for element in lanes.visible})
    return found


def position_of(
    network: Network, lanes: Lanes, operated: dict[str, bool], stuck: dict[str, str], step: int, lane: int
) -> Position:
    """The contacts that are closed."""
    presses: Presses = lanes.presses
    closed = []
    for device in network.circuit.devices:
        for part in device.parts:
            if isinstance(part, Contact):
                if device.tag in operated:
                    moved = operated[device.tag]
                else:
                    drawn = presses.operated.get(device.tag)
                    moved = drawn is not None and bool(drawn[step, lane])
                    moved = stuck[device.tag] == "operated" if device.tag in stuck else moved
                if moved == (part.form == "no"):
                    closed.append(f"{device.tag}.{part.name}")
    return Position(frozenset(closed))
