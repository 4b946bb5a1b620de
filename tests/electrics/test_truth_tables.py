"""The condition of a coil as a truth table: the gates against all paths, compared by a solver for every position.

References: networkx (A. Hagberg, D. Schult, P. Swart, 2008) lists the paths from a coil to the rails; PySAT with
MiniSat (N. Een, N. Sorensson, An extensible SAT-solver, 2003) looks for a position in which the two differ.
"""

from __future__ import annotations

import random
from itertools import count

import networkx as nx
import pytest
from pysat.solvers import Minisat22

from panelwright.circuit import Circuit, nets_of
from panelwright.electrics import GateProgram, Network, compile_gates
from tests.electrics.families import bridged, mesh, reversing, sequence

MOST_PATHS = 3000  # of one coil to one rail


def graph_of(circuit: Circuit) -> nx.MultiGraph:
    """Nets joined by contacts."""
    net_of = {terminal: net.id for net in nets_of(circuit) for terminal in net.terminals}
    graph = nx.MultiGraph()
    for device in circuit.devices:
        for contact in device.contacts:
            ends = (net_of[f"{device.tag}.{mark}"] for mark in (contact.a, contact.b))
            graph.add_edge(*ends, key=f"{device.tag}.{contact.name}")
    return graph


class Tables:
    """Two descriptions of one circuit for one solver; contacts are inputs of both."""

    def __init__(self, circuit: Circuit, program: GateProgram) -> None:
        self.solver = Minisat22()
        self.fresh = count(1)
        self.inputs = {name: next(self.fresh) for name in program.gates.inputs}
        self.program = program
        self.graph = graph_of(circuit)
        self.false = next(self.fresh)
        self.solver.add_clause([-self.false])
        self.nodes = {0: self.false}
        self.nodes |= {
            node: self.inputs[name] for name, node in zip(program.gates.inputs, program.gates.input_nodes, strict=True)
        }
        for node, left, right in program.gates.walk():
            self.nodes[node] = self.all_of([self.of(left), self.of(right)])
        self.solver.add_clause([self.inputs["supply:G1"]])
        self.solver.add_clause([-self.of(program.short)])

    def of(self, literal: int) -> int:
        """Signed variable of a literal of the gates."""
        return -self.nodes[literal >> 1] if literal & 1 else self.nodes[literal >> 1]

    def all_of(self, parts: list[int]) -> int:
        """A variable for "all of these"."""
        whole = next(self.fresh)
        for part in parts:
            self.solver.add_clause([-whole, part])
        self.solver.add_clause([whole, *(-part for part in parts)])
        return whole

    def joined(self, net: str, rail: str) -> int:
        """A variable for "some path of closed contacts leads from the net to the rail"."""
        if net == rail:
            return -self.false
        if net not in self.graph or rail not in self.graph:
            return self.false
        paths = list(nx.all_simple_edge_paths(self.graph, net, rail))
        assert len(paths) <= MOST_PATHS
        closed = [self.all_of([self.inputs[contact] for _, _, contact in path]) for path in paths]
        return -self.all_of([-one for one in closed])

    def differ(self, load: str, a: str, b: str) -> bool:
        """Whether in some position the gates and the paths do not say the same of a load between two nets."""
        ways = [self.all_of([self.joined(a, x), self.joined(b, y)]) for x, y in (("+", "-"), ("-", "+"))]
        by_paths = -self.all_of([-way for way in ways])
        by_gates = self.of(self.program.full[load])
        return any(self.solver.solve([one, -other]) for one, other in ((by_gates, by_paths), (by_paths, by_gates)))


def differing(circuit: Circuit, program: GateProgram) -> list[str]:
    """The loads whose two truth tables are not equal."""
    net_of = {terminal: net.id for net in nets_of(circuit) for terminal in net.terminals}
    tables = Tables(circuit, program)
    loads = [(f"{device.tag}.{load.name}", device.tag, load) for device in circuit.devices for load in device.loads]
    try:
        return [
            name
            for name, tag, load in loads
            if tables.differ(name, net_of[f"{tag}.{load.a}"], net_of[f"{tag}.{load.b}"])
        ]
    finally:
        tables.solver.delete()


def circuits() -> list[Circuit]:
    """Panels, bridges and tangles small enough to list every path."""
    rng = random.Random(4)
    made = [reversing(3), sequence(6), *(bridged(4, 3, seed) for seed in range(6))]
    for seed in range(60):
        points = rng.randrange(2, 6)
        made.append(mesh(points, rng.randrange(2, 3 * points), rng.randrange(1, 6), seed))
    return made


@pytest.mark.parametrize("part", range(4))
def test_truth_tables_of_gates_are_those_of_all_paths(part: int) -> None:
    """No position of the contacts, short of a dead short, tells a load's gates from its paths."""
    for circuit in circuits()[part::4]:
        assert [] == differing(circuit, compile_gates(Network(circuit)))


def test_a_table_with_one_gate_turned_round_is_noticed() -> None:
    """One coil with the condition of another."""
    circuit = sequence(3)
    program = compile_gates(Network(circuit))
    program.full["K1.coil"] = program.full["K2.coil"]

    assert differing(circuit, program) == ["K1.coil"]
