"""A proof from the near neighbours alone: most promises hang on a rung or two, however long the chain behind them is.

What must never happen is taken apart into the things of which any one would be it. For each, only a few devices are
followed; all others may stand anywhere at any moment. That allows more than the panel can do, so what cannot happen
then cannot happen; where something does happen, devices one drive further away are followed too.
Source of the idea: R. Kurshan, Computer-aided verification of coordinating processes (1994), there called localization
reduction (from memory).
"""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator

from ...electrics.gates import INPUT, GateBuilder
from .clauses import Step
from .cone import Cone
from .induction import Induction, Undecided

REACHES = (0, 1, 2, 4)  # drives between the devices that a promise names and those that are followed
SHARE = 0.1  # of the time left, for each reach
MOST_FOLLOWED = 0.7  # of the devices; beyond it the whole is no harder


def holds_nearby(cone: Cone, bad: int, named: Collection[str], until: float) -> bool:
    """Whether a literal never holds, seen from the devices around those `named`; False says nothing."""
    parts = alternatives(cone.model.gates, bad)
    if len(parts) == 1:
        return _part_holds(cone, bad, named or _tags_in(cone, bad), until)
    return all(_part_holds(cone, whole, _tags_in(cone, part), until) for whole, part in parts)


def alternatives(gates: GateBuilder, literal: int) -> list[tuple[int, int]]:
    """The literal as literals of which one holds exactly when it does; each with the part that is its own."""
    conjuncts = _flat(gates, literal)
    choices = [_flat(gates, one ^ 1) if one & 1 else [one] for one in conjuncts]
    widest = max(range(len(choices)), key=lambda at: len(choices[at]))
    if len(choices[widest]) < 2:
        return [(literal, literal)]
    rest = gates.all_of(one for at, one in enumerate(conjuncts) if at != widest)
    return [(gates.and_(rest, one ^ 1), one ^ 1) for one in choices[widest]]


def _flat(gates: GateBuilder, literal: int) -> list[int]:
    """The literals whose conjunction a literal is, through gates that are not negated."""
    found: dict[int, None] = {}
    waiting = [literal]
    while waiting:
        here = waiting.pop()
        if not here & 1 and here >> 1 and gates.left[here >> 1] != INPUT:
            waiting += (gates.left[here >> 1], gates.right[here >> 1])
        else:
            found[here] = None
    return list(found)


def _part_holds(cone: Cone, bad: int, tags: Collection[str], until: float) -> bool:
    for followed in _growing(cone, tags):
        now = time.monotonic()
        if now > until or len(followed) > MOST_FOLLOWED * len(cone.tags):
            return False
        induction = Induction(Step(cone, bad, followed=followed), now + SHARE * (until - now))
        try:
            if induction.holds():
                return True
        except Undecided:
            return False
        finally:
            induction.close()
    return False


def _growing(cone: Cone, tags: Collection[str]) -> Iterator[set[str]]:
    """The devices within so many drives, for each reach."""
    found = edge = set(tags) & cone.tags
    for distance in range(REACHES[-1] + 1):
        if distance in REACHES:
            yield found
        edge = {one for tag in edge for one in cone.panel.drivers(tag)} - found
        found = found | edge


def _tags_in(cone: Cone, literal: int) -> set[str]:
    """The devices that a literal over the state speaks of."""
    gates = cone.model.gates
    tag_of = {bit.now >> 1: bit.tag for bit in cone.model.bits if bit.tag}
    found, seen, waiting = set[str](), {0}, [literal >> 1]
    while waiting:
        node = waiting.pop()
        if node in seen:
            continue
        seen.add(node)
        if node in tag_of:
            found.add(tag_of[node])
        elif gates.left[node] != INPUT:
            waiting += (gates.left[node] >> 1, gates.right[node] >> 1)
    return found
