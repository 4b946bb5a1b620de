"""Questions about every way in which the devices can stand, answered by a SAT solver.

A *standing* is one setting of all devices. It is *settled* when nothing wants to move: every relay is in exactly when
its coil has what it works with. Latching devices may stand either way, and so may timed contacts of a timer that is
in. Coils with neither full nor no volts may do either, which makes an answer "impossible" safe and an answer "possible"
one to be confirmed by the electrical solution.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from itertools import count
from typing import Any

from ..circuit import Circuit, Load
from .device_gates import compile_device_gates, position_input, timed_input
from .gate_program import GateProgram
from .gates import FALSE, TRUE
from .network import Network
from .positions import DeviceState, Position, position_of

MOST_KEPT = 200  # standings kept to answer further questions from
FOLLOWS_ITS_COIL = ("relay", "on-delay", "interval", "flasher", "star-delta")


class Standings:
    """All standings of one circuit; the tables of its gate program hold the literals to ask for."""

    def __init__(self, network: Network, *, switched_on: bool = False) -> None:
        """`switched_on`: only standings with every supply on and every disconnect and breaker closed."""
        self.network = network
        self.switched_on = switched_on
        self.circuit: Circuit = network.circuit
        self.program: GateProgram = compile_device_gates(network)
        self._inputs = dict(zip(self.program.gates.inputs, self.program.gates.input_nodes, strict=True))
        self._seen: dict[bool, list[frozenset[int]]] = {True: [], False: []}  # what was true in standings found before
        self._fresh = count(len(self.program.gates.left) + 2)

    def input(self, name: str) -> int | None:
        """Literal of an input, None when nothing depends on it."""
        node = self._inputs.get(name)
        return None if node is None else 2 * node

    @cached_property
    def _solvers(self) -> dict[bool, Any]:
        return {settled: self._solver(settled) for settled in (True, False)}

    def _solver(self, settled: bool) -> Any:
        from pysat.solvers import Glucose4

        solver = Glucose4(bootstrap_with=list(self._clauses(settled)))
        # one standing with much going on answers many questions
        solver.set_phases([self._variable(one) for one in self.program.full.values() if one not in (FALSE, TRUE)])
        return solver

    def _clauses(self, settled: bool) -> Iterator[list[int]]:
        """The gates as clauses: variable n + 1 is node n; the first one is the constant, held at true."""
        yield [1]
        for node, left, right in self.program.gates.walk():
            out, a, b = self._variable(2 * node), self._variable(left), self._variable(right)
            yield from ([-out, a], [-out, b], [out, -a, -b])
        for literal in self._always():
            yield [self._variable(literal)]
        if settled:
            yield from self._settled_clauses()

    def _always(self) -> Iterator[int]:
        if self.switched_on:
            tags = [d.tag for d in self.circuit.devices if d.mechanism.sort == "switch"]
            for name in (*tags, *(f"supply:{device.tag}" for device, _ in self.circuit.supplies)):
                literal = self.input(name)
                if literal is not None:
                    yield literal

    def _variable(self, literal: int) -> int:
        if literal in (FALSE, TRUE):
            return -1 if literal == FALSE else 1
        number = (literal >> 1) + 1
        return -number if literal & 1 else number

    def _settled_clauses(self) -> Iterable[list[int]]:
        for device in self.circuit.devices:
            if device.mechanism.sort not in FOLLOWS_ITS_COIL:
                continue
            coils = [f"{device.tag}.{p.name}" for p in device.parts if isinstance(p, Load) and p.drives == "coil"]
            state = self.input(device.tag)
            timed = self.input(timed_input(device.tag))
            if state is not None and coils:
                full = [self._variable(self.program.full[coil]) for coil in coils if coil in self.program.full]
                may = [self._variable(self.program.may[coil]) for coil in coils if coil in self.program.may]
                if full:
                    yield from ([-one, self._variable(state)] for one in full)
                    yield [-self._variable(state), *may]
            if timed is not None and coils and device.mechanism.sort == "on-delay":
                yield [-self._variable(timed), *(self._variable(self.program.may[c]) for c in coils)]

    def find(self, wanted: Iterable[int], *, settled: bool = True) -> dict[str, bool] | None:
        """A standing in which every one of the literals holds, as inputs by name; None when there is none."""
        held = self._solved([self._variable(literal) for literal in wanted], settled)
        return None if held is None else self._named(held)

    def can(self, wanted: Iterable[int], *, settled: bool = True) -> bool:
        """Whether there is a standing in which every one of the literals holds; quick where one was met before."""
        variables = [self._variable(literal) for literal in wanted]
        for held in self._seen[settled]:
            if all((v in held) if v > 0 else (-v not in held) for v in variables):
                return True
        found = self._solved(variables, settled)
        if found is not None and len(self._seen[settled]) < MOST_KEPT:
            self._seen[settled].append(found)
        return found is not None

    def _solved(self, variables: list[int], settled: bool) -> frozenset[int] | None:
        """What is true in a standing with these variables."""
        if -1 in variables:
            return None
        solver = self._solvers[settled]
        return frozenset(v for v in solver.get_model() if v > 0) if solver.solve(assumptions=variables) else None

    def _named(self, held: frozenset[int]) -> dict[str, bool]:
        return {name: node + 1 in held for name, node in self._inputs.items()}

    def each(self, wanted: Iterable[int], most: int) -> Iterator[dict[str, bool]]:
        """At most `most` settled standings in which the literals hold, different in the devices they depend on."""
        literals = list(wanted)
        numbers = [self._inputs[name] + 1 for name in self.program.gates.inputs_of(literals) if name in self._inputs]
        guard = next(self._fresh)
        variables = [guard, *(self._variable(one) for one in literals)]
        while most > 0 and (held := self._solved(variables, settled=True)) is not None:
            yield self._named(held)
            self._solvers[True].add_clause([-guard, *(-v if v in held else v for v in numbers)])
            most -= 1

    def most(self, weights: Mapping[str, float], *, settled: bool = True) -> frozenset[str]:
        """The loads that are full in the standing in which their weights sum up to the most.

        `weights`: by element id, in any unit. `settled`: only where nothing wants to move. Exact (maximum
        satisfiability).
        """
        from pysat.examples.rc2 import RC2
        from pysat.formula import WCNF

        formula = WCNF()
        for clause in self._clauses(settled):
            formula.append(clause)
        for element, weight in weights.items():
            if weight > 0 and self.program.full[element] != FALSE:
                formula.append([self._variable(self.program.full[element])], weight=max(1, round(weight * 1000)))
        with RC2(formula) as search:
            model = set(search.compute() or ())
        return frozenset(e for e in weights if self._variable(self.program.full[e]) in model)

    def states(self, found: Mapping[str, bool]) -> dict[str, DeviceState]:
        """The device states of a standing."""
        states: dict[str, DeviceState] = {}
        for device in self.circuit.devices:
            tag = device.tag
            stage = "operated" if found.get(tag, False) else "rest"
            timed = "operated" if found.get(timed_input(tag), False) else "rest"
            at = device.mechanism.start
            for position in device.mechanism.positions:
                at = position
                if found.get(position_input(tag, position), False):
                    break
            states[tag] = DeviceState(stage, timed, at, on=found.get(f"supply:{tag}", True))  # type: ignore[arg-type]
        return states

    def position(self, found: Mapping[str, bool]) -> Position:
        """The contact position of a standing, for the electrical solution."""
        return position_of(self.circuit, self.states(found))

    def told(self, found: Mapping[str, bool]) -> str:
        """The standing in words, only what differs from rest ("S2 pressed, K1 in")."""
        words = {"push": "pressed", "latched push": "pressed", "field": "made", "trip": "tripped", "switch": "on"}
        said: list[str] = []
        states = self.states(found)
        for device in self.circuit.devices:
            state = states[device.tag]
            sort = device.mechanism.sort
            if state.at and state.at != device.mechanism.start and device.mechanism.positions:
                said.append(f"{device.tag} at {state.at}")
            elif sort == "switch":
                if state.stage == "rest" and self.input(device.tag) is not None:
                    said.append(f"{device.tag} off")
            elif state.stage == "operated":
                said.append(f"{device.tag} {words.get(sort, 'in')}")
        return ", ".join(said) or "everything at rest"
