"""Diodes on ac: one cycle, instant by instant.

Where a diode or a polarised load stands across ac, phasors do not add up. The cycle is then cut into instants, each
solved like dc with the diodes that conduct at that instant, and the course of every volt and amp is taken apart again
into its mean and its harmonics. Impedances count with their magnitude, so amps through a reactance keep their size
and lose their phase; a capacitor does not smooth. Method: piecewise-linear analysis, quasi-static.
"""

from __future__ import annotations

import cmath
import math

from .contraction import Branch, Flow, solve_flow
from .elements import Valve
from .solving import Settling

INSTANTS = 72  # one in 5 degrees
LEAK_SIEMENS = 1e-9  # of a blocking diode, so that what lies behind it is never undefined
ROUNDS, GENTLE_AFTER = 100, 12
NOTICED_V = 1e-6


def sees_ac(settling: Settling) -> bool:
    """Whether a diode or polarised load has ac volts, of one frequency."""
    found = [hertz for hertz in settling.flows if hertz]
    if len(found) != 1:
        return False  # none, or several that no one cycle fits
    return any(abs(settling.across(element, found[0]) or 0.0) > NOTICED_V for element in settling.blocking)


def solve_cycle(settling: Settling) -> None:
    """Replace the flows by those of a whole cycle, with mean and harmonics."""
    import numpy as np

    hertz = next(h for h in settling.flows if h)
    steady = {h: settling.branches(h) for h in settling.flows}
    conducting = {element.id for element in settling.blocking}
    volts, amps = [], []
    for instant in range(INSTANTS):
        turn = cmath.rect(math.sqrt(2), math.tau * instant / INSTANTS)
        flow, branches, conducting = _at(settling, hertz, turn, steady, conducting)
        volts.append(flow.volts)
        amps.append([y * (flow.volts[a] - flow.volts[b]) + i for a, b, y, i in branches.values()])
        keys, section = list(branches), flow.section
    by_node = np.fft.fft(np.array(volts).real, axis=0) / INSTANTS
    by_element = np.fft.fft(np.array(amps).real, axis=0) / INSTANTS
    settling.flows = {}
    for order in range(INSTANTS // 2):
        scale = math.sqrt(2) if order else 1.0
        if order > 1 and max(abs(by_node[order]).max(), abs(by_element[order]).max()) < NOTICED_V:
            continue
        settling.flows[order * hertz] = Flow(tuple(complex(v) * scale for v in by_node[order]), section, ())
        settling.waves[order * hertz] = dict(zip(keys, (by_element[order] * scale).tolist(), strict=True))


def _at(
    settling: Settling,
    hertz: float,
    turn: complex,
    steady: dict[float, dict[str, Branch]],
    conducting: set[str],
) -> tuple[Flow, dict[str, Branch], set[str]]:
    """One instant, beginning with the diodes that conducted at the one before."""
    bonds = [
        (a, b, complex(ac[2] * turn).real + complex(dc[2]).real)
        for ac, dc in zip(settling.bonds(hertz), settling.bonds(0.0), strict=True)
        for a, b in [ac[:2]]
    ]
    for count in range(ROUNDS):
        branches = _branches_at(settling, hertz, turn, steady, conducting)
        flow = solve_flow(settling.nodes, bonds, list(branches.values()))
        wrong = []
        for element in settling.blocking:
            drop = element.drop_v if isinstance(element, Valve) else 0.0
            excess = complex(flow.volts[element.a] - flow.volts[element.b]).real - drop
            if (element.id in conducting) == (excess < -1e-9) and abs(excess) > 1e-9:
                wrong.append((abs(excess), element.id))
        if not wrong:
            break
        wrong.sort(reverse=True)
        conducting = conducting ^ {key for _, key in (wrong if count < GENTLE_AFTER else wrong[:1])}
    return flow, branches, conducting


def _branches_at(
    settling: Settling,
    hertz: float,
    turn: complex,
    steady: dict[float, dict[str, Branch]],
    conducting: set[str],
) -> dict[str, Branch]:
    """Everything with a resistance, at one instant."""
    found: dict[str, Branch] = {}
    dc = steady.get(0.0, {})
    for key, (a, b, siemens, amps) in steady[hertz].items():
        driven = complex(amps * turn).real + (complex(dc[key][3]).real if key in dc else 0.0)
        found[key] = (a, b, abs(siemens), driven)
    for element in settling.blocking:
        on = element.id in conducting
        if isinstance(element, Valve):
            siemens = 1 / element.ohms if on else LEAK_SIEMENS
            found[element.id] = (element.a, element.b, siemens, -element.drop_v * siemens if on else 0.0)
        else:
            siemens = abs(element.siemens(hertz)) if on else LEAK_SIEMENS
            found[element.id] = (element.a, element.b, siemens, 0.0)
    return found
