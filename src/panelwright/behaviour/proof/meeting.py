"""A way to a state that runs by lot have met, with everything left out that it does not need.

Every course here is made of real steps; whether there is a shorter one is not said.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from itertools import count
from typing import TYPE_CHECKING, Any

from .clauses import Step
from .runs import LANES, WORDS, Novelty, Runs, Sides
from .unrolling import Course
from .vicinity import owner_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Table = NDArray[np.bool_]  # by step and choice
    Parts = NDArray[np.int64]  # by step and choice: the part to which it belongs
    Words = NDArray[np.uint64]

FEWEST_PARTS = 16  # into which what is done is divided at first


def course_met(step: Step, until: float) -> Course | None:
    """A course to where `step.bad` holds; None when no run meets it in time."""
    import numpy as np

    favoured: list[Words] = []
    sides = Sides(step)
    runs, novelty = Runs(step), Novelty(sides)
    for words in runs.values([*sides.now, step.bad], until):
        met = np.flatnonzero(words[-1])
        if len(met):
            word = int(met[0])
            lane = 64 * word + (int(words[-1][word]) & -int(words[-1][word])).bit_length() - 1
            table = _done_in(step, runs.lanes_before(lane, len(favoured)), favoured, until)
            return None if table is None else _cut_down(Play(step), table, until)
        favoured.append(novelty.lanes(words[:-1]))
        runs.favour(favoured[-1])
    return None


def _done_in(step: Step, lanes: list[int], favoured: list[Words], until: float) -> Table | None:
    """What is chosen in each step of the run that goes through these lanes; None when the time is over."""
    import numpy as np

    runs, one = Runs(step), np.uint64(1)
    table = np.zeros((len(lanes), len(runs.choices)), np.bool_)
    states = np.zeros((len(lanes) + 1, len(runs.nows)), np.bool_)
    for at, _ in enumerate(runs.values([], until)):
        word, shift = lanes[at] // 64, np.uint64(lanes[at] % 64)
        table[at] = runs.value[runs.choices, word] >> shift & one
        states[at] = runs.value[runs.nows, word] >> shift & one
        if at + 1 == len(lanes):
            states[at + 1] = ~states[at]
            return _that_matters(step, table, states[1:] != states[:-1])
        runs.favour(favoured[at])
    return None


def _that_matters(step: Step, table: Table, changed: Table) -> Table:
    """Without what is chosen for devices that stay as they are, if it comes to the same. `changed`: by step and bit."""
    import numpy as np

    names = [name for name in step.gates.inputs if name.startswith("?")]
    owners = [owner_of(name, step.cone.tags) for name in names]
    own = np.array([[bit.tag == owner for bit in step.bits] for owner in owners])
    without_owner = np.array([not owner for owner in owners])
    less: Table = table & (without_owner | ((changed.astype(np.float32) @ own.T.astype(np.float32)) > 0))
    every, nothing = np.zeros(table.shape, np.int64), np.zeros((1, WORDS), np.uint64)
    return less if Play(step).lanes_that_arrive(less, every, nothing)[0] else table


class Play:
    """Plays what is chosen step by step, in many lanes that each go without some of it."""

    def __init__(self, step: Step) -> None:
        self.step = step

    def runs(self, table: Table, part: Parts, without: Words) -> Any:
        """Each step as (its runs, lanes in which everything so far is allowed, lanes in which `step.bad` holds)."""
        import numpy as np

        from .run_loop import advance, all_hold, choose_as, gates_below, work_out

        runs, step = Runs(self.step), self.step
        bad, demands = np.array([step.bad]), np.array(step.demands, np.int64)
        gates = gates_below(runs.left, runs.right, np.concatenate((bad, demands, runs.nexts)))
        alive = np.full(WORDS, ~np.uint64(0))
        for chosen, parts in zip(table, part, strict=True):
            choose_as(runs.value, runs.choices, chosen, parts, without)
            work_out(runs.left, runs.right, gates, runs.value)
            alive = all_hold(runs.value, demands, alive)
            yield runs, alive, all_hold(runs.value, bad, alive)
            advance(runs.value, runs.nows, runs.nexts, alive)

    def lanes_that_arrive(self, table: Table, part: Parts, without: Words) -> list[bool]:
        """By lane: `step.bad` comes to hold."""
        import numpy as np

        arrived = np.zeros(WORDS, np.uint64)
        for _, _, bad in self.runs(table, part, without):
            arrived |= bad
        return [bool(one) for one in np.unpackbits(arrived.view(np.uint8), bitorder="little")]

    def course(self, table: Table) -> Course:
        """The states up to the first in which `step.bad` holds, each once where nothing changes."""
        import numpy as np

        course: Course = []
        names = [bit.name for bit in self.step.bits]
        for runs, _, bad in self.runs(table, np.zeros(table.shape, np.int64), np.zeros((1, WORDS), np.uint64)):
            state = dict(zip(names, (runs.value[runs.nows, 0] & np.uint64(1)).astype(bool).tolist(), strict=True))
            if not course or state != course[-1]:
                course.append(state)
            if bad[0] & np.uint64(1):
                return course
        raise AssertionError("a run does not come to what it came to before")


def _cut_down(play: Play, table: Table, until: float) -> Course:
    """The course of what is left when nothing more can be left out, nor two steps be made one."""
    return play.course(_drawn_together(play, _without_needless(play, table, until), until))


def _without_needless(play: Play, table: Table, until: float) -> Table:
    """With as much left out as can be, first large parts, then small ones, of the time and of the devices in turn."""
    import numpy as np

    parts, by_device = FEWEST_PARTS, False
    while time.monotonic() < until:
        done = np.argwhere(table.T)[:, ::-1] if by_device else np.argwhere(table)
        parts = min(parts, len(done), LANES)
        part = np.zeros(table.shape, np.int64)
        part[tuple(done.T)] = np.arange(len(done)) * parts // len(done)
        can_go = _can_be(parts, partial(_arrive_without, play, table, part))
        table = table & ~np.isin(part, can_go)
        if not can_go and parts == min(len(done), LANES):
            break
        parts, by_device = 4 * parts, not by_device
    return table


def _arrive_without(play: Play, table: Table, part: Parts, lanes: Table) -> list[bool]:
    """By lane: it arrives without those parts that `lanes` says, shape (parts, LANES)."""
    return play.lanes_that_arrive(table, part, _words(lanes))


def _drawn_together(play: Play, table: Table, until: float) -> Table:
    """The table with steps made one with the next wherever that comes to the same, every other step in turn."""
    import numpy as np

    turns_without = 0
    for turn in count():
        table = _without_rests(play, table)
        first = np.arange(turn % 2, len(table) - 1, 2)[:LANES]
        first = first[table[first + 1].any(axis=1)]
        if turns_without == 2 or time.monotonic() > until or not len(first):
            return table
        both, part = table.copy(), np.full(table.shape, 2 * len(first))
        both[first] |= table[first + 1]
        part[first] = np.where(table[first], 2 * len(first), 2 * np.arange(len(first))[:, None] + 1)
        part[first + 1] = 2 * np.arange(len(first))[:, None]
        arrive = partial(_arrive_drawn_together, play, both, part)
        one = first[_can_be(len(first), arrive)]
        table[one] |= table[one + 1]
        table[one + 1] = False
        turns_without = 0 if len(one) else turns_without + 1
    return table


def _arrive_drawn_together(play: Play, both: Table, part: Parts, lanes: Table) -> list[bool]:
    """By lane: it arrives with those steps made one with the next that `lanes` says, shape (steps, LANES).

    `both`: with what is done in the next step too; `part`: what is not done where they are made one, what is done only
    then, step by step in turn, and last what is done in any case.
    """
    import numpy as np

    each = np.stack((lanes, ~lanes), axis=1).reshape(-1, LANES)
    return play.lanes_that_arrive(both, part, _words(np.vstack((each, np.zeros((1, LANES), np.bool_)))))


def _without_rests(play: Play, table: Table) -> Table:
    """Without the steps in which nothing is done, if that comes to the same; the last one stays."""
    import numpy as np

    kept: NDArray[np.bool_] = np.array(table.any(axis=1))
    kept[-1] = True
    less: Table = table[kept]
    every, nothing = np.zeros(less.shape, np.int64), np.zeros((1, WORDS), np.uint64)
    return less if play.lanes_that_arrive(less, every, nothing)[0] else table


def _can_be(changes: int, arrive: Callable[[Table], list[bool]]) -> list[int]:
    """Changes that can all be made together. `arrive`: by lane, with those changes that it makes; (changes, LANES)."""
    import numpy as np

    each: Table = np.zeros((changes, LANES), np.bool_)
    np.fill_diagonal(each, val=True)
    alone = [at for at, arrives in enumerate(arrive(each)[:changes]) if arrives]
    together: Table = np.zeros((changes, LANES), np.bool_)
    for rank, at in enumerate(alone):
        together[at, rank:] = True  # lane by lane one more of them
    most = max((rank for rank, one in enumerate(arrive(together)[: len(alone)]) if one), default=-1)
    return alone[: most + 1]


def _words(lanes: Table) -> Words:
    """Lanes as words. Shape (parts, LANES) to (parts, WORDS)."""
    import numpy as np

    words: Words = np.packbits(lanes, axis=1, bitorder="little").view(np.uint64)
    return words
