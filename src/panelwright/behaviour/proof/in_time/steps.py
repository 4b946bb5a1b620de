"""The steps of a model from one state to the next: inputs change together, or devices move together.

All settings of the choices are tried side by side: each gate is worked out once, on whole numbers that hold one bit
for each setting.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from ..clauses import Step
from .cone import Beyond

MOST_SETTINGS = 4096
MOST_FREE = 16  # bits that the first state leaves open
MOST_TOGETHER = 4096

_BY_HAND = ("change", "up", "down")  # choices that belong to inputs


@dataclass(frozen=True, slots=True)
class Place:
    """One state: its bits, and which of the literals looked at hold in it (bit i: literal i).

    `still`: the state when one step goes by in which nothing is done and nothing moves.
    """

    bits: int
    holds: int
    still: int


class Steps:
    """All steps from a state. `literals`: looked at in every state, with every choice at "no"."""

    def __init__(self, step: Step, literals: Sequence[int]) -> None:
        """Raises: Beyond when there are too many inputs."""
        self.step = step
        self.literals = tuple(dict.fromkeys(literals))
        self.index = {literal: index for index, literal in enumerate(self.literals)}
        self.bits = step.bits
        self.places: dict[int, Place] = {}
        self._after: dict[int, list[tuple[int, bool]]] = {}
        self._now = [bit.now >> 1 for bit in self.bits]
        self._order = self._gates_needed()
        self._choices = self._free_nodes()
        self._groups = self._grouped()
        self._lay_out()

    def _grouped(self) -> dict[tuple[bool, str], list[int]]:
        """The choices by what they belong to: whether it is an input, and its name."""
        names = {literal >> 1: name.removeprefix("?").split() for name, literal in self.step.gates.inputs.items()}
        inputs = {words[1] for words in names.values() if words[0] in _BY_HAND}
        groups: dict[tuple[bool, str], list[int]] = {}
        for node in self._choices:
            words = names[node]
            owner = words[2] if words[0] in ("half", "runs", "both") else words[1]
            hand = owner in inputs
            groups.setdefault((hand, owner if hand else owner.partition(":")[0]), []).append(node)
        return groups

    def _gates_needed(self) -> list[tuple[int, int, int]]:
        gates = self.step.gates
        found: set[int] = set()
        demands = self.step.demands
        waiting = [x >> 1 for x in (*self.literals, *demands, *(bit.next for bit in self.bits))]
        while waiting:
            node = waiting.pop()
            if node in found or not node:
                continue
            found.add(node)
            if gates.left[node] >= 0:
                waiting += (gates.left[node] >> 1, gates.right[node] >> 1)
        self._nodes = found
        return [(n, gates.left[n], gates.right[n]) for n in sorted(found) if gates.left[n] >= 0]

    def _free_nodes(self) -> list[int]:
        known = set(self._now)
        return [n for n in sorted(self._nodes) if self.step.gates.left[n] < 0 and n not in known]

    def _lay_out(self) -> None:
        """Lanes: nothing done; then each device by itself; then every set of inputs."""
        lanes: list[frozenset[int]] = [frozenset()]
        self._devices: list[tuple[slice, int]] = []
        together: list[list[frozenset[int]]] = []
        for (hand, tag), nodes in sorted(self._groups.items()):
            settings = [
                frozenset(node for k, node in enumerate(nodes) if number >> k & 1)
                for number in range(1, 1 << len(nodes))
            ]
            if hand:
                together.append(settings)
                continue
            own = sum(1 << i for i, bit in enumerate(self.bits) if bit.tag == tag or bit.name.startswith(f"{tag} "))
            self._devices.append((slice(len(lanes), len(lanes) + len(settings)), own))
            lanes += settings
        self._inputs_from = len(lanes)
        lanes += self._sets(together)
        self._lanes = len(lanes)
        self._all = (1 << len(lanes)) - 1
        self._pattern = {
            node: sum(1 << lane for lane, setting in enumerate(lanes) if node in setting) for node in self._choices
        }

    @staticmethod
    def _sets(together: Sequence[list[frozenset[int]]]) -> list[frozenset[int]]:
        found: list[frozenset[int]] = [frozenset()]
        for settings in together:
            found += [one | setting for one in found for setting in settings]
            if len(found) > MOST_SETTINGS:
                raise Beyond(f"more than {MOST_SETTINGS} ways to change the inputs at once")
        return found[1:]

    def _worked_out(self, pattern: dict[int, int], everywhere: int) -> dict[int, int]:
        """Every node in all lanes, from those that are free."""
        value = {0: 0, **pattern}
        for node, left, right in self._order:
            a, b = value[left >> 1], value[right >> 1]
            if left & 1:
                a ^= everywhere
            if right & 1:
                b ^= everywhere
            value[node] = a & b
        return value

    def place(self, state: int) -> Place:
        """What holds in a state."""
        if state not in self.places:
            self.look_at([state])
        return self.places[state]

    def look_at(self, states: Iterable[int]) -> None:
        """Work out several states side by side, and those that follow when nothing is done."""
        fresh = [state for state in dict.fromkeys(states) if state not in self.places]
        if not fresh:
            return
        everywhere = (1 << len(fresh)) - 1
        pattern = dict.fromkeys(self._choices, 0)
        for index, node in enumerate(self._now):
            pattern[node] = sum(1 << lane for lane, state in enumerate(fresh) if state >> index & 1)
        value = self._worked_out(pattern, everywhere)
        holds = _columns([_held(value, one, everywhere) for one in self.literals], len(fresh))
        still = _columns([_held(value, bit.next, everywhere) for bit in self.bits], len(fresh))
        for state, held, onward in zip(fresh, holds, still, strict=True):
            self.places[state] = Place(state, held, onward)
        self.look_at(still)

    def after(self, state: int) -> list[tuple[int, bool]]:
        """The states one step further, each with whether inputs changed. Raises: Beyond."""
        if state not in self._after:
            self.go_on_from([state])
        return self._after[state]

    def go_on_from(self, wanted: Iterable[int]) -> None:
        """Work out the steps from several states side by side: a block of lanes for each."""
        states = [state for state in dict.fromkeys(wanted) if state not in self._after]
        if not states:
            return
        lanes, count = self._lanes, len(states)
        blocks = sum(1 << lanes * block for block in range(count))
        pattern = {node: lanes_of * blocks for node, lanes_of in self._pattern.items()}
        for index, node in enumerate(self._now):
            pattern[node] = self._all * sum(1 << lanes * k for k, state in enumerate(states) if state >> index & 1)
        everywhere = self._all * blocks
        value = self._worked_out(pattern, everywhere)
        allowed = everywhere
        for literal in self.step.steps:
            allowed &= _held(value, literal, everywhere)
        table = _columns([_held(value, bit.next, everywhere) for bit in self.bits], lanes * count)
        for block, state in enumerate(states):
            here = slice(lanes * block, lanes * (block + 1))
            self._after[state] = self._joined(state, table[here], allowed >> lanes * block & self._all)
        self.look_at(onward for state in states for onward, _ in self._after[state])

    def _joined(self, state: int, table: list[int], allowed: int) -> list[tuple[int, bool]]:
        """Every set of devices together, and every set of inputs: what one device does touches its own bits alone."""
        still = table[0]
        reached = {still}
        for lanes, own in self._devices:
            turns = {(still ^ table[lane]) & own for lane in range(lanes.start, lanes.stop) if allowed >> lane & 1}
            reached |= {one ^ turn for one in reached for turn in turns if turn}
            if len(reached) > MOST_TOGETHER:
                raise Beyond("too many devices can move at once")
        found = dict.fromkeys(reached - {state}, False)
        for lane in range(self._inputs_from, self._lanes):
            if allowed >> lane & 1 and table[lane] != still:
                found[table[lane]] = True
        return list(found.items())

    def starts(self) -> Iterator[int]:
        """The first states. Raises: Beyond."""
        fixed = sum(1 << index for index, bit in enumerate(self.bits) if bit.start)
        free = [index for index, bit in enumerate(self.bits) if bit.start is None]
        if len(free) > MOST_FREE:
            raise Beyond(f"{len(free)} inputs are free at the start")
        for setting in range(1 << len(free)):
            yield fixed | sum(1 << index for place, index in enumerate(free) if setting >> place & 1)

    def is_possible(self, place: Place) -> bool:
        """Whether everything holds that is assumed of states."""
        return all(self.holds(place, literal) for literal in self.step.always)

    def holds(self, place: Place, literal: int) -> bool:
        """Whether one of the literals looked at holds in a state."""
        return bool(place.holds >> self.index[literal] & 1)

    def as_names(self, state: int) -> dict[str, bool]:
        """The bits of a state by name."""
        return {bit.name: bool(state >> index & 1) for index, bit in enumerate(self.bits)}


def _held(value: dict[int, int], literal: int, everywhere: int) -> int:
    return value[literal >> 1] ^ (everywhere if literal & 1 else 0)


def _columns(rows: Sequence[int], count: int) -> list[int]:
    """Whole numbers turned on their side: number k has the bits k of the rows, that of the first row lowest."""
    import numpy as np

    size = (count + 7) // 8
    numbers = [0] * count
    for start in range(0, len(rows), 32):
        some = rows[start : start + 32]
        raw = np.frombuffer(b"".join(row.to_bytes(size, "little") for row in some), dtype=np.uint8)
        flags = np.unpackbits(raw.reshape(-1, size), axis=1, bitorder="little")[:, :count].astype(np.int64)
        weights = np.left_shift(np.int64(1), np.arange(len(some), dtype=np.int64))
        for lane, number in enumerate((weights @ flags).tolist()):
            numbers[lane] |= number << start
    return numbers
