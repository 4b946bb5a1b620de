"""What follows at once from what is taken for true in one step, as compiled loops. Imported when first needed.

Literals are those of the gates (2 x node, plus 1 when negated). Values of nodes: 1 true, 0 false, -1 not known.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

CONFLICT = -1
MOST_CASES = 8  # things taken apart for one pair, each alone


@njit(cache=True, nogil=True)
def users_of(left: Any, right: Any, wanted: Any) -> Any:
    """The gates in which each node is used, only those on which the wanted literals depend: (first, users)."""
    matters = np.zeros(len(left), np.bool_)
    for literal in wanted:
        matters[literal >> 1] = True
    count = np.zeros(len(left) + 1, np.int64)
    for node in range(len(left) - 1, 0, -1):  # a gate comes after what it is made of
        if matters[node] and left[node] >= 0:
            for side in (left[node] >> 1, right[node] >> 1):
                matters[side] = True
                count[side + 1] += 1
    first = np.cumsum(count)
    users, place = np.zeros(first[-1], np.int64), first[:-1].copy()
    for node in range(1, len(left)):
        if matters[node] and left[node] >= 0:
            for side in (left[node] >> 1, right[node] >> 1):
                users[place[side]] = node
                place[side] += 1
    return first, users


@njit(cache=True, nogil=True)
def _hold(literal: int, value: Any, trail: Any, size: int) -> int:
    """Take a literal for true; the size of the trail, or CONFLICT."""
    node, held = literal >> 1, 1 - (literal & 1)
    if value[node] == held:
        return size
    if value[node] >= 0:
        return CONFLICT
    value[node] = held
    trail[size] = node
    return size + 1


@njit(cache=True, nogil=True)
def _of(literal: int, value: Any) -> int:
    held = value[literal >> 1]
    if held < 0:
        return -1
    return int(held) ^ (literal & 1)


@njit(cache=True, nogil=True)
def _one_of_two(node: int, left: Any, right: Any, value: Any, trail: Any, size: int) -> int:
    """A gate that is false with one side true: the other is false."""
    if _of(left[node], value) == 1:
        return _hold(right[node] ^ 1, value, trail, size)
    if _of(right[node], value) == 1:
        return _hold(left[node] ^ 1, value, trail, size)
    return size


@njit(cache=True, nogil=True)
def _down(node: int, left: Any, right: Any, value: Any, trail: Any, size: int) -> int:
    """From a gate to its sides."""
    if value[node] == 0:
        return _one_of_two(node, left, right, value, trail, size)
    size = _hold(left[node], value, trail, size)
    return size if size == CONFLICT else _hold(right[node], value, trail, size)


@njit(cache=True, nogil=True)
def _up(node: int, left: Any, right: Any, value: Any, trail: Any, size: int) -> int:
    """From the sides to a gate."""
    a, b = _of(left[node], value), _of(right[node], value)
    if a == 0 or b == 0:
        return _hold(2 * node + 1, value, trail, size)
    if a == 1 and b == 1:
        return _hold(2 * node, value, trail, size)
    if value[node] == 0:
        return _one_of_two(node, left, right, value, trail, size)
    return size


@njit(cache=True, nogil=True)
def _follow(
    left: Any, right: Any, first: Any, users: Any, side_of: Any, sides: Any, apart: Any, value: Any, trail: Any,
    at: int, size: int,
) -> int:  # fmt: skip
    """All that follows from the part of the trail after `at`; the size of the trail then, or CONFLICT."""
    while at < size:
        node = trail[at]
        at += 1
        side = side_of[node]
        if side >= 0 and _of(sides[side], value) == 1:
            for other in range(len(sides)):
                if apart[side, other]:
                    size = _hold(sides[other] ^ 1, value, trail, size)
                    if size == CONFLICT:
                        return CONFLICT
        if left[node] >= 0:
            size = _down(node, left, right, value, trail, size)
            if size == CONFLICT:
                return CONFLICT
        for place in range(first[node], first[node + 1]):
            size = _up(users[place], left, right, value, trail, size)
            if size == CONFLICT:
                return CONFLICT
    return size


@njit(cache=True, nogil=True)
def _forget(value: Any, trail: Any, since: int) -> None:
    """Let go of everything on the trail from a place on; what was written past its end was the last thing held."""
    at = since
    while at < len(trail) and trail[at] >= 0:
        value[trail[at]] = -1
        trail[at] = -1
        at += 1


@njit(cache=True, nogil=True)
def _left_in_doubt(
    left: Any, right: Any, first: Any, users: Any, side_of: Any, sides: Any, after: Any, apart: Any, value: Any,
    trail: Any, size: int, partners: Any,
) -> Any:  # fmt: skip
    """Those of the partners that may be away from rest after the step, for all that follows at once."""
    found = np.zeros(len(partners), np.bool_)
    for other in range(len(partners)):
        if partners[other] and _of(after[other], value) != 0:
            more = _hold(after[other], value, trail, size)
            more = _follow(left, right, first, users, side_of, sides, apart, value, trail, size, more)
            found[other] = more != CONFLICT
            _forget(value, trail, size)
    return found


@njit(cache=True, nogil=True)
def _by_cases(
    left: Any, right: Any, first: Any, users: Any, side_of: Any, sides: Any, after: Any, apart: Any, value: Any,
    trail: Any, since: int, size: int, partners: Any,
) -> Any:  # fmt: skip
    """The same with one thing taken apart into its two cases: of two ways to feed a coil, one is made."""
    cases = 0
    for at in range(since, size):
        node = trail[at]
        if left[node] < 0 or value[node] or value[left[node] >> 1] >= 0 or value[right[node] >> 1] >= 0:
            continue  # not a gate that is false for a reason not known yet
        either = np.zeros(len(partners), np.bool_)
        for case in (left[node], right[node]):
            more = _hold(case ^ 1, value, trail, size)
            more = _follow(left, right, first, users, side_of, sides, apart, value, trail, size, more)
            if more != CONFLICT:
                either |= _left_in_doubt(
                    left, right, first, users, side_of, sides, after, apart, value, trail, more, partners
                )
            _forget(value, trail, size)
        partners = partners & either
        cases += 1
        if cases == MOST_CASES or not partners.any():
            break
    return partners


@njit(cache=True, nogil=True)
def doubtful(
    left: Any, right: Any, first: Any, users: Any, side_of: Any, sides: Any, after: Any, demands: Any, apart: Any
) -> Any:  # fmt: skip
    """By two sides that are apart: whether it does not follow at once that no step picks up the first of them so that
    both are away from rest after it. `demands`: literals that hold in the step.
    """
    found = np.zeros_like(apart)
    value, trail = np.full(len(left), -1, np.int8), np.full(len(left) + 1, -1, np.int64)
    value[0] = 0
    trail[0] = 0
    size: Any = np.int64(1)  # not a plain number: for a constant everything would be compiled once more
    begin: Any = np.int64(0)
    for literal in demands:
        size = _hold(literal, value, trail, size)
        if size == CONFLICT:
            return found  # there is no such step
    known = _follow(left, right, first, users, side_of, sides, apart, value, trail, begin, size)
    if known == CONFLICT:
        return found
    for one in range(len(sides)):
        size = _hold(sides[one] ^ 1, value, trail, known)
        size = size if size == CONFLICT else _hold(after[one], value, trail, size)
        if size != CONFLICT:
            size = _follow(left, right, first, users, side_of, sides, apart, value, trail, known, size)
        if size != CONFLICT:
            found[one] = _left_in_doubt(
                left, right, first, users, side_of, sides, after, apart, value, trail, size, apart[one]
            )
            if found[one].any():
                found[one] = _by_cases(
                    left, right, first, users, side_of, sides, after, apart, value, trail, known, size, found[one]
                )
        _forget(value, trail, known)
    return found


@njit(cache=True, nogil=True)
def strike_met(apart: Any, words: Any, before: Any) -> Any:
    """Strike out the pairs that a lane shows together, though not before; the lanes that do, as words.

    `words`, `before`: which lanes show each side, now and when this was last asked, shape (sides, words).
    """
    lanes = np.zeros(words.shape[1], np.uint64)
    for one in range(len(words)):
        fresh = np.flatnonzero(words[one] & ~before[one])
        if not len(fresh):
            continue
        for other in range(len(words)):
            if apart[one, other]:
                for word in fresh:
                    if words[one, word] & words[other, word]:
                        apart[one, other] = apart[other, one] = False
                        lanes[word] |= words[one, word] & words[other, word]
                        break
    return lanes


@njit(cache=True, nogil=True)
def _leaves(left: Any, right: Any, literal: int, waiting: Any, found: Any) -> int:
    """The literals that hold together exactly when one does, as far as it is made of plain "and"; how many."""
    waiting[0], more, size = literal, 1, 0
    while more:
        more -= 1
        here = waiting[more]
        if size >= len(found) or more + 2 > len(waiting):
            return 0  # too many to look at
        if here & 1 or left[here >> 1] < 0:
            found[size] = here
            size += 1
        else:
            waiting[more], waiting[more + 1] = left[here >> 1], right[here >> 1]
            more += 2
    return size


@njit(cache=True, nogil=True)
def each_names_a_pair(left: Any, right: Any, literal: int, side_of: Any, sides: Any, apart: Any) -> bool:
    """Whether a literal holds only if one of some things does, each of which needs two sides that are apart."""
    waiting, ways, leaves = np.zeros(len(left), np.int64), np.zeros(len(left), np.int64), np.zeros(64, np.int64)
    count = _leaves(left, right, literal ^ 1, waiting, ways)
    for way in ways[:count]:
        needed = leaves[: _leaves(left, right, way ^ 1, waiting, leaves)]
        named = False
        for one in needed:
            for other in needed:
                a, b = side_of[one >> 1], side_of[other >> 1]
                named = named or (a >= 0 and b >= 0 and sides[a] == one and sides[b] == other and apart[a, b])
        if not named:
            return False
    return count > 0
