"""A way to a state that runs by lot have met, with everything left out that it does not need.

Every course here is made of real steps; whether there is a shorter one is not said.
"""

from __future__ import annotations

import time
from typing import TYPE_CHECKING, Any

from .clauses import Step
from .pairs import Novelty, Sides
from .runs import LANES, WORDS, Runs
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
            return None if table is None else Play(step).course(_shortened(Play(step), table, until))
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


def _shortened(play: Play, table: Table, until: float) -> Table:
    """The table with as much left out as can be, first large parts of it, then small ones."""
    import numpy as np

    parts = FEWEST_PARTS
    while time.monotonic() < until:
        done = np.argwhere(table)
        parts = min(parts, len(done), LANES)
        part = np.zeros(table.shape, np.int64)
        part[tuple(done.T)] = np.arange(len(done)) * parts // len(done)
        left_out = _can_go(play, table, part, parts)
        table = table & ~np.isin(part, left_out)
        if not left_out and parts == min(len(done), LANES):
            break
        parts = parts if left_out else 4 * parts
    return table


def _can_go(play: Play, table: Table, part: Parts, parts: int) -> list[int]:
    """Parts that can all be left out together."""
    import numpy as np

    each = np.zeros((parts, LANES), np.bool_)
    np.fill_diagonal(each, val=True)
    alone = [at for at, arrives in enumerate(play.lanes_that_arrive(table, part, _words(each))[:parts]) if arrives]
    together = np.zeros((parts, LANES), np.bool_)
    for rank, at in enumerate(alone):
        together[at, rank:] = True  # lane by lane one more of them
    arrives = play.lanes_that_arrive(table, part, _words(together))[: len(alone)]
    most = max((rank for rank, one in enumerate(arrives) if one), default=-1)
    return alone[: most + 1]


def _words(lanes: Table) -> Words:
    """Lanes as words. Shape (parts, LANES) to (parts, WORDS)."""
    import numpy as np

    words: Words = np.packbits(lanes, axis=1, bitorder="little").view(np.uint64)
    return words
