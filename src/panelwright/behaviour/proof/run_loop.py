"""One step of many runs side by side, 64 in a word, as compiled loops. Imported when first needed.

`value`: words by node, shape (nodes, words); rows of inputs and bits are set, those of gates are worked out.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

ALL = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
NONE, ONE = np.uint64(0), np.uint64(1)
MOST_SPREAD = 8
EVEN, OFTEN, SELDOM = 0, 1, 2  # how often a choice is true: one in two, seven of eight, one in 32


@njit(cache=True, nogil=True)
def gates_below(left: Any, right: Any, wanted: Any) -> Any:
    """The gates on which literals depend, in their order."""
    matters = np.zeros(len(left), np.bool_)
    for literal in wanted:
        matters[literal >> 1] = True
    for node in range(len(left) - 1, 0, -1):  # a gate comes after what it is made of
        if left[node] < 0:
            matters[node] = False
        elif matters[node]:
            matters[left[node] >> 1] = True
            matters[right[node] >> 1] = True
    return np.flatnonzero(matters[1:]) + 1


@njit(cache=True, nogil=True)
def _flip(literal: int) -> Any:
    return ALL if literal & 1 else NONE


@njit(cache=True, nogil=True)
def work_out(left: Any, right: Any, gates: Any, value: Any) -> None:
    """Fill in the words of the gates."""
    for node in gates:
        a, b = left[node] >> 1, right[node] >> 1
        flip_a, flip_b = _flip(left[node]), _flip(right[node])
        for word in range(value.shape[1]):
            value[node, word] = (value[a, word] ^ flip_a) & (value[b, word] ^ flip_b)


@njit(cache=True, nogil=True)
def _drawn(seed: Any) -> Any:
    """64 bits by lot (G. Marsaglia, Xorshift RNGs, 2003: shifts 13, 7, 17; from memory)."""
    x = seed[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    seed[0] = x
    return x


@njit(cache=True, nogil=True)
def choose(value: Any, nodes: Any, often: Any, hands: Any, targets: Any, seed: Any) -> None:
    """Set the choices of one step: inputs go where they should, what wants to move mostly does.

    `often`: of each choice, see EVEN. `hands`: nodes of inputs as (operated, at rest or -1, change, toward or -1).
    """
    for at in range(len(nodes)):
        for word in range(value.shape[1]):
            drawn = _drawn(seed)
            if often[at] == OFTEN:
                drawn |= _drawn(seed) | _drawn(seed)
            elif often[at] == SELDOM:
                for _ in range(4):
                    drawn &= _drawn(seed)
            value[nodes[at], word] = drawn
    for at in range(len(hands)):
        operated, at_rest, change, toward = hands[at]
        for word in range(value.shape[1]):
            target, here = targets[at, word], value[operated, word]
            rest = ~here if at_rest < 0 else value[at_rest, word]
            value[change, word] = (target & ~here) | (~target & ~rest)  # not yet where it goes
            if toward >= 0:
                value[toward, word] = target


@njit(cache=True, nogil=True)
def choose_as(value: Any, nodes: Any, chosen: Any, part: Any, without: Any) -> None:
    """Set the choices of one step as they are given, save in the lanes that go without them.

    `chosen`: of each choice, whether it is true; `part`: to which part it belongs; `without`: lanes as words, by part.
    """
    for at in range(len(nodes)):
        for word in range(value.shape[1]):
            value[nodes[at], word] = ~without[part[at], word] if chosen[at] else NONE


@njit(cache=True, nogil=True)
def all_hold(value: Any, literals: Any, among: Any) -> Any:
    """The lanes among some in which every literal holds."""
    found = among.copy()
    for literal in literals:
        flip = _flip(literal)
        for word in range(len(found)):
            found[word] &= value[literal >> 1, word] ^ flip
    return found


@njit(cache=True, nogil=True)
def advance(value: Any, nows: Any, nexts: Any, among: Any) -> bool:
    """Let the bits become what they become, in some of the lanes; whether anything changes."""
    after = np.empty((len(nows), len(among)), np.uint64)
    changed = False
    for at in range(len(nows)):
        flip, here, there = _flip(nexts[at]), nows[at], nexts[at] >> 1
        for word in range(len(among)):
            before = value[here, word]
            after[at, word] = ((value[there, word] ^ flip) & among[word]) | (before & ~among[word])
            changed = changed or after[at, word] != before
    for at in range(len(nows)):
        value[nows[at]] = after[at]
    return changed


@njit(cache=True, nogil=True)
def spread(value: Any, nows: Any, targets: Any, lanes: Any, seed: Any) -> Any:
    """Let some lanes (at most MOST_SPREAD) go on in one of 32 others each, drawn by lot: (lane, words of those)."""
    words = len(lanes)
    found = np.empty((MOST_SPREAD, words + 1), np.uint64)
    count = 0
    for lane in range(64 * words):
        word, shift = lane // 64, np.uint64(lane % 64)
        if count == MOST_SPREAD or not lanes[word] >> shift & ONE:
            continue
        found[count, 0] = lane
        for other in range(words):
            drawn = ~lanes[other]
            for _ in range(5):
                drawn &= _drawn(seed)
            found[count, other + 1] = drawn
        for row in nows:
            _copy(value[row], word, shift, found[count, 1:])
        for row in range(len(targets)):
            _copy(targets[row], word, shift, found[count, 1:])
        count += 1
    return found[:count]


@njit(cache=True, nogil=True)
def _copy(row: Any, word: int, shift: Any, into: Any) -> None:
    """One bit of a row of words into others of it."""
    held = row[word] >> shift & ONE
    for other in range(len(row)):
        row[other] = row[other] | into[other] if held else row[other] & ~into[other]
