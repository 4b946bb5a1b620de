"""The course of one fault through all lanes, as compiled code. Imported when first needed: compiling takes a moment.

Words are 64 lanes each. Arrays by name; W words, N nodes, S steps, D seats (mechanisms and timed contacts):
  order                 nodes of the gates that matter here, inputs before users
  value (N, W)          words of every node; scratch
  hand_nodes, hand (S, n, W)   inputs worked from outside
  follow (n, 3)         inputs that follow a seat: node, seat, 1 when closed at rest
  history (P, D, W), first (S + 1)   where every seat of the sound panel stood before each pass of each step
  table (n, 8)          the seats that the fault can reach: see the names of its columns
  rivals (m, 2)         rows of `table`: the first waits while the second wants to go in
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

RELAY, LATCHING, ON_DELAY, OFF_DELAY = 0, 1, 2, 3
SEAT, KIND, FULL, MAY, RESET, PARTNER, PLAIN, STUCK = range(8)

ALL = np.uint64(0xFFFFFFFFFFFFFFFF)
NONE = np.uint64(0)
ONE = np.uint64(1)


@njit(cache=True, nogil=True)
def most_passes(seats: Any) -> Any:
    """A step that takes longer does not come to rest: relays in a chain move one after the other, in and out."""
    return 2 * seats + 8


@njit(cache=True, nogil=True)
def work_out(order: Any, left: Any, right: Any, value: Any, fresh: Any, every: Any) -> None:
    """Fill in the words of the gates: of every one, or of those below which something is `fresh`, i.e. has changed."""
    for at in range(len(order)):
        node = order[at]
        a, b = left[node] >> np.uint32(1), right[node] >> np.uint32(1)
        if not every and not fresh[a] and not fresh[b]:
            fresh[node] = False
            continue
        flip_a = ALL if left[node] & np.uint32(1) else NONE
        flip_b = ALL if right[node] & np.uint32(1) else NONE
        changed = NONE
        for word in range(value.shape[1]):
            new = (value[a, word] ^ flip_a) & (value[b, word] ^ flip_b)
            changed |= new ^ value[node, word]
            value[node, word] = new
        fresh[node] = changed != NONE


@njit(cache=True, nogil=True)
def follow_seats(follow: Any, state: Any, value: Any, fresh: Any) -> None:
    """Fill in the inputs that follow a seat."""
    for at in range(len(follow)):
        node, seat = follow[at, 0], follow[at, 1]
        flip = ALL if follow[at, 2] else NONE
        changed = NONE
        for word in range(value.shape[1]):
            new = state[seat, word] ^ flip
            changed |= new ^ value[node, word]
            value[node, word] = new
        fresh[node] = changed != NONE


@njit(cache=True, nogil=True)
def flip_of(which: Any) -> Any:
    """What the words of the node are exclusive-or'ed with to be those of a literal."""
    return ALL if which & 1 else NONE


@njit(cache=True, nogil=True)
def want_coil(row: Any, value: Any, state: Any, want: Any, doubt: Any) -> None:
    """Where a seat that a coil drives goes: with part of its volts it stays where it is, and the lane is doubtful."""
    seat, full, may = row[SEAT], row[FULL] >> 1, row[MAY] >> 1
    flip_full, flip_may = flip_of(row[FULL]), flip_of(row[MAY])
    for word in range(value.shape[1]):
        whole, some = value[full, word] ^ flip_full, value[may, word] ^ flip_may
        doubt[word] |= some & ~whole
        want[word] = whole | (state[seat, word] & some)
    if row[KIND] == LATCHING:
        reset, flip = row[RESET] >> 1, flip_of(row[RESET])
        for word in range(value.shape[1]):
            whole = value[full, word] ^ flip_full
            want[word] = whole | (state[seat, word] & ~(value[reset, word] ^ flip))
    elif row[PARTNER] >= 0:
        for word in range(value.shape[1]):
            want[word] &= state[seat, word] | ~state[row[PARTNER], word]


@njit(cache=True, nogil=True)
def want_timed(row: Any, state: Any, want: Any, timed: Any) -> None:
    """Where timed contacts go; `timed`: in the pass in which times run out."""
    seat, plain = row[SEAT], row[PLAIN]
    for word in range(state.shape[1]):
        source = state[plain, word]
        if timed:
            want[word] = source
        elif row[KIND] == ON_DELAY:
            want[word] = state[seat, word] & source
        else:
            want[word] = state[seat, word] | source


@njit(cache=True, nogil=True)
def move(table: Any, rivals: Any, value: Any, state: Any, want: Any, timed: Any, doubt: Any) -> Any:
    """One pass: what lets go lets go, what picks up does unless a rival named before it does. What has moved."""
    words = value.shape[1]
    moved = NONE
    for at in range(len(table)):
        row = table[at]
        if row[STUCK] < 0 and row[KIND] >= ON_DELAY:
            want_timed(row, state, want[at], timed)
        elif row[STUCK] < 0 and not timed:
            want_coil(row, value, state, want[at], doubt)
        else:
            want[at] = state[row[SEAT]]
    for at in range(len(rivals)):
        row, other = table[rivals[at, 0], SEAT], table[rivals[at, 1], SEAT]
        first, second = rivals[at, 0], rivals[at, 1]
        for word in range(words):
            picks = want[second, word] & ~state[other, word]
            want[first, word] &= state[row, word] | ~picks
    for at in range(len(table)):
        seat = table[at, SEAT]
        for word in range(words):
            moved |= want[at, word] ^ state[seat, word]
            state[seat, word] = want[at, word]
    return moved


@njit(cache=True, nogil=True)
def ones(word: Any) -> Any:
    """How many lanes of a word are set."""
    word = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    word = (word & np.uint64(0x3333333333333333)) + ((word >> np.uint64(2)) & np.uint64(0x3333333333333333))
    word = (word + (word >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return np.int64((word * np.uint64(0x0101010101010101)) >> np.uint64(56))


@njit(cache=True, nogil=True)
def all_ones(words: Any) -> Any:
    """How many lanes are set."""
    count = 0
    for at in range(len(words)):
        count += ones(words[at])
    return count


@njit(cache=True, nogil=True)
def look(step: Any, seen: Any, touch: Any, value: Any, shorted: Any, sound_seen: Any, shown: Any, differs: Any) -> None:
    """After a step: shorts, what can be seen, and where that differs from the sound panel."""
    words = value.shape[1]
    for at in range(len(touch)):
        one, other = touch[at, 0] >> 1, touch[at, 1] >> 1
        flip_one, flip_other = flip_of(touch[at, 0]), flip_of(touch[at, 1])
        for word in range(words):
            shorted[word] |= (value[one, word] ^ flip_one) & (value[other, word] ^ flip_other)
    for at in range(len(seen)):
        node, flip = seen[at] >> 1, flip_of(seen[at])
        on, off = 0, 0
        for word in range(words):
            now = value[node, word] ^ flip
            shown[step, at, word] = now
            sound = sound_seen[step, at, word]
            on += ones(now & ~sound & ~shorted[word])
            off += ones(sound & ~now & ~shorted[word])
        differs[at, 0, step] += on
        differs[at, 1, step] += off


@njit(cache=True, nogil=True)
def run(
    order: Any, left: Any, right: Any, value: Any, hand_nodes: Any, hand: Any, follow: Any, history: Any, first: Any,
    table: Any, rivals: Any, seen: Any, sound_seen: Any, touch: Any, shown: Any, differs: Any, recorded: Any,
) -> Any:  # fmt: skip
    """Run all steps. Returns (passes, doubtful lanes, lanes that never rest, lanes with a short).

    The sound panel itself is run with an empty `history`, and its passes go into `recorded` (P, D, W) and `first`.
    `seen`: literals of what can be seen, `sound_seen` (S, n, W) what the sound panel shows; `touch`: pairs of literals
    that make a short when both are true. Filled in: `shown` (S, n, W); `differs` (n, 2, S): how many lanes wrongly
    show it, and wrongly do not, by step.
    """
    words, is_sound = value.shape[1], len(history) == 0
    state = np.zeros((recorded.shape[1], words), np.uint64)
    want = np.zeros((len(table), words), np.uint64)
    before = np.zeros((len(table), words), np.uint64)
    fresh = np.zeros(len(value), np.bool_)
    doubt, restless = np.zeros(words, np.uint64), np.zeros(words, np.uint64)
    shorted, passes, most = np.zeros(words, np.uint64), 0, most_passes(recorded.shape[1])
    for at in range(len(table)):
        if table[at, STUCK] == 1:
            state[table[at, SEAT]] = ALL
    for step in range(hand.shape[0]):
        for at in range(len(hand_nodes)):
            value[hand_nodes[at]] = hand[step, at]
            fresh[hand_nodes[at]] = True
        known = 1 if is_sound else first[step + 1] - first[step]
        count, timed = 0, False
        while True:
            if not is_sound:
                row = first[step] + min(count, known - 1)
                for at in range(len(table)):
                    want[at] = state[table[at, SEAT]]
                state[:] = history[row]
                for at in range(len(table)):
                    state[table[at, SEAT]] = want[at]
            else:
                recorded[passes] = state
            follow_seats(follow, state, value, fresh)
            work_out(order, left, right, value, fresh, passes == 0)
            for at in range(len(hand_nodes)):
                fresh[hand_nodes[at]] = False
            if count >= most:
                for at in range(len(table)):
                    before[at] = state[table[at, SEAT]]
            moved = move(table, rivals, value, state, want, timed, doubt)
            passes, count = passes + 1, count + 1
            if moved == NONE and count >= known:
                if timed:
                    break
                timed = True
                continue
            timed = False
            if count > most:
                for at in range(len(table)):
                    for word in range(words):
                        restless[word] |= before[at, word] ^ state[table[at, SEAT], word]
                break
        if is_sound:
            first[step + 1] = passes
        look(step, seen, touch, value, shorted, sound_seen, shown, differs)
    return passes, all_ones(doubt), all_ones(restless), all_ones(shorted)
