"""The gate program against a walk over closed contacts, against the solver, and its evaluators against one another."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from panelwright.circuit import Circuit, nets_of
from panelwright.electrics import GateProgram, Joined, Network, Position, WireOpened, compile_gates
from tests.electrics.families import bridged, mesh, random_closed, reversing, sequence
from tests.electrics.reading import on_the_bench
from tests.electrics.tangles import tangles


def walk_from(circuit: Circuit, rail: str, closed: frozenset[str]) -> set[str]:
    """Nets that closed contacts join to a rail: a plain breadth-first walk, written apart from the program."""
    net_of = {terminal: net.id for net in nets_of(circuit) for terminal in net.terminals}
    near: dict[str, list[str]] = {}
    for device in circuit.devices:
        for contact in device.contacts:
            if f"{device.tag}.{contact.name}" in closed:
                a, b = net_of[f"{device.tag}.{contact.a}"], net_of[f"{device.tag}.{contact.b}"]
                near.setdefault(a, []).append(b)
                near.setdefault(b, []).append(a)
    reached, waiting = {rail}, [rail]
    while waiting:
        for other in near.get(waiting.pop(0), ()):
            if other not in reached:
                reached.add(other)
                waiting.append(other)
    return reached


def walked(circuit: Circuit, closed: frozenset[str]) -> tuple[bool, dict[str, bool]]:
    """Whether the supply is shorted, and which loads stand between the two rails."""
    plus, minus = walk_from(circuit, "+", closed), walk_from(circuit, "-", closed)
    net_of = {terminal: net.id for net in nets_of(circuit) for terminal in net.terminals}
    loads = {}
    for device in circuit.devices:
        for load in device.loads:
            a, b = net_of[f"{device.tag}.{load.a}"], net_of[f"{device.tag}.{load.b}"]
            loads[f"{device.tag}.{load.name}"] = (a in plus and b in minus) or (a in minus and b in plus)
    return bool(plus & minus), loads


def compare_with_walk(circuit: Circuit, positions: int, rng: random.Random) -> int:
    """Compare every load in random positions; returns how many load values were compared."""
    program = compile_gates(Network(circuit))
    closed = [random_closed(circuit, rng, rng.choice((0.2, 0.5, 0.8))) for _ in range(positions)]
    words = as_words(program, [held | {"supply:G1"} for held in closed])
    wanted = [program.short, *program.full.values()]
    got = np.unpackbits(program.gates.words(words, wanted).view(np.uint8), axis=1, bitorder="little")
    compared = 0
    for lane, held in enumerate(closed):
        shorted, loads = walked(circuit, held)
        assert bool(got[0, lane]) == shorted
        if not shorted:
            assert dict(zip(program.full, map(bool, got[1:, lane]), strict=True)) == loads
            compared += len(loads)
    return compared


def as_words(program: GateProgram, settings: list[frozenset[str]]) -> np.ndarray:
    """Settings of the inputs as rows of words, 64 settings in a word."""
    bits = np.array([[name in held for held in settings] for name in program.gates.inputs], np.uint8)
    lanes = -(-len(settings) // 64) * 64
    padded = np.zeros((len(bits), lanes), np.uint8)
    padded[:, : len(settings)] = bits
    return np.packbits(padded, axis=1, bitorder="little").view(np.uint64)


def circuits(count: int, rng: random.Random) -> list[Circuit]:
    """Panels and tangles of many sizes."""
    made = [reversing(6), sequence(20)]
    for _ in range(count):
        size = rng.randrange(3, 12)
        made.append(bridged(size, rng.randrange(6), rng.randrange(10**9)))
        points = rng.randrange(2, 14)
        made.append(mesh(points, rng.randrange(2, 3 * points), rng.randrange(1, 20), rng.randrange(10**9)))
    return made


def test_full_volts_equal_a_breadth_first_walk() -> None:
    """50,000 load values: joined to both rails exactly when a walk over the closed contacts finds both."""
    rng = random.Random(11)
    compared = sum(compare_with_walk(circuit, 256, rng) for circuit in circuits(25, rng))

    assert compared >= 50_000


@pytest.mark.long
def test_a_million_load_values_equal_a_breadth_first_walk() -> None:
    """The same at length."""
    rng = random.Random(12)
    compared = 0
    while compared < 1_000_000:
        compared += sum(compare_with_walk(circuit, 640, rng) for circuit in circuits(20, rng))

    assert compared >= 1_000_000


def test_none_and_full_are_what_the_solver_finds() -> None:
    """Without a short: full by gates has full volts, none by gates has none; only partial is left open."""
    rng = random.Random(5)
    partial = 0
    for circuit in circuits(12, rng):
        network = Network(circuit)
        program = compile_gates(network)
        for _ in range(20):
            closed = random_closed(circuit, rng)
            solution = network.solve(Position(closed))
            if solution.shorts:
                continue
            for load, verdict in program.verdicts(closed | {"supply:G1"}).items():
                partial += verdict == "partial"
                if verdict != "partial":
                    assert (load, solution.load(load).verdict) == (load, verdict)

    assert partial > 0


def test_words_equal_one_setting_at_a_time() -> None:
    """The compiled loop over words and the plain walk over gates give the same bits."""
    rng = random.Random(3)
    circuit = bridged(12, 8, 4)
    program = compile_gates(Network(circuit))
    settings = [random_closed(circuit, rng) | {"supply:G1"} for _ in range(100)]
    wanted = [*program.full.values(), *program.may.values(), program.short, program.short ^ 1]
    words = program.gates.words(as_words(program, settings), wanted)
    bits = np.unpackbits(words.view(np.uint8), axis=1, bitorder="little")

    assert [[bool(b) for b in bits[:, lane]] for lane in range(100)] == [
        program.gates.values(held, wanted) for held in settings
    ]


def test_words_that_do_not_fit_the_inputs_are_refused() -> None:
    """Rows are counted before anything is computed."""
    program = compile_gates(Network(sequence(2)))

    with pytest.raises(ValueError, match="rows of words are needed"):
        program.gates.words(np.zeros((1, 1), np.uint64), [program.short])


def test_gates_stay_few_on_panels() -> None:
    """At most 4 gates a contact for the full verdicts of ladder-like panels."""
    for circuit in (reversing(30), sequence(100)):
        program = compile_gates(Network(circuit), lambda gates, name: 1 if name == "supply:G1" else gates.input(name))
        used = sum(1 for _ in program.gates.walk(program.full.values()))
        contacts = sum(len(device.contacts) for device in circuit.devices)

        assert used <= 4 * contacts


def test_one_literal_for_a_whole_mechanism() -> None:
    """Make and break contacts may share one literal, so that the program is one of device states."""
    circuit = sequence(3)

    def by_device(gates, name):  # type: ignore[no-untyped-def]
        if name.startswith("supply:"):
            return 1
        device, contact = circuit.elements[name]
        literal = gates.input(device.tag)
        return literal ^ 1 if contact.form == "nc" else literal

    program = compile_gates(Network(circuit), by_device)

    assert set(program.gates.inputs) == {"S0", "S1", "S2", "S3", "K1", "K2", "K3"}
    assert program.verdicts({"S1"})["K1.coil"] == "full"
    assert program.verdicts({"S1", "S0"})["K1.coil"] == "none"
    assert program.verdicts({"K1", "K2"})["K2.coil"] == "full"
    assert program.verdicts({"K2"})["K2.coil"] == "none"


def test_every_wire_and_every_touch_as_an_input() -> None:
    """One program for many faults gives what an edited network gives for each: wires open, places joined."""
    bench = on_the_bench(TWO_LAMPS)
    wires = [wire for listed in bench.network.wires.values() for wire in listed]
    joins = {"touch 1": ("@2", "@3"), "touch 2": ("K1.A1", "earth"), "touch 3": ("H1.X1", "+")}
    program = compile_gates(bench.network, at_terminals=True, joins=joins)
    whole = {f"wire:{a} {b}" for a, b in wires}
    assert whole <= set(program.gates.inputs)
    faults = [(whole - {f"wire:{a} {b}"}, WireOpened((a, b))) for a, b in wires]
    faults += [(whole | {name}, Joined(*ends)) for name, ends in joins.items()]
    for inputs, edit in faults:
        faulty = bench.network.edited([edit])
        for held in ((), ("S2",), ("K1",), ("S1",), ("S2", "K1")):
            position = bench.position(*held)
            solution = faulty.solve(position)
            verdicts = program.verdicts({*inputs, *position.closed, "supply:G1"})
            short = program.gates.values({*inputs, *position.closed, "supply:G1"}, [program.short])[0]
            assert short == bool(solution.shorts), (edit, held)
            if not short:
                assert verdicts == {load: solution.load(load).verdict for load in verdicts}, (edit, held)
    with pytest.raises(ValueError, match="wires cannot be told apart"):
        compile_gates(bench.network.edited([WireOpened(wires[0])]), at_terminals=True)


TWO_LAMPS = """
panel "Well pump"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  red    1 NC
  S2  pushbutton  green  1 NO
  H1  lamp        green  24 V dc
  H2  lamp        red    24 V dc
devices on plate
  K1  relay  2 CO  coil 24 V dc
rungs from + to -
  S1.nc  @2
  @2  ( S2.no | K1.no )  @3
  @3  K1.coil
  K1.no  H1
  K1.nc  H2
"""


@settings(deadline=None, max_examples=150, derandomize=True, suppress_health_check=list(HealthCheck))
@given(tangles())
def test_gates_hold_with_several_supplies(case: tuple[Circuit, frozenset[str]]) -> None:
    """Any supplies on any rails, as long as nothing drops inside them: full, none and short as the solver has them."""
    circuit, closed = case
    if any(source.ohms for _, source in circuit.supplies):
        return
    network = Network(circuit)
    program = compile_gates(network)
    solution = network.solve(Position(closed))
    true = closed | {f"supply:{device.tag}" for device, _ in circuit.supplies}

    assert program.gates.values(true, [program.short])[0] == bool(solution.shorts)
    if not solution.shorts:
        for load, verdict in program.verdicts(true).items():
            assert verdict in ("partial", solution.load(load).verdict), load


def test_either_of_two_supplies_side_by_side_is_enough() -> None:
    """Two supplies on the same rails back each other up: full with one, none without both."""
    bench = on_the_bench(
        """
panel "Backed up"
  symbols IEC
supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -
  G2  dc supply  24 V  2.5 A  rails + -
devices on plate
  K1  relay  2 CO  coil 24 V dc
rungs from + to -
  K1.coil
"""
    )
    program = compile_gates(bench.network)
    on = [(), ("supply:G1",), ("supply:G2",), ("supply:G1", "supply:G2")]

    assert [program.verdicts(inputs)["K1.coil"] for inputs in on] == ["none", "full", "full", "full"]
    assert program.gates.values(on[3], [program.short]) == [False]
    assert bench.solve(off=("G1",)).load("K1.coil").verdict == "full"
