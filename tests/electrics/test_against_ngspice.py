"""Our volts and amps against ngspice, a general circuit simulator (Debian package ngspice)."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from panelwright.circuit import Circuit, Contact
from panelwright.electrics import Network, Position, Solution
from tests.electrics.ngspice import Deck, deck_name, deck_of, node_names, run
from tests.electrics.tangles import tangles

AGREES = 1e-6  # of the highest volts or amps of the circuit
Case = tuple[Circuit, frozenset[str]]


def frequencies(circuit: Circuit) -> list[float]:
    """Every frequency of the supplies, dc as 0."""
    return sorted({source.hertz if source.current == "ac" else 0.0 for _, source in circuit.supplies})


def part_at(level: object, hertz: float) -> complex:
    """The phasor of a level at one frequency."""
    return dict(level.ac).get(hertz, 0j) if hertz else complex(level.dc)  # type: ignore[attr-defined]


def in_loops(circuit: Circuit, deck: Deck) -> set[str]:
    """Closed contacts in a loop of contacts and ideal sources.

    How such a loop shares its amps hangs on resistances that nobody knows; the referee loses them to rounding.
    """
    names = node_names(circuit)
    graph = nx.MultiGraph()
    for element, (device, part) in circuit.elements.items():
        if isinstance(part, Contact) and f"i(Vm{deck_name(element)})" in deck.amps:
            graph.add_edge(names[f"{device.tag}.{part.a}"], names[f"{device.tag}.{part.b}"], element)
    for line in deck.lines:
        if line[0] == "V" and line[1] != "m":
            graph.add_edge(*line.split()[1:3])
    bridges = {frozenset(ends) for ends in nx.bridges(nx.Graph(graph))}
    edges = list(graph.edges(keys=True))
    return {e for a, b, e in edges if frozenset((a, b)) not in bridges or graph.number_of_edges(a, b) > 1}


def compare(circuit: Circuit, solution: Solution, deck: Deck, values: dict[str, complex]) -> int:
    """Compare every defined difference of volts, and the amps of every resistance and closed contact."""
    names = node_names(circuit)
    supply_v = max(abs(source.volts) for _, source in circuit.supplies)
    references: list[str] = ["earth"]
    compared = 0
    for terminal, node in names.items():
        if node != "0" and node not in values:
            continue  # nothing but open contacts
        reference = next((r for r in references if not solution.volts(terminal, r).floating), None)
        if reference is None:
            references.append(terminal)
            continue
        there = 0.0 if reference == "earth" else values.get(names[reference], 0.0)
        ours = part_at(solution.volts(terminal, reference), deck.hertz)
        assert abs(ours - (values.get(node, 0.0) - there)) <= AGREES * supply_v, (
            f"{terminal} to {reference} at {deck.hertz} Hz: {ours} V against {values.get(node, 0.0) - there} V"
        )
        compared += 1
    printed = {element: f"i(vm{deck_name(element)})" for element in circuit.elements}
    loops = in_loops(circuit, deck)
    theirs = {e: values[name] for e, name in printed.items() if name in values and e not in loops}
    most = max([abs(amps) for amps in theirs.values()] + [supply_v / 1000])
    for element, amps in theirs.items():
        ours = part_at(solution.amps(element), deck.hertz)
        assert abs(ours - amps) <= AGREES * most, f"{element} at {deck.hertz} Hz: {ours} A against {amps} A"
    return compared + len(theirs)


def compare_all(cases: Iterable[Case]) -> int:
    """One ngspice process for all cases; positions with a dead short are left out (they have no volts to compare)."""
    decks: list[Deck] = []
    solved: list[tuple[Circuit, Solution, int]] = []
    for circuit, closed in cases:
        solution = Network(circuit).solve(Position(closed))
        if not solution.shorts:
            for hertz in frequencies(circuit):
                solved.append((circuit, solution, len(decks)))
                decks.append(deck_of(circuit, closed, hertz))
    values = run(decks) if decks else []
    return sum(compare(circuit, solution, decks[at], values[at]) for circuit, solution, at in solved)


def many(networks: int) -> st.SearchStrategy[Batch]:
    """A batch for one process."""
    return st.lists(tangles(), min_size=networks, max_size=networks).map(Batch)


class Batch(list[Case]):
    """Cases that print short."""

    def __repr__(self) -> str:
        return f"a batch of {len(self)} networks"


# no shrinking: each try costs a process, and a failing batch names the terminal that differs
SLOW = settings(
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.generate],
    report_multiple_bugs=False,
    suppress_health_check=list(HealthCheck),
)


@settings(SLOW, max_examples=6)
@given(many(12))
def test_volts_and_amps_equal_ngspice(cases: Batch) -> None:
    """Bridges, back paths, several supplies on one rail, floating sections, ac and dc at once, three phases."""
    compare_all(cases)


@pytest.mark.long
@settings(SLOW, max_examples=60)
@given(many(40))
def test_volts_and_amps_equal_ngspice_at_length(cases: Batch) -> None:
    """The same over some thousand networks."""
    compare_all(cases)


DIODES_AGREE_V = 0.04  # the knee of the referee's diode moves that much between 1 mA and 1 A


def idle_diodes(solution: Solution) -> int:
    """How many diodes pass on volts and no amps."""
    settling = solution._settling
    return sum(
        abs(settling.branch_amps(0.0)[valve]) < 1e-9 for valve in settling.valves if valve in settling.conducting
    )


def batch_with_diodes(networks: int) -> st.SearchStrategy[Batch]:
    """The same on one dc supply, with diodes anywhere."""
    return st.lists(tangles(diodes=True), min_size=networks, max_size=networks).map(Batch)


@settings(SLOW, max_examples=2)
@given(batch_with_diodes(25))
def test_diodes_equal_ngspice(cases: Batch) -> None:
    """Diodes in two straight lines against the referee's, made nearly as straight: blocking and conducting."""
    solutions = [(circuit, closed, Network(circuit).solve(Position(closed))) for circuit, closed in cases]
    solutions = [case for case in solutions if not case[2].shorts]
    values = run([deck_of(circuit, closed) for circuit, closed, _ in solutions], strict=False)
    for (circuit, _, solution), volts in zip(solutions, values, strict=True):
        names = node_names(circuit)
        if idle_diodes(solution):
            continue  # without current a diode drops anything up to its rated volts
        for terminal, node in names.items():
            if node in volts and not solution.volts(terminal).floating:
                assert abs(solution.volts(terminal).dc - volts[node]) <= DIODES_AGREE_V, (
                    f"{terminal}: {solution.volts(terminal).dc} V against {volts[node]} V"
                )

    assert sum(map(bool, values)) >= 0.9 * len(values)
