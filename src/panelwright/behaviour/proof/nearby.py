"""A proof from the near neighbours alone: most promises hang on a rung or two, however long the chain behind them is.

What must never happen is taken apart into the things of which any one would be it. For each, only a few devices are
followed; all others may stand anywhere at any moment. That allows more than the panel can do, so what cannot happen
then cannot happen; where something does happen, devices one drive further away are followed too.
Source of the idea: R. Kurshan, Computer-aided verification of coordinating processes (1994), there called localization
reduction (from memory).
"""

from __future__ import annotations

import time
from collections.abc import Collection, Iterable, Iterator

from .clauses import Step
from .cone import Cone
from .induction import Induction, Undecided
from .vicinity import Vicinity, conjuncts

REACHES = (0, 1, 2, 4)  # drives between the devices that a promise names and those that are followed
FEW = 8  # devices named, around which all is looked at together; with more, or none, the question is taken apart
SHARE = 0.1  # of the time left, for each reach
MOST_FOLLOWED = 0.7  # of the devices; beyond it the whole is no harder


def holds_nearby(cone: Cone, bad: int, named: Collection[str], until: float) -> bool:
    """Whether a literal never holds, seen from the devices around those `named`; False says nothing."""
    vicinity = Vicinity(cone)
    if 0 < len(named) <= FEW:
        return holds_around(vicinity, [bad], named, until)
    parts = list(_parts(cone, bad))
    return all(holds_around(vicinity, [*rest, part], vicinity.tags_in(part), until) for rest, part in parts)


def _parts(cone: Cone, literal: int) -> Iterator[tuple[list[int], int]]:
    """The literal taken apart: it holds exactly when one of the parts does, together with all of the rest."""
    gates = cone.model.gates
    whole = conjuncts(gates, literal)
    choices = [[part ^ 1 for part in conjuncts(gates, one ^ 1)] if one & 1 else [one] for one in whole]
    widest = max(range(len(choices)), key=lambda at: len(choices[at]))
    rest = [one for at, one in enumerate(whole) if at != widest]
    yield from ((rest, part) for part in choices[widest])


def holds_around(vicinity: Vicinity, bad: Iterable[int], tags: Collection[str], until: float) -> bool:
    """Whether some literals never hold together, seen from the devices around some; False says nothing."""
    for followed in _growing(vicinity.cone, tags):
        now = time.monotonic()
        if now > until or len(followed) > MOST_FOLLOWED * len(vicinity.cone.tags):
            return False
        model, wanted = vicinity.model(bad, followed)
        induction = Induction(Step(vicinity.cone, wanted, model=model), now + SHARE * (until - now))
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
