"""Doubts about loads decided by their volts, for every position in which they come about.

What a load *may* get is a literal over every way that current could creep: a lamp behind a diode, a coil in series
with a lamp, half a panel with a touch to earth. Position by position the electrical solution says what it really
gets, each time for all positions at once that differ only in contacts which do not matter to its volts there. The
gates then say what the volts say, and only what really has part of its volts stays in doubt. So with points that
volts creep to through loads.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from ...circuit import Contact, Fuse, nets_of
from ...electrics import Position, Solution
from ...electrics.gates import FALSE, GateBuilder, Gates
from ..state import PanelState
from .panel import Panel
from .plain_loads import Positions

MOST_POSITIONS = 600  # solved for one load or point
MOST_IN_ALL = 4000  # solved for the loads of one panel together
CYCLE = 10  # positions that one counts for in which a whole cycle of ac has to be solved
Cube = Mapping[str, bool]  # inputs of the gate program that stand so


class TooManyPositions(Exception):
    """A load, by element id, or a point may get part of the volts in more positions than are worked out."""

    def __init__(self, place: str) -> None:
        super().__init__(f"{place} may get part of the volts in too many positions to work them all out")
        self.place = place


def decide_loads(panel: Panel, loads: Iterable[str] | None = None) -> None:
    """Let the gates of a panel say what the volts say of these loads, or of all; as far as they are not too many."""
    program = panel.program
    wanted = program.full if loads is None else [load for load in loads if load in program.full]
    known = panel.decided | panel.given_up
    doubted = [load for load in wanted if load not in known and panel.may_be_half_fed(load)]
    if not doubted:
        return
    deciding = _Deciding(panel)
    full, may = dict(program.full), dict(program.may)
    try:
        for load in doubted:
            try:
                full[load], may[load] = deciding.load(load)
            except TooManyPositions:
                if deciding.left > 0:  # it is this load that is too many, not all together
                    panel.given_up.add(load)
                continue
            panel.decided.add(load)
    finally:
        deciding.positions.solver.delete()
    panel.take(replace(program, gates=Gates.of(deciding.gates), full=full, may=may))


def live_literal(panel: Panel, place: str) -> int:
    """Literal of the gate program: a point ("@4") or a rail is live. Raises: TooManyPositions."""
    if place not in panel.live_at:
        terminal = _terminal_at(panel, place)
        panel.live_at[place] = _decided_point(panel, place, terminal) if terminal else FALSE
    return panel.live_at[place]


def _terminal_at(panel: Panel, place: str) -> str:
    """A terminal that is joined to a point or a rail; "" for one that nothing is wired to."""
    point = place.removeprefix("@")
    return next((net.terminals[0] for net in nets_of(panel.circuit) if point in net.points or place in net.rails), "")


def _decided_point(panel: Panel, place: str, terminal: str) -> int:
    deciding = _Deciding(panel)
    try:
        literal = deciding.point(place, terminal)
    finally:
        deciding.positions.solver.delete()
    panel.take(replace(panel.program, gates=Gates.of(deciding.gates)))
    return literal


class _Deciding:
    """Doubts of one panel, one load after the other."""

    def __init__(self, panel: Panel) -> None:
        self.panel, self.program = panel, panel.program
        self.gates = GateBuilder.on_top_of(panel.program.gates)
        self.positions = Positions(panel.program)
        self.left = MOST_IN_ALL

    def load(self, load: str) -> tuple[int, int]:
        """`full` and `may` of a load. Raises: TooManyPositions."""
        g, full, may = self.gates, self.program.full[load], self.program.may[load]
        by_verdict: dict[str, list[Cube]] = {"full": [], "none": [], "partial": []}
        for cube, _, solution in self._worked_out(load, [[may], [full ^ 1]]):
            by_verdict[solution.load(load).verdict].append(cube)
        works, rests = (self._any_of(by_verdict[verdict]) for verdict in ("full", "none"))
        surely = g.or_(full, g.and_(may, works))
        if not by_verdict["partial"] and not self._can_hold([may, full ^ 1, self.program.short]):
            return surely, surely
        return surely, g.or_(surely, g.and_(may, rests ^ 1))

    def _can_hold(self, literals: Iterable[int]) -> bool:
        """Whether there is a position in which all of these hold."""
        return bool(self.positions.solver.solve([self.positions.variable(one) for one in literals]))

    def point(self, place: str, terminal: str) -> int:
        """A point or rail is joined to a live rail that is not earthed, or volts creep to it."""
        g, program, panel = self.gates, self.program, self.panel
        joined, clauses, creeps = FALSE, [], []
        for rail, tags in panel.rails_not_earthed().items():
            for tag in tags:
                clauses.append([program.joined[terminal][rail] ^ 1, program.live[tag] ^ 1])
                joined = g.or_(joined, g.and_(program.joined[terminal][rail], program.live[tag]))
            creeps.append(program.reach[terminal][rail])
        live = [
            cube
            for cube, position, solution in self._worked_out(place, [creeps, *clauses])
            if PanelState(0.0, panel.circuit, panel.network, {}, position, solution).is_live(place)
        ]
        return g.or_(joined, g.and_(g.any_of(creeps), self._any_of(live)))

    def _any_of(self, cubes: Iterable[Cube]) -> int:
        g = self.gates
        return g.any_of(g.all_of(g.input(name) ^ (not value) for name, value in cube.items()) for cube in cubes)

    def _worked_out(self, place: str, doubtful: Iterable[list[int]]) -> list[tuple[Cube, Position, Solution]]:
        """Positions with what the volts are in them, until all are told in which clauses over the program hold and no
        supply is shorted.
        """
        positions, panel = self.positions, self.panel
        guard = positions.fresh()
        for clause in (*doubtful, [self.program.short ^ 1]):
            positions.solver.add_clause([-guard, *(positions.variable(one) for one in clause)])
        found: list[tuple[Cube, Position, Solution]] = []
        room = MOST_POSITIONS
        while positions.solver.solve([guard]):
            if room <= 0 or self.left <= 0:
                raise TooManyPositions(place)
            held = positions.held()
            position = position_at(panel, held)
            cube = panel.explained(place, position, held)
            solution = panel.network.solve(position)
            found.append((cube, position, solution))
            cost = CYCLE if solution.is_rectified else 1
            room, self.left = room - cost, self.left - cost
            positions.leave_out(cube, guard)
        return found


def position_at(panel: Panel, held: Cube) -> Position:
    """The contact position for inputs of the gate program, all of them."""
    closed: list[str] = []
    blown: list[str] = []
    for element, (device, part) in panel.circuit.elements.items():
        if isinstance(part, Contact) and panel.conducts(device.tag, part, held):
            closed.append(element)
        elif isinstance(part, Fuse) and device.mechanism.sort == "switch" and not held.get(device.tag, False):
            blown.append(element)
    off = (device.tag for device, _ in panel.circuit.supplies if not held.get(f"supply:{device.tag}", False))
    return Position(frozenset(closed), frozenset(blown), frozenset(off))
