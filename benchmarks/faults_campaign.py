"""Faults times settled states a second, against ngspice in one process.

Ours: every fault of a panel followed through 4,096 lanes of 8 presses each; supplies stay on and emergency stops out.
Compiling gates with the joins of shorts is counted, making the list and numba's first call are not. ngspice keeps the
circuit loaded and is told which contacts change (five from one position to the next); a settled state takes it at least
two operating points, since a relay that moves changes what is fed, and two are counted. Times are those of the
processor, so that other programs on the machine do not count. The answers are compared in tests/faults/test_lanes.py;
faults detected stand beside the speed, since a panel in which nothing can be seen is quick to work out.
Run: `python3 -m benchmarks.faults_campaign [DEVICES]`
"""

from __future__ import annotations

import sys
import time

from panelwright.behaviour import Injected, inject
from panelwright.circuit import Circuit
from panelwright.electrics import Network
from panelwright.electrics.points import PointSolver
from panelwright.faults import fault_list
from panelwright.faults.lanes import Lanes
from panelwright.faults.overrides import Override, Overrides
from panelwright.faults.presses import Presses
from panelwright.faults.routes import Shown
from panelwright.wiring import wire

from .electrics_operating_points import deck_lines, ngspice_walk, walk_of
from .families import FAMILIES, family

OPS_A_STATE = 2
OPEN_AND_STUCK = ("contact-welded", "contact-open", "stuck-in", "stuck-out", "coil-open", "lamp-out", "wire-open")
SHORTS_AND_EARTHS = ("terminals-bridged", "conductor-earthed", "coil-shorted", "lamp-shorted")
MOST_FAULTS = 300  # of each group, spread evenly over the list
STEPS, WORDS = 8, 64


def ngspice_ops_s(circuit: Circuit, points: int = 60) -> float:
    """Operating points a second of one ngspice process; start-up taken out by running two lengths."""
    solver = PointSolver(Network(circuit))
    walk = walk_of(solver, points)
    closed = frozenset(c for c, on in zip(solver.contacts, walk.closed[0], strict=True) if on)
    lines = deck_lines(circuit, closed)
    short, _ = ngspice_walk(lines, walk, points // 5, [])
    long, _ = ngspice_walk(lines, walk, points, [])
    return (points - points // 5) / (long - short)


def overrides_of(network: Network, wiring: object, wanted: tuple[str, ...]) -> list[Override]:
    """The faults of some kinds that lanes can follow, thinned out evenly."""
    maker = Overrides(network)
    found = []
    for one in fault_list(wiring):  # type: ignore[arg-type]
        if one.kind in wanted:
            injected = inject(network.circuit, one.fault)
            override = maker.of(injected) if isinstance(injected, Injected) else None
            if override is not None:
                found.append(override)
    return found[:: max(1, len(found) // MOST_FAULTS)]


def points_s(lanes: Lanes, overrides: list[Override]) -> tuple[float, list[Shown]]:
    """Faults times states a second, and what they show."""
    lanes.show(overrides[:2])  # warm
    begun = time.process_time()
    shown = [one for one in lanes.show(overrides) if one is not None]
    return sum(one.points for one in shown) / (time.process_time() - begun), shown


def main() -> None:
    """Print the table."""
    devices = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    print(f"{'family':10} {'faults':>18} {'number':>7} {'seen':>6} {'points/s':>12} {'ngspice':>8} {'ratio':>8}")
    for name in FAMILIES:
        circuit = family(name, devices)
        wiring = wire(circuit)
        network = Network(wiring)
        lanes = Lanes(network, Presses(network.circuit, STEPS, WORDS))
        theirs = ngspice_ops_s(circuit) / OPS_A_STATE
        for group, kinds in (("open and stuck", OPEN_AND_STUCK), ("shorts and earths", SHORTS_AND_EARTHS)):
            mine, shown = points_s(lanes, overrides_of(network, wiring, kinds))
            seen = sum(one.is_seen for one in shown)
            print(
                f"{name:10} {group:>18} {len(shown):7} {seen / len(shown):6.0%} {mine:12,.0f} {theirs:8,.0f}"
                f" {mine / theirs:7,.0f}x",
                flush=True,
            )


if __name__ == "__main__":
    main()
