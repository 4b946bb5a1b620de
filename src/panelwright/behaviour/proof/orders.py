"""All orders in which devices can move from one state, nothing being touched: where they end, and whether alike."""

from __future__ import annotations

import random
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from ...electrics.gates import Gates
from .race_model import RaceCone
from .unknowns import Unknowns
from .unrolling import Course

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Words = NDArray[np.uint64]

MOST_ORDERS = 4000  # states on the way from one moment to all ends
LANES = 64  # orders drawn by lot where there are more
STEPS_EACH = 4  # of these, for each arm
State = dict[str, bool]
Mover = tuple[int, ...]  # rows of the choices that one mover needs to be true


@dataclass(frozen=True, slots=True)
class TwoEnds:
    """Two courses from one state that end differently; `tags`: the devices that do."""

    one: Course
    other: Course
    tags: tuple[str, ...]


class TooManyOrders(Exception):
    """More states on the way than are gone through."""


class Orders:
    """All orders in which devices can move from one state. States are rows of flags, one a bit of the model."""

    def __init__(self, cone: RaceCone, waived: Collection[str] = ()) -> None:
        """`waived`: devices that may stand either way in the end."""
        self.cone = cone
        self.restless = [cone.restless(arm) for arm in cone.arms]
        self.bits = cone.model.bits
        self.gates = Gates.of(cone.model.gates)
        self.rows = {name: row for row, name in enumerate(self.gates.inputs)}
        row_of_node = {node: row for row, node in enumerate(self.gates.input_nodes)}
        self.bit_rows = [row_of_node[bit.now >> 1] for bit in self.bits]
        self.negated = [bool(bit.now & 1) for bit in self.bits]
        self.place = {bit.name: at for at, bit in enumerate(self.bits)}
        self.stands = {arm.name: self.place[arm.name] for arm in cone.arms if arm.tag not in waived}
        self.movers = [list(self._ways(at)) for at in range(len(cone.arms))]

    def _ways(self, at: int) -> Iterator[tuple[Mover, Mover]]:
        """The choices with which an arm moves, and what they need besides where its time is over."""
        arm = self.cone.arms[at]
        over = (self.rows[f"?runs out {arm.tag}"],) if arm.arm == ":timed" else ()
        yield (self.rows[f"?move {arm.name}"],), over
        if f"?arrives {arm.name}" in self.rows:
            yield (self.rows[f"?move {arm.name}"], self.rows[f"?arrives {arm.name}"]), over

    # ---- one step
    def words(self, states: Flags, chosen: Sequence[Mover], wanted: Sequence[int]) -> Flags:
        """Values of literals, shape (states, wanted); `chosen`: the choices made in each state."""
        import numpy as np

        count = len(states)
        columns = np.zeros((len(self.gates.inputs), -count % 64 + count), dtype=bool)
        columns[self.bit_rows, :count] = states.T ^ np.array(self.negated)[:, None]
        for column, rows in enumerate(chosen):
            columns[list(rows), column] = True
        words = np.packbits(columns, axis=1, bitorder="little").view(np.uint64)
        found = self.gates.words(words, wanted)
        values = np.unpackbits(np.ascontiguousarray(found).view(np.uint8), axis=1, bitorder="little")
        return values[:, :count].T.astype(bool)

    def movers_in(self, states: Flags) -> list[list[Mover]]:
        """For each state what can move by itself, one way of moving after the other."""
        restless = self.words(states, [()] * len(states), self.restless)
        return [[*self._hands(state), *self._arms(state, moves)] for state, moves in zip(states, restless, strict=True)]

    def _arms(self, state: Flags, moves: Flags) -> Iterator[Mover]:
        for at in moves.nonzero()[0].tolist():
            sent_in = self.place.get(f"{self.cone.arms[at].name} sent in")
            for rows, over in self.movers[at]:
                yield rows + over if sent_in is not None and state[sent_in] else rows

    def _hands(self, state: Flags) -> Iterator[Mover]:
        for tag in self.cone.slow_hands:
            if not state[self.place[tag]] and not state[self.place[f"{tag}:rest"]]:
                toward = () if state[self.place[f"{tag} came from in"]] else (self.rows[f"?toward {tag}"],)
                yield (self.rows[f"?change {tag}"], *toward)

    def after(self, states: Flags, chosen: Sequence[Mover]) -> Flags:
        """The states after a step in which these choices are made."""
        return self.words(states, chosen, [bit.next for bit in self.bits])

    # ---- all orders
    def two_ends(self, start: State) -> TwoEnds | None:
        """Two courses with different ends; None when all orders meet. Raises TooManyOrders."""
        import numpy as np

        frontier = np.array([[start[bit.name] for bit in self.bits]])
        came: dict[bytes, bytes | None] = {frontier[0].tobytes(): None}
        first: Flags | None = None  # end
        stands = list(self.stands.values())
        steps: list[tuple[bytes, bytes]] = []
        while len(frontier):
            before, following, stays = self._level(frontier)
            for end in frontier[stays]:
                if first is not None and (first[stands] != end[stands]).any():
                    return self._told(came, first, end)
                first = end if first is None else first
            fresh: list[Flags] = []
            for at, there in zip(before, following, strict=True):
                key = there.tobytes()
                steps.append((frontier[at].tobytes(), key))
                if key not in came:
                    came[key] = frontier[at].tobytes()
                    fresh.append(there)
            if len(came) > MOST_ORDERS:
                raise TooManyOrders("too many orders")
            frontier = np.array(fresh)
        self.seen = np.array([np.frombuffer(key, dtype=bool) for key in came])
        found = self._groups_differ(_last_groups(list(came), steps), stands)
        return self._told(came, *found) if found else None

    def _groups_differ(self, groups: list[list[int]], stands: list[int]) -> tuple[Flags, Flags] | None:
        """A state in one group and one in another that stand as none in the first does; things may move for ever."""
        first = {self.seen[at][stands].tobytes() for at in groups[0]}
        for at in (at for group in groups[1:] for at in group):
            if self.seen[at][stands].tobytes() not in first:
                return self.seen[groups[0][0]], self.seen[at]
        return None

    def _level(self, frontier: Flags) -> tuple[list[int], Flags, Flags]:
        """Every step from some states: from which, to where; and which states nothing leads out of."""
        import numpy as np

        before: list[int] = []
        chosen: list[Mover] = []
        for at, movers in enumerate(self.movers_in(frontier)):
            together = [tuple(row for mover in movers for row in mover)] if movers else []
            before += [at] * (len(movers) + len(together))
            chosen += [*movers, *together]
        following = self.after(frontier[before], chosen) if before else frontier[:0]
        changes = (following != frontier[before]).any(axis=1)
        stays = np.ones(len(frontier), dtype=bool)
        stays[[at for at, change in zip(before, changes.tolist(), strict=True) if change]] = False
        return before, following, stays

    def meeting(self) -> frozenset[str]:
        """After `two_ends` has found none: the bits that decided where things went, by name."""
        moved = [bit for bit, column in zip(self.bits, self.seen.T, strict=True) if column.any() != column.all()]
        arms = {arm.tag for arm in self.cone.arms} & {bit.tag for bit in moved}
        wants = [arm.want for arm in self.cone.arms if arm.tag in arms]
        nodes = self.gates.cone([*wants, *(bit.next for bit in moved)])
        return frozenset(bit.name for bit in self.bits if bit in moved or bit.now >> 1 in nodes)

    # ---- some orders, drawn by lot
    def two_ends_by_lot(self, start: State) -> TwoEnds | None:
        """Two courses that some device comes out of differently, for good; None says nothing.

        What else moves may go on moving: what surely stays as it is has come to its end.
        """
        import numpy as np

        rng = random.Random(1)
        history = [np.repeat(np.array([[start[bit.name] for bit in self.bits]]), LANES, axis=0)]
        for step in range(1, STEPS_EACH * len(self.cone.arms)):
            movers = self.movers_in(history[-1])
            history.append(self.after(history[-1], [rng.choice(some) if some else () for some in movers]))
            if step & (step - 1) == 0 or not any(movers):
                found = self._parted(history)
                if found is not None or not any(movers):
                    return found
        return None

    def _parted(self, history: list[Flags]) -> TwoEnds | None:
        """Two lanes in which a device stands differently and surely stays so."""
        import numpy as np

        lanes = history[-1]
        moving = [{arm.name for arm in self._unknowns.spread(lane, ()).moving} for lane in lanes]
        for name, at in self.stands.items():
            stays = [lane for lane in range(LANES) if name not in moving[lane]]
            values = lanes[stays, at]
            if len(stays) and values.any() and not values.all():
                one, other = stays[int(np.argmax(~values))], stays[int(np.argmax(values))]
                first, second = ([self.state(row[lane]) for row in history[1:]] for lane in (one, other))
                here = {arm.tag for arm in self.cone.arms if arm.name not in moving[one] | moving[other]}
                tags = [tag for tag in self._tags(lanes[one], lanes[other]) if tag in here]
                return TwoEnds(first, second, tuple(tags))
        return None

    @cached_property
    def _unknowns(self) -> Unknowns:
        return Unknowns(self.cone)

    # ---- telling
    def _told(self, came: Mapping[bytes, bytes | None], one: Flags, other: Flags) -> TwoEnds:
        return TwoEnds(self._course(came, one), self._course(came, other), self._tags(one, other))

    def _tags(self, one: Flags, other: Flags) -> tuple[str, ...]:
        """The devices that do not stand alike."""
        return tuple(
            sorted({arm.tag for arm in self.cone.arms if one[self.place[arm.name]] != other[self.place[arm.name]]})
        )

    def _course(self, came: Mapping[bytes, bytes | None], end: Flags) -> Course:
        import numpy as np

        course: Course = []
        key: bytes | None = end.tobytes()
        while key is not None:
            course.insert(0, self.state(np.frombuffer(key, dtype=bool)))
            key = came[key]
        return course[1:]

    def state(self, row: Flags) -> State:
        """One state as bits by name."""
        return dict(zip((bit.name for bit in self.bits), row.tolist(), strict=True))


def _last_groups(keys: Sequence[bytes], steps: Iterable[tuple[bytes, bytes]]) -> list[list[int]]:
    """The groups of states that nothing leads out of, as places among `keys`: ends, or movement without end."""
    import networkx as nx

    place = {key: at for at, key in enumerate(keys)}
    graph = nx.DiGraph()
    graph.add_nodes_from(place.values())
    graph.add_edges_from((place[before], place[after]) for before, after in steps)
    groups = nx.strongly_connected_components(graph)
    return [sorted(group) for group in groups if all(there in group for here in group for there in graph[here])]
