"""The next best thing to do: most information for least effort and danger."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from .book import Book
from .evidence import Evidence, Reading, Seen
from .meters import Meter, meter_called
from .ranking import Group, Ranked, Ranking
from .steps import Bench, Outcome, Test, tests_for

MOST_CAUSES = 120  # the most likely ones decide what to read next
MOST_SHOWN = 4  # causes named beside an outcome
WORTH_BITS = 0.02


@dataclass(frozen=True, slots=True)
class Branch:
    """One outcome of a test: how likely, and the causes that would show it."""

    outcome: Outcome
    probability: float
    causes: tuple[Ranked, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A test worth making. `bits`: expected information."""

    test: Test
    bits: float
    branches: tuple[Branch, ...]

    @property
    def worth(self) -> float:
        """Information for each unit of effort and danger."""
        return self.bits / self.test.effort


def propose(
    book: Book, ranking: Ranking, evidence: Sequence[Evidence], meter: Meter | None = None, live: bool = True
) -> tuple[Proposal, ...]:
    """Tests that tell the causes apart, the best first; () when nothing would."""
    bench = Bench(book, meter or meter_called("digital"))
    ranked = ranking.best[:MOST_CAUSES]
    if len(ranked) < 2:
        return ()
    done = {(p.a, p.b, p.unit, p.situation) for p in evidence if isinstance(p, Reading)}
    done |= {(p.state.subject, "", "", p.situation) for p in evidence if isinstance(p, Seen)}
    found = []
    for test in tests_for(book, evidence, live):
        if (test.a, test.b, test.unit, test.situation) in done:
            continue
        branches = branches_of(bench, test, ranked)
        bits = entropy(branch.probability for branch in branches)
        if bits > WORTH_BITS:
            found.append(Proposal(test, bits, branches))
    return tuple(sorted(found, key=lambda one: -one.worth))


def branches_of(bench: Bench, test: Test, ranked: Sequence[Ranked]) -> tuple[Branch, ...]:
    """The outcomes of a test, the likeliest first."""
    by_outcome: dict[Outcome, list[Ranked]] = defaultdict(list)
    for one in ranked:
        outcome = bench.shown_by(test, one.cause)
        if outcome is not None:
            by_outcome[outcome].append(one)
    total = sum(one.probability for ones in by_outcome.values() for one in ones) or 1.0
    found = [Branch(o, sum(r.probability for r in ones) / total, tuple(ones)) for o, ones in by_outcome.items()]
    return tuple(sorted(found, key=lambda branch: -branch.probability))


def entropy(probabilities: object) -> float:
    """Bits."""
    return -sum(p * math.log2(p) for p in probabilities if p > 0)  # type: ignore[attr-defined]


def groups_of(
    book: Book, ranking: Ranking, evidence: Sequence[Evidence], meter: Meter | None = None
) -> tuple[Group, ...]:
    """Causes that none of the tests tells apart, kept together; the likeliest group first."""
    bench = Bench(book, meter or meter_called("digital"))
    ranked = ranking.best[:MOST_CAUSES]
    if not ranked:
        return ()
    tests = list(tests_for(book, evidence))
    signatures: dict[tuple[Outcome, ...], list[Ranked]] = defaultdict(list)
    for one in ranked:
        signatures[signature(bench, tests, one)].append(one)
    return tuple(sorted((Group(tuple(ones)) for ones in signatures.values()), key=lambda group: -group.probability))


def signature(bench: Bench, tests: Sequence[Test], one: Ranked) -> tuple[Outcome, ...]:
    """What a cause would show in every test."""
    return tuple(bench.shown_by(test, one.cause) or "" for test in tests)
