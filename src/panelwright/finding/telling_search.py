"""A search as text for a terminal, and as values for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .evidence import Reading
from .proposing import Proposal
from .ranking import Group
from .search import Search
from .steps import told_test
from .symptoms import told
from .verdict import dangers_of, test_after

CAUTIONS = (
    "Live readings are for those who are trained, authorised and equipped for them; local rules come first.",
    "Power off means: switched off, locked, tried, and proved dead with a tester that was proved before and after.",
)
MOST_GROUPS, MOST_MEMBERS, MOST_PROPOSALS = 6, 4, 3


def search_text(search: Search) -> str:
    """All of it: what was understood, what may be wrong, what to do next."""
    return "\n".join(_lines(search))


def _lines(search: Search) -> Iterator[str]:
    yield "Known:"
    yield from (f"  {change.words}" for change in search.changes)
    yield from (f"  {told(piece)}" for piece in search.evidence)
    yield ""
    yield from ranking_lines(search)
    if search.is_settled:
        yield ""
        yield from verdict_lines(search)
    elif search.proposals:
        yield ""
        yield from proposal_lines(search)
    yield ""
    yield from (f"Mind: {danger}." for danger in dangers_of(search))
    yield from CAUTIONS


def ranking_lines(search: Search) -> Iterator[str]:
    """The causes by group."""
    ranking = search.ranking
    if not search.evidence:
        yield "Nothing is known yet."
        return
    if ranking.sound:
        yield "The sound panel does just this: as drawn, or there is nothing wrong in what was said."
    if ranking.explaining:
        yield "What explains all of this, the likeliest first:"
    else:
        yield "No single cause explains all of this. Look again at:"
        yield from (f"  {told(piece)}" for piece in ranking.contradicting)
        yield "Two at once that do, the likeliest first:" if ranking.pairs else "Without that, the nearest:"
    for number, group in enumerate(search.groups[:MOST_GROUPS], 1):
        yield from group_lines(number, group)
    left = len(search.groups) - MOST_GROUPS
    if left > 0:
        yield f"  and {left} less likely {'one' if left == 1 else 'ones'}"


def group_lines(number: int, group: Group) -> Iterator[str]:
    """One group."""
    for at, one in enumerate(group.members[:MOST_MEMBERS]):
        head = f"{number:3}. {group.probability:4.0%}  " if at == 0 else f"{'':6}or    "
        yield f"{head}{one.cause.words}"
    if len(group.members) > MOST_MEMBERS:
        yield f"{'':6}or {len(group.members) - MOST_MEMBERS} more that no reading here tells apart from it"


def proposal_lines(search: Search) -> Iterator[str]:
    """What to do next."""
    yield "Next:"
    best = search.proposals[0]
    yield f"  {told_test(search.wiring, best.test)}"
    yield from branch_lines(best)
    others = [p for p in search.proposals[1:] if p.test.kind != best.test.kind][: MOST_PROPOSALS - 1]
    if others:
        yield "Or:"
        yield from (f"  {told_test(search.wiring, one.test)}" for one in others)


def branch_lines(proposal: Proposal) -> Iterator[str]:
    """ "if you read X: ..."."""
    verb = "read" if proposal.test.unit else "see"
    for branch in proposal.branches:
        words = "; ".join(one.cause.words for one in branch.causes[:2])
        more = f"; {len(branch.causes) - 2} more" if len(branch.causes) > 2 else ""
        yield f"    if you {verb} {branch.outcome}: {words}{more}"


def verdict_lines(search: Search) -> Iterator[str]:
    """The answer."""
    group = search.groups[0]
    yield f"Mend: {group.best.mend}."
    if group.best.is_outside:
        yield "  Nothing in the wiring is wrong then: the plant, the supply or somebody's hand did it."
    if len(group.members) > 1:
        yield "  No reading here tells these apart; look at them in this order:"
        yield from (f"  - {one.cause.words}" for one in group.members[:6])
    proof = search.proof()
    if proof:
        yield "Proof:"
        yield from (f"  {line}" for line in proof)
    yield "After the repair:"
    yield from (f"  {line}" for line in test_after(search, group.best))


def search_values(search: Search) -> dict[str, Any]:
    """For other programs: `causes` best first, each with its group; `next` the proposals."""
    causes = []
    for number, group in enumerate(search.groups, 1):
        for one in group.members:
            causes.append({
                "id": one.cause.id, "words": one.cause.words, "probability": round(one.probability, 6),
                "group": number, "mend": one.cause.mend, "outside": one.cause.is_outside,
                "devices": list(one.cause.tags), "terminals": list(one.cause.ends),
                "against": [told(piece) for piece in one.against],
            })  # fmt: skip
    return {
        "known": [_piece_values(piece) for piece in search.evidence],
        "changed": [change.words for change in search.changes],
        "as_drawn": search.ranking.sound,
        "explained": bool(search.ranking.explaining),
        "pairs": bool(search.ranking.pairs),
        "contradicting": [told(piece) for piece in search.ranking.contradicting],
        "causes": causes,
        "next": [_proposal_values(search, one) for one in search.proposals[:MOST_PROPOSALS]],
        "settled": search.is_settled,
        "proof": list(search.proof()) if search.is_settled else [],
        "after": list(test_after(search, search.groups[0].best)) if search.is_settled else [],
    }


def _piece_values(piece: object) -> dict[str, Any]:
    if isinstance(piece, Reading):
        return {"from": piece.a, "to": piece.b, "value": piece.value, "unit": piece.unit,
                "situation": piece.situation.name, "meter": piece.meter.name}  # fmt: skip
    return {"seen": told(piece)}  # type: ignore[arg-type]


def _proposal_values(search: Search, proposal: Proposal) -> dict[str, Any]:
    test = proposal.test
    return {
        "do": told_test(search.wiring, test), "kind": test.kind, "from": test.a, "to": test.b,
        "situation": test.situation.name, "bits": round(proposal.bits, 4), "minutes": round(test.minutes, 2),
        "hazard": test.hazard, "danger": test.danger,
        "outcomes": [
            {"outcome": b.outcome, "probability": round(b.probability, 6), "causes": [o.cause.id for o in b.causes]}
            for b in proposal.branches
        ],
    }  # fmt: skip
