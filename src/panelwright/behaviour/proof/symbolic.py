"""Whether something can ever happen, asked of a solver: the cheap questions first."""

from __future__ import annotations

import time
from collections.abc import Collection

from .clauses import Step
from .induction import Induction, Undecided
from .meeting import course_met
from .nearby import holds_nearby
from .pairs import Exclusions
from .unrolling import Course, Unrolling

MOST_STEPS = 400  # of a counterexample
UNROLLED, MET = "unrolling", "runs"
FIRST_STEPS = 6  # most ways to break a promise are no longer
SHARE = 0.2  # of the time left, for the exclusions and for runs
SHARE_WHERE_STRUCK = 0.7  # for runs, where the pair that is asked about was struck out: it is likely to be met
MANY_BITS = 8  # with fewer, induction alone is as quick
SHORTEST_S = 5.0  # to look for a shorter course than one that runs have met
LONG = 100  # steps; no shorter course is looked for then
MANY_SIDES = 60  # with fewer, a look at the near neighbours is as quick for what asks about pairs alone


def search(step: Step, named: Collection[str], until: float) -> tuple[Course | None, str, int]:
    """A course to where `step.bad` holds, what found the answer, and the bound.

    None with the bound -1: it never holds. None with another bound: nothing within so many steps, and the time was
    over (`until`, by `time.monotonic`). The course is the shortest, save where MET found it.
    `named`: devices around which a proof is likely.
    """
    exclusions = Exclusions(step)
    if len(exclusions.sides) >= MANY_SIDES and exclusions.is_asked:
        if exclusions.exclude(_share(until)):
            return None, "induction", -1
        course, engine = _met(step, _share(until, SHARE_WHERE_STRUCK if exclusions.is_struck_out else SHARE))
        if course is not None:
            return course, engine, 0
    if holds_nearby(step.cone, step.bad, named, until):
        return None, "induction", -1
    return search_whole(step, until)


def search_whole(step: Step, until: float) -> tuple[Course | None, str, int]:
    """The same, without a look at the near neighbours first."""
    unrolling = Unrolling(step)
    try:
        course, steps = unrolling.shortest(step.bad, FIRST_STEPS, until)
        if course is not None:
            return course, UNROLLED, 0
        exclusions = Exclusions(step)
        if len(step.bits) > MANY_BITS and exclusions.exclude(_share(until)):
            return None, "induction", -1
        if len(exclusions.sides) >= MANY_SIDES:
            course, engine = _met(step, _share(until))
            if course is not None:
                return course, engine, 0
        try:
            if _holds(step, until):
                return None, "induction", -1
        except Undecided as bound:
            return None, "induction", max(bound.frames, steps)
        course, steps = unrolling.shortest(step.bad, MOST_STEPS, until)
        return course, UNROLLED, steps
    finally:
        unrolling.close()


def _met(step: Step, until: float) -> tuple[Course | None, str]:
    """A course that runs have met, or the shortest one where that is soon found, or None; and what found it."""
    course = course_met(step, until)
    if course is None or len(course) > LONG:
        return course, MET
    unrolling = Unrolling(step)
    try:
        shortest, steps = unrolling.shortest(step.bad, len(course) - 2, time.monotonic() + SHORTEST_S)
    finally:
        unrolling.close()
    return shortest or course, UNROLLED if shortest is not None or steps == len(course) - 2 else MET


def _share(until: float, share: float = SHARE) -> float:
    """When a share of the time left is over."""
    now = time.monotonic()
    return now + share * (until - now)


def _holds(step: Step, until: float) -> bool:
    induction = Induction(step, until)
    try:
        return induction.holds()
    finally:
        induction.close()
