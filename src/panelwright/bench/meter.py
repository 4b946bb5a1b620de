"""A meter with two leads, as a technician uses it: volts with the power on, ohms with it off."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

from ..electrics import Level, Network, Position, UnknownPlace
from ..electrics.contraction import solve_flow
from ..electrics.solving import Settling

if TYPE_CHECKING:
    from .course import Course

NEXT_TO_NOTHING_V = 0.5  # below it ohms can be read; common practice, no source
TEST_AMPS = 1e-3  # what an ohmmeter sends; common practice, no source
MOST_OHMS = 40e6  # a hand-held meter shows no more; common practice, no source
OVER_RANGE = "O.L"  # how meters show it

Reading = tuple[str, str, str]  # what the meter shows, what kind that is, what to mind


class Meter:
    """Where its leads are ("" nowhere, "earth", or "K1.13") and what it is set to."""

    def __init__(self) -> None:
        self.red = ""
        self.black = ""
        self.reads: Literal["volts", "ohms"] = "volts"

    def put(self, which: Literal["red", "black"], at: str) -> None:
        """Put a lead somewhere."""
        if which == "red":
            self.red = at
        else:
            self.black = at

    def reading(self, course: Course) -> dict[str, Any]:
        """Places, setting, value and what it means."""
        value, words, why = self._read(course)
        places = {"red": self.red, "black": self.black, "reads": self.reads}
        return {**places, "value": value, "words": words, "why": why}

    def _read(self, course: Course) -> Reading:
        if course.run is None or not (self.red and self.black):
            return "", "", "Put both leads somewhere."
        state = course.run.state
        try:
            if self.reads == "volts":
                return volts_read(state.solution.volts(self.red, self.black))
            return ohms_read(state.network, state.position, self.red, self.black)
        except UnknownPlace as gone:
            return "", "", f"There is nothing called {gone.name} in this circuit any more. Move that lead."


def volts_read(level: Level) -> Reading:
    """What a voltmeter shows."""
    if level.floating:
        return "0.0 V", "", "The two leads are on circuits that nothing joins: a real meter shows stray volts, or none."
    if level.ac_effective > abs(level.dc):
        return f"{level.ac_effective:.1f} V", "ac", ""
    shown = f"{level.dc:.1f} V"
    mind = "Below nought: the red lead is on the lower side." if level.dc < -0.05 else ""
    return ("0.0 V" if shown == "-0.0 V" else shown), "dc", mind


def ohms_read(network: Network, position: Position, red: str, black: str) -> Reading:
    """What an ohmmeter shows; nothing while there are volts that would spoil it."""
    level = network.solve(position).volts(red, black)
    supplies = {device.tag for device, _ in network.circuit.supplies}
    if supplies - position.off or level.effective > NEXT_TO_NOTHING_V:
        return "", "", "The power is on. Ohms are read dead: cut the power, then read again."
    ohms = ohms_between(network, replace(position, off=position.off | supplies), red, black)
    if ohms is None or ohms > MOST_OHMS:
        return OVER_RANGE, "", "No way through between the two leads."
    return ohms_text(ohms), "", "As good as joined." if ohms < 1 else ""


def ohms_between(network: Network, position: Position, a: str, b: str) -> float | None:
    """Dc ohms between two places with the supplies off; None when nothing joins them.

    Diodes pass the test current forwards only. Polarised loads (LED lamps) pass none: a meter has too few volts.
    Raises: UnknownPlace.
    """
    first, last = network.node(a), network.node(b)
    settling = Settling(network, position)
    lamps = {consumer.id for consumer in settling.consumers.values() if consumer.polarised}
    blocked: set[str] = set(lamps)
    for _ in range(len(settling.valves) + 1):
        settling.conducting = {element.id for element in settling.blocking} - blocked
        branches = [branch for branch in settling.branches(0.0).values() if branch[2]]
        bare = [(one, other, siemens, 0.0) for one, other, siemens, _ in branches]
        flow = solve_flow(settling.nodes, settling.bonds(0.0), [*bare, (first, last, 0.0, -TEST_AMPS)])
        joined = solve_flow(settling.nodes, settling.bonds(0.0), bare).section
        against = {v.id for v in settling.valves.values() if flow.volts[v.a].real < flow.volts[v.b].real - 1e-9}
        if against <= blocked:
            break
        blocked |= against
    if joined[first] != joined[last]:
        return None
    return max(0.0, (flow.volts[first] - flow.volts[last]).real / TEST_AMPS)


def ohms_text(ohms: float) -> str:
    """Ohms as a meter shows them."""
    if ohms < 1000:
        return f"{ohms:.1f} Ω"
    return f"{ohms / 1000:.2f} kΩ" if ohms < 1e6 else f"{ohms / 1e6:.2f} MΩ"
