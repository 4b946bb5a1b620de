"""Promises with seconds: how long the walk with clocks takes, as a ratio to a general solver in the same run.

    python3 -m benchmarks.proof_in_time

The reference is z3 with times as real numbers and the same steps laid out one after the other: for a broken promise as
many as the walk needed, which is the same question; for a kept one the first ten, which says less than the walk does.
Both answers are compared. Times are those of the processor, so that another program on the machine does not count.
"""

from __future__ import annotations

import time
from pathlib import Path
from time import process_time

from panelwright.behaviour.proof.asking import atoms_of, tags_of
from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.in_time.proving import question
from panelwright.behaviour.proof.in_time.walk import Found, TimedWalk
from panelwright.behaviour.proof.monitors import Monitors, Watch
from panelwright.behaviour.proof.panel import Panel
from panelwright.circuit import Sentence
from panelwright.electrics import Network
from panelwright.language import read
from panelwright.wiring import wire
from tests.proof.timed_reference import Unrolled

FIRST_STEPS = 10  # laid out where nothing is found
LIMIT_S = 60.0


def main() -> None:
    """Every promise with seconds of the examples, and their sums."""
    kept_s, kept_reference_s, broken_s, broken_reference_s = 0.0, 0.0, 0.0, 0.0
    for path in sorted(Path("examples").rglob("*.panel")):
        network = Network(wire(read(path.read_bytes()).circuit))
        for promise in network.circuit.promises:
            if promise.seconds is None or promise.faults or promise.one_fault:
                continue
            walk = asked(network, promise)
            started = process_time()
            found = walk.search()
            walk_s = process_time() - started
            reference_s = reference(walk, found)
            outcome = "kept" if found is None else "broken"
            print(f"{path.stem}: {promise.text}: {outcome}, {walk_s:.3f} s, z3 {reference_s:.2f} s")
            if found is None:
                kept_s, kept_reference_s = kept_s + walk_s, kept_reference_s + reference_s
            else:
                broken_s, broken_reference_s = broken_s + walk_s, broken_reference_s + reference_s
    print(f"kept, all steps against the first {FIRST_STEPS}: {kept_reference_s / kept_s:.1f} times as fast")
    print(f"broken, the same steps: {broken_reference_s / broken_s:.1f} times as fast")


def asked(network: Network, promise: Sentence) -> TimedWalk:
    """A promise as a walk."""
    panel = Panel(network)
    tags = tags_of(panel, tuple(atoms_of(promise)))

    def watch_of(cone: Cone) -> Watch:  # for sentences without seconds
        return Monitors(cone, promise).watch()

    return question(panel, promise, tags, watch_of, time.monotonic() + LIMIT_S).walk


def reference(walk: TimedWalk, found: Found | None) -> float:
    """Seconds that the general solver takes; it has to say the same."""
    started = process_time()
    unrolled = Unrolled(walk)
    if found is None:
        assert not any(unrolled.reach(steps) for steps in range(FIRST_STEPS + 1))
    else:
        assert unrolled.reach(sum(len(group) for group in walk.course(found)) - 1)
    return process_time() - started


if __name__ == "__main__":
    main()
