"""The next best thing to do: most information for least effort and danger."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from .book import Book
from .efforts import MOVES, cost_of
from .evidence import Evidence, Leads, Reading, Seen, wrong_leads
from .meters import Meter, meter_called
from .offers import late_tests, tests_for
from .ranking import Group, Ranked, Ranking
from .situations import Situation
from .steps import UNKNOWN, Bench, Outcome, Test

MOST_CAUSES = 120  # the most likely ones decide what to read next
WORTH_BITS = 0.02
FEW = 12  # among so many causes tests that change something are looked at, too: each has to be played
KINDS = {"V": "volts", "ohm": "ohms", "A": "amps"}


@dataclass(frozen=True, slots=True)
class Branch:
    """One outcome of a test: how likely, and the causes that would show it."""

    outcome: Outcome
    probability: float
    causes: tuple[Ranked, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """A test worth making. `bits`: expected information. `cost`: minutes and danger in one figure."""

    test: Test
    bits: float
    branches: tuple[Branch, ...]
    cost: float

    @property
    def worth(self) -> float:
        """Information for its cost."""
        return self.bits / self.cost


def propose(
    book: Book,
    ranking: Ranking,
    evidence: Sequence[Evidence],
    meter: Meter | None = None,
    live: bool = True,
    dead: bool | None = None,
) -> tuple[Proposal, ...]:
    """Tests that tell the causes apart, the best first; () when nothing would.

    A test that may move something is left out where one that does not tells as much. `dead`: whether the power is off
    now, None for as in the last piece that is known.
    """
    if dead is None:
        dead = bool(evidence) and evidence[-1].situation.is_dead
    bench = Bench(book, meter or meter_called("digital"))
    ranked = ranking.best[:MOST_CAUSES]
    if len(ranked) < 2:
        return ()
    found = list(_worthwhile(bench, tests_for(book, evidence, live), ranked, evidence, dead))
    if len(ranked) <= FEW or not found:
        few = ranked[:FEW]
        late = late_tests(book, evidence, [one.cause for one in few], live)
        found += _worthwhile(bench, late, few, evidence, dead)
    return tuple(sorted(_without_needless(found), key=lambda one: -one.worth))


def _worthwhile(
    bench: Bench, tests: Iterable[Test], ranked: Sequence[Ranked], evidence: Sequence[Evidence], dead: bool
) -> Iterator[Proposal]:
    done = {_done(piece) for piece in evidence}
    for test in dict.fromkeys(tests):
        if (test.kind, test.a, test.b, test.situation) in done:
            continue
        branches = branches_of(bench, test, ranked)
        bits = entropy(branch.probability for branch in branches)
        if bits > WORTH_BITS:
            changes_over = test.situation.is_dead != dead
            yield Proposal(test, bits, branches, cost_of(test.minutes, test.hazard, changes_over))


def _done(piece: Evidence) -> tuple[str, str, str, Situation]:
    if isinstance(piece, Reading):
        return KINDS[piece.unit], piece.a, piece.b, piece.situation
    if isinstance(piece, Seen):
        return "look", piece.state.subject, "", piece.situation
    return "leads", getattr(piece, "tag", ""), "", piece.situation


def _without_needless(found: list[Proposal]) -> list[Proposal]:
    safe = max((one.bits for one in found if one.test.hazard < MOVES), default=0.0)
    return [one for one in found if one.test.hazard < MOVES or one.bits > safe + WORTH_BITS]


def branches_of(bench: Bench, test: Test, ranked: Sequence[Ranked]) -> tuple[Branch, ...]:
    """The outcomes of a test, the likeliest first."""
    by_outcome: dict[Outcome, list[Ranked]] = defaultdict(list)
    for one, outcome in zip(ranked, bench.shown_by_each(test, [one.cause for one in ranked]), strict=True):
        if outcome is not None and outcome != UNKNOWN:
            by_outcome[outcome].append(one)
    total = sum(one.probability for ones in by_outcome.values() for one in ones) or 1.0
    found = [Branch(o, sum(r.probability for r in ones) / total, tuple(ones)) for o, ones in by_outcome.items()]
    return tuple(sorted(found, key=lambda branch: -branch.probability))


def entropy(probabilities: Iterable[float]) -> float:
    """Bits."""
    return -sum(p * math.log2(p) for p in probabilities if p > 0)


def groups_of(
    book: Book, ranking: Ranking, evidence: Sequence[Evidence], meter: Meter | None = None, live: bool = True
) -> tuple[Group, ...]:
    """Causes that none of the tests tells apart, kept together; the likeliest group first.

    Where somebody saw leads that are not as drawn, the causes that would be seen there are one group: they look at it.
    """
    bench = Bench(book, meter or meter_called("digital"))
    looked_at = {piece.tag for piece in evidence if isinstance(piece, Leads) and not piece.right}
    ranked = ranking.best[:MOST_CAUSES]
    in_sight = [one for one in ranked if looked_at & set(wrong_leads(one.cause))]
    hidden = [one for one in ranked if one not in in_sight]
    found = [Group(tuple(in_sight))] if in_sight else []
    groups = _alike(bench, list(tests_for(book, evidence, live)), hidden)
    for members in groups:
        few = 1 < len(members) <= FEW and len(groups) <= FEW
        late = list(late_tests(book, evidence, [one.cause for one in members], live)) if few else []
        found += [Group(tuple(ones)) for ones in _alike(bench, late, members)]
    return tuple(sorted(found, key=lambda group: -group.probability))


def _alike(bench: Bench, tests: Sequence[Test], ranked: Sequence[Ranked]) -> list[list[Ranked]]:
    """Those that show the same in every test together, in the order given."""
    causes = [one.cause for one in ranked]
    rows = [bench.shown_by_each(test, causes) for test in tests]
    found: dict[tuple[Outcome | None, ...], list[Ranked]] = defaultdict(list)
    for at, one in enumerate(ranked):
        found[tuple(row[at] for row in rows)].append(one)
    return list(found.values())
