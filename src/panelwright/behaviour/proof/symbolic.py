"""Whether something can ever happen, asked of a solver: the cheap questions first."""

from __future__ import annotations

import time
from collections.abc import Collection

from .clauses import Step
from .induction import Induction, Undecided
from .nearby import holds_nearby
from .pairs import Exclusions
from .unrolling import Course, Unrolling

MOST_STEPS = 400  # of a counterexample
FIRST_STEPS = 6  # most ways to break a promise are no longer
SHARE_OF_PAIRS = 0.2  # of the time left
MANY_BITS = 8  # with fewer, induction alone is as quick
MANY_SIDES = 60  # with fewer, a look at the near neighbours is as quick for what asks about pairs alone


def search(step: Step, named: Collection[str], until: float) -> tuple[Course | None, str, int]:
    """The shortest course to where `step.bad` holds, what found the answer, and the bound.

    None with the bound -1: it never holds. None with another bound: nothing within so many steps, and the time was
    over (`until`, by `time.monotonic`). `named`: devices around which a proof is likely.
    """
    exclusions = Exclusions(step)
    if len(exclusions.sides) >= MANY_SIDES and exclusions.is_asked and exclusions.exclude(_share(until)):
        return None, "induction", -1
    if holds_nearby(step.cone, step.bad, named, until):
        return None, "induction", -1
    return search_whole(step, until)


def search_whole(step: Step, until: float) -> tuple[Course | None, str, int]:
    """The same, without a look at the near neighbours first."""
    unrolling = Unrolling(step)
    try:
        course, steps = unrolling.shortest(step.bad, FIRST_STEPS, until)
        if course is not None:
            return course, "unrolling", 0
        if len(step.bits) > MANY_BITS and Exclusions(step).exclude(_share(until)):
            return None, "induction", -1
        try:
            if _holds(step, until):
                return None, "induction", -1
        except Undecided as bound:
            return None, "induction", max(bound.frames, steps)
        course, steps = unrolling.shortest(step.bad, MOST_STEPS, until)
        return course, "unrolling", steps
    finally:
        unrolling.close()


def _share(until: float) -> float:
    """When the time for the exclusions is over."""
    now = time.monotonic()
    return now + SHARE_OF_PAIRS * (until - now)


def _holds(step: Step, until: float) -> bool:
    induction = Induction(step, until)
    try:
        return induction.holds()
    finally:
        induction.close()
