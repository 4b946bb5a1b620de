"""From a press to the new state on a panel of 300 rungs, as a ratio to plain recomputation in the same run.

    python benchmarks/behaviour_press.py

The reference solves the same contact positions afresh, each with a network of its own, as a program would that keeps
nothing between two instants. The aim is a press shown within 50 ms, so that it feels immediate. Times are those of the
processor, so that another program on the machine does not count.
"""

from __future__ import annotations

from time import process_time

from panelwright.behaviour import Run
from panelwright.circuit import Circuit, Do
from panelwright.electrics import Network
from panelwright.language import read
from panelwright.wiring import wire

STATIONS = 100
PRESSES = 20


def conveyor_line(stations: int = STATIONS) -> Circuit:
    """Conveyors in a row, three rungs each: one runs only while the one before it does."""
    doors, plates, rungs = [], [], []
    for at in range(1, stations + 1):
        doors += [f"  S{at}1  pushbutton  1 NC", f"  S{at}2  pushbutton  1 NO"]
        doors += [f"  H{at}1  lamp  LED  24 V dc", f"  H{at}2  lamp  LED  24 V dc"]
        plates.append(f"  K{at}  relay  4 CO  coil 24 V dc")
        before = f"K{at - 1}.no  " if at > 1 else ""
        rungs.append(f"  S{at}1.nc  {before}( S{at}2.no | K{at}.no )  K{at}.coil")
        rungs += [f"  K{at}.no  H{at}1", f"  K{at}.nc  H{at}2"]
    supply = 'panel "Conveyor line"\nsupplies\n  G1  dc supply  24 V  40 A  rails + -  earthed at -\n'
    lines = ["devices on door", *doors, "devices on plate", *plates, "rungs from + to -", *rungs]
    reading = read(supply + "\n".join(lines))
    assert not [problem for problem in reading.problems if problem.severity == "mistake"], reading.problems[:3]
    return reading.circuit


def main() -> None:
    """Press, let go and stop along the line; print both times a press and their ratio."""
    started = process_time()
    wiring = wire(conveyor_line())
    print(f"{len(wiring.circuit.rungs)} rungs read and wired: {process_time() - started:.2f} s")
    run = Run(wiring)
    slowest = total = 0.0
    first = len(run.trace.moments)
    for at in range(1, PRESSES + 1):
        started = process_time()
        run.do(Do("press", (f"S{at}2",)))
        took = process_time() - started
        slowest, total = max(slowest, took), total + took
        run.do(Do("release", (f"S{at}2",)))
    started = process_time()
    run.do(Do("press", ("S11",)))
    cascade = process_time() - started
    print(f"press to new state: {total / PRESSES * 1000:.1f} ms, at most {slowest * 1000:.1f} ms")
    print(f"stop of the first of {PRESSES} in a row: {cascade * 1000:.1f} ms")
    positions = [moment.position for moment in run.trace.moments[first:]][:20]
    started = process_time()
    for position in positions:
        network = Network(wiring)
        for load in network.circuit.elements:
            if load.endswith(".coil"):
                network.solve(position).verdict(load)
    plain = (process_time() - started) / len(positions)
    instants = (len(run.trace.moments) - first) / (2 * PRESSES + 1)
    print(f"plain recomputation of one instant: {plain * 1000:.1f} ms; a press has {instants:.1f} instants")
    print(f"ratio: {plain * instants / (total / PRESSES):.1f} times quicker than plain recomputation")


if __name__ == "__main__":
    main()
