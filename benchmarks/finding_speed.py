"""First ranking and next proposal on a panel of some 300 devices, against one plain run of that panel.

    python benchmarks/finding_speed.py

The aims: a first ranking within 2 s and each further proposal within 0.5 s. The reference is one press with one fault
in the whole panel, so that the ratio says how many of those a search costs. Times are those of the processor.
"""

from __future__ import annotations

from time import process_time

from behaviour_press import conveyor_line

from panelwright.behaviour import Run
from panelwright.circuit import Do, Fault
from panelwright.finding import Search
from panelwright.finding.planted import answer_of
from panelwright.wiring import wire


def main() -> None:
    """One fault on a long line; print the times and their ratio to one run."""
    wiring = wire(conveyor_line(60))
    print(f"{len(wiring.circuit.devices)} devices, {len(wiring.wires)} wires")
    rest = Run(wiring)
    started = process_time()
    run = rest.copy()
    run.put_in(Fault("open", "K1.coil"))
    run.do(Do("press", ("S12",)))
    one = process_time() - started
    started = process_time()
    search = Search.of(wiring).see("K1 does not pull in")
    understood = process_time() - started
    ranked = len(search.ranking.explaining)
    first = process_time() - started
    print(
        f"words understood in {understood:.2f} s; {ranked} causes ranked in {first:.2f} s, {first / one:.0f} plain runs"
    )
    cause = next(c for c in search.book.causes if c.id == "coil-open:K1.coil")
    while search.proposals and len(search.groups) > 1:
        test = search.proposals[0].test
        started = process_time()
        search = search.answered(test, *answer_of(search, test, cause))
        after = search.proposals
        print(f"next proposal in {process_time() - started:.2f} s ({len(after)} to choose from)")
    print(f"left: {[one.cause.words for one in search.ranking.best]}")


if __name__ == "__main__":
    main()
