"""Planted faults, found by following the proposals: how many tests, against the bound and against walking the rungs.

    python benchmarks/finding_planted.py [faults] [walked] [panel ...]

For each panel up to `faults` (200) different faults that show themselves are planted and searched for from the first
symptom. The bound is log2 of the number of groups that explain the symptom. For the first `walked` of them (20)
somebody also walks the rungs with one lead parked, then buzzes wire by wire, until one group is left.
"""

from __future__ import annotations

import random
import sys
from time import process_time

from panelwright import api
from panelwright.finding import Search, causes_of
from panelwright.finding.book import book_about
from panelwright.finding.planted import MOST_WALKED, Isolation, first_symptom, isolate
from panelwright.finding.practice import NOT_FOR_CLASS

PANELS = ("well-pump", "grader-conveyor", "cold-store-fan", "lift-station")


def ways_in(name: str, most: int, walked: int) -> tuple[list[Isolation], int]:
    """The ways to the planted faults, and how many faults were passed over because nothing shows them."""
    wiring = api.wire(api.read_file(api.ready_circuits() / "orchard" / f"{name}.panel").circuit)
    causes = [cause for cause in causes_of(wiring) if cause.kind not in NOT_FOR_CLASS]
    random.Random(1).shuffle(causes)
    ways: list[Isolation] = []
    hidden = 0
    for cause in causes:
        if len(ways) == most:
            break
        symptom = first_symptom(book_about(wiring, ()), cause)
        if not symptom:
            hidden += 1
            continue
        search = Search.of(wiring, new=cause.is_miswire).with_pieces(symptom)
        ways.append(isolate(search, cause, walk=len(ways) < walked))
    return ways, hidden


def line_of(name: str, ways: list[Isolation], hidden: int, walked: int, seconds: float) -> str:
    """What came out for one panel."""
    tests = sum(len(way.tests) for way in ways) / len(ways)
    readings = sum(way.readings for way in ways) / len(ways)
    bound = sum(way.bound for way in ways) / len(ways)
    both = ways[:walked]
    against = ""
    if both:
        by_walking = sum(way.walked for way in both) / len(both)
        ours = sum(len(way.tests) for way in both) / len(both)
        broken_off = sum(way.walked >= MOST_WALKED for way in both)
        against = f"walking {by_walking:.1f} ({broken_off} broken off) against {ours:.1f}; "
    return (
        f"{name}: {len(ways)} planted ({hidden} passed over show nothing), {sum(w.found for w in ways)} isolated; "
        f"{tests:.1f} tests ({readings:.1f} readings), most {max(len(w.tests) for w in ways)}, bound {bound:.1f}, "
        f"ratio {tests / bound:.2f}; {against}left together {sum(w.left for w in ways) / len(ways):.1f}; "
        f"{seconds:.0f} s"
    )


def main() -> None:
    """One line a panel, and each fault that was not isolated."""
    words = sys.argv[1:]
    most, walked = (int(words[0]), int(words[1])) if len(words) > 1 else (200, 20)
    for name in words[2:] or PANELS:
        started = process_time()
        ways, hidden = ways_in(name, most, walked)
        print(line_of(name, ways, hidden, walked, process_time() - started), flush=True)
        for way in ways:
            if not way.found:
                print(f"  not isolated: {way.cause.id} ({way.cause.words})", flush=True)


if __name__ == "__main__":
    main()
