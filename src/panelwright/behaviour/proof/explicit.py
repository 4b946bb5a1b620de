"""Every state visited, one after the other: exact for small cones, and a second opinion for the solver.

States are whole numbers, a bit of the model each; all choices of a step are tried at once, many states side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from .clauses import Step
from .model import Move
from .unrolling import Course

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.int64]
    Flags = NDArray[np.bool_]
    Words = NDArray[np.uint64]

MOST_CHOICES = 12  # 4,096 ways to go on from every state
MOST_STATES = 60_000
MOST_WORK = 12_000_000  # states times ways to go on
MOST_TOGETHER = 4096  # states after one step
MOST_FREE = 17  # bits that the first state leaves open
COLUMNS = 1 << 18  # state and choice pairs looked at together


_COUNTING = [sum(1 << place for place in range(64) if place >> index & 1) for index in range(6)]  # of 0, 1, 2 ... 63
_HAND = ("change", "toward", "up", "down")


def _choice(name: str) -> tuple[str, str]:
    """What a choice belongs to: ("hand", "S1") or ("device", "K1")."""
    words = name.removeprefix("?").split()
    if words[0] in _HAND:
        return "hand", words[1]
    tag = words[2] if words[0] in ("half", "runs", "both") else words[1]
    return "device", tag.partition(":")[0]


def _flags(words: Words) -> NDArray[np.uint8]:
    """One number 0 or 1 for every place of the words."""
    import numpy as np

    return np.unpackbits(words.view(np.uint8), bitorder="little")


def _each_once(row: Numbers, following: Numbers, bits: int) -> tuple[Numbers, Numbers]:
    """Pairs of the row of a state and a state that follows, each pair once and in order."""
    import numpy as np

    if len(row) and int(row.max()).bit_length() + bits < 63:
        both = np.sort(row << bits | following)
        both = both[np.append(True, both[1:] != both[:-1])] if len(both) else both
        return both >> bits, both & (1 << bits) - 1
    pairs = np.unique(np.stack([row, following]), axis=1)
    return pairs[0], pairs[1]


class TooLarge(Exception):
    """More states or choices than can be walked through."""


class Walk:
    """All states that one step after the other reaches from the start, by levels."""

    def __init__(self, step: Step, *, loosely: bool = False) -> None:
        """`loosely`: one input at a time, at any moment, whatever is assumed about steps: at least every state that
        can be reached, in fewer ways to go on.
        """
        gates = step.gates
        self.loosely = loosely
        self.step = step
        self.bits = step.bits
        self.now = [bit.now >> 1 for bit in step.bits]
        self.choices = step.choices
        self.gate_nodes = [node for node in step.nodes if gates.left[node] >= 0]
        if len(self.bits) > 60:
            raise TooLarge(f"{len(self.bits)} bits")
        self.settings = self._settings()
        self.parent: dict[int, int] = {}  # state to the state it was first reached from, -1 at the start
        self.edges: list[Numbers] = []
        self._cones: dict[tuple[int, ...], tuple[list[tuple[int, bool, int]], list[int]]] = {}
        self.all_reached = False

    def _settings(self) -> list[int]:
        """The settings of the choices that are tried from every state; loosely, of one device or one input each."""
        if not self.loosely:
            if len(self.choices) > MOST_CHOICES:
                raise TooLarge(f"{len(self.choices)} choices")
            return list(range(1 << len(self.choices)))
        names = {literal >> 1: name for name, literal in self.step.gates.inputs.items()}
        groups: dict[str, list[int]] = {}
        for index, node in enumerate(self.choices):
            kind, tag = _choice(names[node])
            key = f"{kind} {tag}"
            groups.setdefault(key, []).append(index)
        settings = [0]
        self.devices: list[slice] = []
        for key, members in sorted(groups.items()):
            more = [sum(1 << m for k, m in enumerate(members) if n >> k & 1) for n in range(1, 1 << len(members))]
            if not key.startswith("hand "):
                self.devices.append(slice(len(settings), len(settings) + len(more)))
            settings += more
        return settings

    # ---- values
    def _values(self, states: Numbers, choices: Numbers, wanted: Sequence[int]) -> dict[int, Flags]:
        """The values of what some literals depend on, over pairs of a state and a setting of the choices."""
        import numpy as np

        inputs, gate_nodes = self._below(tuple(wanted))
        value: dict[int, Flags] = {0: np.zeros(len(states), dtype=bool)}
        for node, source, index in inputs:
            value[node] = ((choices if source else states) >> index & 1).astype(bool)
        gates = self.step.gates
        for node in gate_nodes:
            left, right = gates.left[node], gates.right[node]
            value[node] = self._held(value, left) & self._held(value, right)
        return value

    def _below(self, wanted: tuple[int, ...]) -> tuple[list[tuple[int, bool, int]], list[int]]:
        """The inputs below some literals, (node, is a choice, place), and the gates in order. Raises TooLarge."""
        if wanted not in self._cones:
            place = {node: (False, index) for index, node in enumerate(self.now)}
            place |= {node: (True, index) for index, node in enumerate(self.choices)}
            gates, found, waiting = self.step.gates, set[int](), [literal >> 1 for literal in wanted]
            while waiting:
                node = waiting.pop()
                if node and node not in found:
                    found.add(node)
                    if node not in place and gates.left[node] < 0:
                        raise TooLarge("a bit outside the cone")
                    waiting += () if node in place else (gates.left[node] >> 1, gates.right[node] >> 1)
            inputs = [(node, *place[node]) for node in sorted(found) if node in place]
            self._cones[wanted] = inputs, sorted(found - set(place))
        return self._cones[wanted]

    @staticmethod
    def _held(value: dict[int, Flags], literal: int) -> Flags:
        flags = value[literal >> 1]
        return ~flags if literal & 1 else flags

    def holds_in(self, states: Numbers, literal: int) -> Flags:
        """Where a literal over the state holds."""
        import numpy as np

        return self._held(self._values(states, np.zeros_like(states), [literal]), literal)

    def _allowed(self, states: Numbers) -> Flags:
        """Where everything holds that is assumed of states."""
        import numpy as np

        value = self._values(states, np.zeros_like(states), self.step.always)
        allowed = np.ones(len(states), dtype=bool)
        for literal in self.step.always:
            allowed &= self._held(value, literal)
        return allowed

    # ---- walking
    @cached_property
    def starts(self) -> Numbers:
        """The first states."""
        import numpy as np

        fixed = sum(1 << index for index, bit in enumerate(self.bits) if bit.start)
        free = [index for index, bit in enumerate(self.bits) if bit.start is None]
        if len(free) > MOST_FREE:
            raise TooLarge(f"{len(free)} bits free at the start")
        states = np.full(1 << len(free), fixed, dtype=np.int64)
        settings = np.arange(1 << len(free), dtype=np.int64)
        for place, index in enumerate(free):
            states |= (settings >> place & 1) << index
        return states[self._allowed(states)]

    def after(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """Every step from some states: the states before and after, as pairs, each pair once."""
        import numpy as np

        pairs: list[tuple[Numbers, Numbers]] = []
        block = max(1, COLUMNS // max(len(self.settings), 64))
        for start in range(0, len(states), block):
            some = np.sort(states[start : start + block])
            pairs.append(self._combined(some) if self.loosely else self._stepped(some))
        if not pairs:
            return states[:0], states[:0]
        before, following = (np.concatenate(side) for side in zip(*pairs, strict=True))
        return before, following

    def _stepped(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """The steps that everything assumed allows, 64 settings of the choices in a word."""
        import numpy as np

        choices = max(len(self.choices), 6)  # with fewer the settings of a word come more than once
        value = self._words(states, choices)
        allowed = ~np.zeros(len(states) << choices - 6, np.uint64)
        for literal in self.step.demands:
            allowed &= self._word(value, literal)
        at = np.flatnonzero(_flags(allowed))
        following = np.zeros(len(at), np.int64)
        for index, bit in enumerate(self.bits):
            following |= _flags(self._word(value, bit.next))[at].astype(np.int64) << index
        row, following = _each_once(at >> choices, following, len(self.bits))
        return states[row], following

    def _words(self, states: Numbers, choices: int) -> dict[int, Words]:
        """Every node's value for each state with every setting of the choices, shape (states * settings / 64,)."""
        import numpy as np

        each, full = 1 << choices - 6, ~np.uint64(0)
        value: dict[int, Words] = {0: np.zeros(len(states) * each, np.uint64)}
        for index, node in enumerate(self.now):
            value[node] = np.repeat(np.where(states >> index & 1, full, np.uint64(0)), each)
        for index, node in enumerate(self.choices):
            if index < 6:
                value[node] = np.full(len(states) * each, _COUNTING[index], np.uint64)
            else:
                value[node] = np.tile(np.where(np.arange(each) >> index - 6 & 1, full, np.uint64(0)), len(states))
        gates = self.step.gates
        for node in self.gate_nodes:
            value[node] = self._word(value, gates.left[node]) & self._word(value, gates.right[node])
        return value

    @staticmethod
    def _word(value: dict[int, Words], literal: int) -> Words:
        words = value[literal >> 1]
        return ~words if literal & 1 else words

    def _next(self, value: dict[int, Flags], count: int) -> Numbers:
        import numpy as np

        following = np.zeros(count, dtype=np.int64)
        for index, bit in enumerate(self.bits):
            following |= self._held(value, bit.next).astype(np.int64) << index
        return following

    def _combined(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """Each input by itself, and every set of devices together: what one device does touches its own bits alone."""
        import numpy as np

        settings = np.array(self.settings, dtype=np.int64)
        value = self._values(
            np.repeat(states, len(settings)), np.tile(settings, len(states)), [bit.next for bit in self.bits]
        )
        table = self._next(value, len(states) * len(settings)).reshape(len(states), len(settings))
        row, reached = np.arange(len(states)), table[:, 0]
        for device in self.devices:
            moves = table[:, device] ^ table[:, :1]
            for k in range(1, moves.shape[1]):
                moves[(moves[:, k : k + 1] == moves[:, :k]).any(axis=1), k] = 0  # as another choice already does
            goes = [moves[row, k] for k in range(moves.shape[1])]
            rows, ends = zip(*((row[go != 0], (reached ^ go)[go != 0]) for go in goes), strict=True)
            row, reached = np.concatenate((row, *rows)), np.concatenate((reached, *ends))
            if np.bincount(row).max() > MOST_TOGETHER:
                raise TooLarge("too many devices move at once")
        every = np.repeat(np.arange(len(states)), len(settings))
        row = np.concatenate((row, every))
        row, reached = _each_once(row, np.concatenate((reached, table.ravel())), len(self.bits))
        allowed = self._allowed(reached)
        return states[row[allowed]], reached[allowed]

    def shortest(self) -> Course | None:
        """The shortest course to a bad state, None when there is none. Raises TooLarge."""
        import numpy as np

        frontier = self.starts
        self.parent = dict.fromkeys(frontier.tolist(), -1)
        while len(frontier):
            bad = self.holds_in(frontier, self.step.bad)
            if bad.any():
                return self.course(int(frontier[int(np.argmax(bad))]))
            if len(self.parent) > MOST_STATES or len(self.parent) * len(self.settings) > MOST_WORK:
                raise TooLarge(f"more than {len(self.parent)} states")
            before, following = self.after(frontier)
            self.edges.append(np.stack([before, following]))
            first = np.sort(np.unique(following, return_index=True)[1])
            fresh: list[int] = []
            for a, b in zip(before[first].tolist(), following[first].tolist(), strict=True):
                if b not in self.parent:
                    self.parent[b] = a
                    fresh.append(b)
            frontier = np.array(fresh, dtype=np.int64)
        self.all_reached = True
        return None

    def course(self, state: int) -> Course:
        """The states from the start to one that was reached."""
        way = [state]
        while self.parent[way[-1]] >= 0:
            way.append(self.parent[way[-1]])
        return [
            {bit.name: bool(number >> index & 1) for index, bit in enumerate(self.bits)} for number in reversed(way)
        ]

    # ---- movement without end
    def restless_groups(
        self, during: int, lacking: int, moves: Sequence[Move], *, timers: bool
    ) -> list[tuple[Numbers, Numbers]]:
        """Groups of states that things move between for ever, no input changing, and that nothing leads out of.

        Of each all states, and those in which `lacking` holds.

        `during` holds all the while, `lacking` somewhere in the group. No device is kept waiting for ever: one that
        wants to move all the while moves. `timers`: times may run out on the way. Call after `shortest`.
        """
        import numpy as np
        from scipy.sparse import coo_matrix
        from scipy.sparse.csgraph import connected_components

        states = np.array(sorted(self.parent), dtype=np.int64)
        a, b = self._untouched(states, timers)
        _, label = connected_components(coo_matrix((np.ones(len(a)), (a, b)), (len(states),) * 2), connection="strong")
        left = set(label[a[label[a] != label[b]]].tolist())  # groups that something leads out of
        inside, lacks = self.holds_in(states, during), self.holds_in(states, lacking)
        found: list[tuple[Numbers, Numbers]] = []
        for group in np.unique(label[a[label[a] == label[b]]]).tolist():
            members = np.flatnonzero(label == group)
            if group in left or len(members) < 2 or not inside[members].all() or not lacks[members].any():
                continue
            if self._is_fair(states, members, a, b, moves):
                found.append((states[members], states[members[lacks[members]]]))
        return found

    def _untouched(self, states: Numbers, timers: bool) -> tuple[Numbers, Numbers]:
        """The steps in which no input changes, as places in `states`; those that stay where they are left out."""
        import numpy as np

        pairs = np.concatenate(self.edges, axis=1) if self.edges else np.zeros((2, 0), dtype=np.int64)
        fixed = sum(1 << i for i, bit in enumerate(self.bits) if bit.input)
        if not timers:
            fixed |= sum(1 << i for i, bit in enumerate(self.bits) if ":timed" in bit.name)
        pairs = pairs[:, ((pairs[0] ^ pairs[1]) & fixed == 0) & (pairs[0] != pairs[1])]
        known = np.isin(pairs[1], states)
        return np.searchsorted(states, pairs[0][known]), np.searchsorted(states, pairs[1][known])

    def changing(self, states: Numbers) -> set[str]:
        """The devices that do not stand alike in all of these states."""
        import numpy as np

        changed = int(np.bitwise_or.reduce(states ^ states[0]))
        return {bit.tag for index, bit in enumerate(self.bits) if changed >> index & 1}

    def as_names(self, state: int) -> dict[str, bool]:
        """One state as bits by name."""
        return {bit.name: bool(state >> index & 1) for index, bit in enumerate(self.bits)}

    def as_literals(self, state: int) -> list[int]:
        """One state as literals over the bits of devices (monitors left out)."""
        return [
            2 * node + (not state >> index & 1)
            for index, (node, bit) in enumerate(zip(self.now, self.bits, strict=True))
            if bit.tag
        ]

    def _is_fair(self, states: Numbers, members: Numbers, a: Numbers, b: Numbers, moves: Sequence[Move]) -> bool:
        """Whether every device gets its turn between these states, or is content now and then."""
        import numpy as np

        within = np.isin(a, members) & np.isin(b, members)
        changed = int(np.bitwise_or.reduce(states[a[within]] ^ states[b[within]], initial=0))
        for move in moves:
            mask = sum(1 << i for i, bit in enumerate(self.bits) if bit.tag == move.tag)
            if changed & mask:
                continue
            try:
                waits = self.holds_in(states[members], move.restless) | self.holds_in(states[members], move.pending)
            except TooLarge:
                continue  # outside the cone of the question
            if bool(np.all(waits)):
                return False
        return True
