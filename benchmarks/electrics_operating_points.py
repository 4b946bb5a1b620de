"""Operating points a second: many contact positions of one panel, against ngspice in one process.

ngspice keeps the circuit loaded and is told only which contacts change (five from one position to the next, the
cheapest for it). It prints nothing while it is timed; a few node volts of a run of their own are compared. Its start-up
and the reading of the deck are taken out by running two lengths. Ours gives the volts of every node; compiling the
network once is not counted, nor is numba's first call. Times are those of the processor, so that other programs on
the machine do not count. Run: `python3 -m benchmarks.electrics_operating_points`
"""

from __future__ import annotations

import platform
import random
import resource
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from panelwright.circuit import Circuit
from panelwright.electrics import Network, Position
from panelwright.electrics.points import PointSolver
from panelwright.electrics.solving import settle_currents
from tests.electrics.families import bridged, reversing, sequence
from tests.electrics.ngspice import deck_name, deck_of, node_names

CLOSED_OHMS, OPEN_OHMS = 1e-3, 1e9
ALTERED = 5
PRINTED = 10
SUPPLY_V = 24
PANELS = {
    "sequence of 3 relays": (sequence(3), 5000, 400_000),
    "sequence of 30 relays": (sequence(30), 1000, 40_000),
    "30 relays with bridges": (bridged(30, 10, 1), 1000, 40_000),
    "100 starters, reversing": (reversing(50), 200, 10_000),
    "200 starters, reversing": (reversing(100), 100, 5_000),
}


@dataclass(frozen=True)
class Walk:
    """Positions one after the other, a few contacts apart, none of which shorts the supply."""

    closed: np.ndarray
    changes: list[list[tuple[str, bool]]]


def walk_of(solver: PointSolver, points: int) -> Walk:
    """A random walk over positions without a dead short."""
    rng = random.Random(7)
    held = np.array([rng.random() < 0.5 for _ in solver.contacts], np.bool_)
    rows: list[np.ndarray] = []
    changes: list[list[tuple[str, bool]]] = []
    while len(rows) < points:
        altered = rng.sample(range(len(held)), min(ALTERED, len(held)))
        after = held.copy()
        after[altered] ^= True
        if solver.solve(after[None, :]).one_by_one[0]:
            continue  # shorted, or left to the ordinary solver
        held = after
        rows.append(held)
        changes.append([(solver.contacts[i], bool(held[i])) for i in altered])
    return Walk(np.array(rows), changes)


def deck_lines(circuit: Circuit, closed: frozenset[str]) -> list[str]:
    """A deck in which every contact is there, with its resistance for the first position."""
    every = frozenset(f"{d.tag}.{c.name}" for d in circuit.devices for c in d.contacts)
    ohms = {f"R{deck_name(c)}": str(CLOSED_OHMS if c in closed else OPEN_OHMS) for c in every}
    found, behind = [], {}
    for line in deck_of(circuit, every).lines:
        words = line.split()
        if words[0].startswith("Vm"):
            behind[words[2]] = words[1]  # an ammeter of the tests: left out, it would double the work
        elif not words[0].startswith("Rtie"):
            found.append(
                " ".join([words[0], behind.get(words[1], words[1]), words[2], ohms.get(words[0], words[3]), *words[4:]])
            )
    return found


def ngspice_walk(lines: list[str], walk: Walk, points: int, nodes: list[str]) -> tuple[float, list[list[float]]]:
    """Processor seconds and printed volts of the first `points` positions, in one ngspice process."""
    script = [".control", "set nomoremode", "set numdgt=10"]
    for changes in walk.changes[:points]:
        script += [f"alter r{deck_name(c)} = {CLOSED_OHMS if closed else OPEN_OHMS}" for c, closed in changes]
        script += ["op", *([f"print {' '.join(f'v({node})' for node in nodes)}"] if nodes else []), "destroy all"]
    text = ["* walk", *lines, ".options rshunt=1e12", *script, "quit", ".endc", ".end", ""]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "walk.cir"
        path.write_text("\n".join(text), encoding="utf-8")
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(["ngspice", "-b", str(path)], capture_output=True, text=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    values = [float(line.split(" = ")[1]) for line in done.stdout.splitlines() if line.startswith("v(")]
    rows = [values[i : i + len(nodes)] for i in range(0, len(values), len(nodes) or 1)]
    if nodes and len(rows) != points:
        raise RuntimeError(f"ngspice printed {len(rows)} of {points} positions: {done.stderr[-500:]}")
    return seconds, rows


def ours(solver: PointSolver, walk: Walk, points: int) -> tuple[float, np.ndarray]:
    """Processor seconds a position (the walk again and again) and the volts of the walk."""
    answer = solver.solve(walk.closed)  # warm: compiled, tables made
    times = -(-points // len(walk.closed))
    begun = time.process_time()
    for _ in range(times):
        solver.solve(walk.closed)
    return (time.process_time() - begun) / times / len(walk.closed), answer.volts


def one_at_a_time(network: Network, solver: PointSolver, walk: Walk) -> float:
    """Processor seconds a position through the ordinary solver, nothing kept."""
    positions = [
        Position(frozenset(c for c, on in zip(solver.contacts, row, strict=True) if on)) for row in walk.closed[:50]
    ]
    begun = time.process_time()
    for position in positions:
        settle_currents(network, position)
    return (time.process_time() - begun) / len(positions)


def measure(name: str, circuit: Circuit, points: int, own_points: int) -> None:
    """One line of the table."""
    network = Network(circuit)
    solver = PointSolver(network)
    walk = walk_of(solver, points)
    lines = deck_lines(circuit, frozenset(c for c, on in zip(solver.contacts, walk.closed[0], strict=True) if on))
    terminals = list({node: t for t, node in node_names(circuit).items() if node != "0"}.items())
    chosen = random.Random(1).sample(terminals, min(PRINTED, len(terminals)))
    short, _ = ngspice_walk(lines, walk, points // 5, [])
    long, _ = ngspice_walk(lines, walk, points, [])
    theirs = (long - short) / (points - points // 5)
    _, printed = ngspice_walk(lines, walk, min(points, 100), [node for node, _ in chosen])
    mine, volts = ours(solver, walk, own_points)
    columns = [network.node(terminal) for _, terminal in chosen]
    difference = np.abs(volts[: len(printed), columns] - np.array(printed))
    worst = float(difference[~np.isnan(difference)].max()) / SUPPLY_V
    single = one_at_a_time(network, solver, walk)
    loads = sum(len(device.loads) for device in circuit.devices)
    print(
        f"{name:26} {network.elements.nodes:5} {len(solver.contacts):5} {loads:5}  {1 / mine:12,.0f} {1 / single:9,.0f}"
        f" {1 / theirs:9,.0f} {theirs / mine:8.0f}x   {worst:.1e}"
    )


def main() -> None:
    """Print the machine and the table."""
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, {platform.system()}")
    version = subprocess.run(["ngspice", "--version"], capture_output=True, text=True, check=False).stdout
    print(next((line.strip("* ") for line in version.splitlines() if "ngspice-" in line), "ngspice"))
    print("operating points a second; last column: worst difference as part of the supply")
    print(f"{'panel':26} {'nodes':>5} {'cont.':>5} {'loads':>5}  {'many':>12} {'one':>9} {'ngspice':>9} {'ratio':>9}")
    for name, (circuit, points, own_points) in PANELS.items():
        measure(name, circuit, points, own_points)


if __name__ == "__main__":
    main()
