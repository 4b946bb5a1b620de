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

MOST_CHOICES = 12  # 4,096 ways to go on from every state
MOST_STATES = 60_000
MOST_WORK = 12_000_000  # states times ways to go on
MOST_TOGETHER = 4096  # states after one step
MOST_FREE = 17  # bits that the first state leaves open
COLUMNS = 1 << 18  # state and choice pairs looked at together


_HAND = ("change", "toward", "up", "down")


def _choice(name: str) -> tuple[str, str]:
    """What a choice belongs to: ("hand", "S1") or ("device", "K1")."""
    words = name.removeprefix("?").split()
    if words[0] in _HAND:
        return "hand", words[1]
    tag = words[2] if words[0] in ("half", "runs", "both") else words[1]
    return "device", tag.partition(":")[0]


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
        taken = set(self.now)
        self.choices = [node for node in step.nodes if node not in taken and gates.left[node] < 0]
        self.gate_nodes = [node for node in step.nodes if gates.left[node] >= 0]
        if len(self.bits) > 60:
            raise TooLarge(f"{len(self.bits)} bits")
        self.settings = self._settings()
        self.parent: dict[int, int] = {}  # state to the state it was first reached from, -1 at the start
        self.edges: list[Numbers] = []
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
    def _values(self, states: Numbers, choices: Numbers, more: Sequence[int] = ()) -> dict[int, Flags]:
        """Every node's value over pairs of a state and a setting of the choices."""
        import numpy as np

        value: dict[int, Flags] = {0: np.zeros(len(states), dtype=bool)}
        for index, node in enumerate(self.now):
            value[node] = (states >> index & 1).astype(bool)
        for index, node in enumerate(self.choices):
            value[node] = (choices >> index & 1).astype(bool)
        gates = self.step.gates
        for node in self._gates_for(more):
            left, right = gates.left[node], gates.right[node]
            value[node] = (value[left >> 1] ^ bool(left & 1)) & (value[right >> 1] ^ bool(right & 1))
        return value

    def _gates_for(self, more: Sequence[int]) -> list[int]:
        """The gates of the step, and those of further literals."""
        known = {0, *self.now, *self.choices, *self.gate_nodes}
        extra: set[int] = set()
        waiting = [literal >> 1 for literal in more]
        gates = self.step.gates
        while waiting:
            node = waiting.pop()
            if node in known or node in extra:
                continue
            if gates.left[node] < 0:
                raise TooLarge("a bit outside the cone")
            extra.add(node)
            waiting += (gates.left[node] >> 1, gates.right[node] >> 1)
        return sorted([*self.gate_nodes, *extra])

    @staticmethod
    def _held(value: dict[int, Flags], literal: int) -> Flags:
        return value[literal >> 1] ^ bool(literal & 1)

    def holds_in(self, states: Numbers, literal: int) -> Flags:
        """Where a literal over the state holds."""
        import numpy as np

        return self._held(self._values(states, np.zeros_like(states), [literal]), literal)

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
        value = self._values(states, np.zeros_like(states))
        for literal in self.step.always:
            states_ok = self._held(value, literal)
            states = states[states_ok]
            value = self._values(states, np.zeros_like(states))
        return states

    def after(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """Every step from some states: the states before and after, as pairs, each pair once."""
        import numpy as np

        pairs: list[Numbers] = []
        block = max(1, COLUMNS // len(self.settings))
        for start in range(0, len(states), block):
            some = states[start : start + block]
            before, following = self._combined(some) if self.loosely else self._stepped(some)
            pairs.append(np.unique(np.stack([before, following]), axis=1))
        joined = np.concatenate(pairs, axis=1) if pairs else np.zeros((2, 0), dtype=np.int64)
        return joined[0], joined[1]

    def _stepped(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """The steps that everything assumed allows."""
        import numpy as np

        before, value = self._tried(states)
        allowed = np.ones(len(before), dtype=bool)
        for literal in self.step.demands:
            allowed &= self._held(value, literal)
        return before[allowed], self._next(value, len(before))[allowed]

    def _tried(self, states: Numbers) -> tuple[Numbers, dict[int, Flags]]:
        """Every state with every setting, and the values of all nodes."""
        import numpy as np

        settings = np.array(self.settings, dtype=np.int64)
        before = np.repeat(states, len(settings))
        return before, self._values(before, np.tile(settings, len(states)))

    def _next(self, value: dict[int, Flags], count: int) -> Numbers:
        import numpy as np

        following = np.zeros(count, dtype=np.int64)
        for index, bit in enumerate(self.bits):
            following |= self._held(value, bit.next).astype(np.int64) << index
        return following

    def _combined(self, states: Numbers) -> tuple[Numbers, Numbers]:
        """Each input by itself, and every set of devices together: what one device does touches its own bits alone."""
        import numpy as np

        before, value = self._tried(states)
        table = self._next(value, len(before)).reshape(len(states), len(self.settings))
        found: list[tuple[int, int]] = []
        for state, row in zip(states.tolist(), table.tolist(), strict=True):
            still = row[0]
            reached = {still}
            for device in self.devices:
                moves = {still ^ other for other in row[device]} - {0}
                reached |= {one ^ move for one in reached for move in moves}
                if len(reached) > MOST_TOGETHER:
                    raise TooLarge("too many devices move at once")
            reached.update(row)
            found += [(state, one) for one in reached]
        pairs = np.array(found, dtype=np.int64).reshape(-1, 2)
        allowed = np.ones(len(pairs), dtype=bool)
        known = self._values(pairs[:, 1], np.zeros(len(pairs), dtype=np.int64))
        for literal in self.step.always:
            allowed &= self._held(known, literal)
        return pairs[allowed, 0], pairs[allowed, 1]

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
            fresh: list[int] = []
            for a, b in zip(before.tolist(), following.tolist(), strict=True):
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
    def restless_groups(self, during: int, lacking: int, moves: Sequence[Move], *, timers: bool) -> list[Numbers]:
        """Groups of states that things move between for ever, no input changing, and that nothing leads out of.

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
        found: list[Numbers] = []
        for group in np.unique(label[a[label[a] == label[b]]]).tolist():
            members = np.flatnonzero(label == group)
            if group in left or len(members) < 2 or not inside[members].all() or not lacks[members].any():
                continue
            if self._is_fair(states, members, a, b, moves):
                found.append(states[members[lacks[members]]])
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
