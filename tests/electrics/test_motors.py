"""Motors: which way they run, star and delta, a phase lost; by the solver and by the gates."""

from __future__ import annotations

import math

import pytest

from panelwright.electrics import Exchanged, InSeries, Network, Opened, Position, compile_gates
from tests.electrics.reading import Bench, on_the_bench

REVERSING = """
panel "Gate"
  symbols IEC
supplies
  L   mains  400 V 50 Hz  rails L1 L2 L3 N PE
devices on plate
  F1  fuse  3 poles  16 A
  K1  contactor  3 poles  coil 230 V 50 Hz
  K2  contactor  3 poles  coil 230 V 50 Hz
  S1  pushbutton  green  1 NO
  S2  pushbutton  green  1 NO
devices in field
  M1  three-phase motor  1.5 kW  400 V  3.4 A  "Gate"
rungs from L1 to N
  S1.no  K1.coil
  S2.no  K2.coil
power paths from L1 L2 L3
  F1.poles  @P
  @P  K1.poles  @M
  @P  K2.poles  swap L1 L3  @M
  @M  M1
  PE  M1.PE
"""
STAR_DELTA = """
panel "Crusher"
  symbols IEC
supplies
  L   mains  400 V 50 Hz  rails L1 L2 L3 N PE
devices on plate
  K1  contactor  3 poles  coil 230 V 50 Hz  "Star"
  K2  contactor  3 poles  coil 230 V 50 Hz  "Line"
  K3  contactor  3 poles  coil 230 V 50 Hz  "Delta"
  S1  pushbutton  green  3 NO
devices in field
  M1  six-lead motor  18.5 kW  400 V  36 A  "Crusher"
rungs from L1 to N
  S1.no  K1.coil
  S1.no  K2.coil
  S1.no  K3.coil
power paths from L1 L2 L3
  K2.poles  M1.U1-V1-W1  "Line"
  K3.poles  M1.W2-U2-V2  "Delta"
  M1.W2-U2-V2  K1.poles  star
  PE  M1.PE
"""


@pytest.fixture(scope="module", name="gate")
def reversing_bench() -> Bench:
    """A motor that runs both ways."""
    return on_the_bench(REVERSING)


@pytest.fixture(scope="module", name="crusher")
def star_delta_bench() -> Bench:
    """A motor with six leads."""
    return on_the_bench(STAR_DELTA)


def test_two_phases_exchanged_turn_a_motor_round(gate: Bench) -> None:
    """Phase sequence decides the direction; common practice: exchange two of three lines."""
    states = [gate.solve(*held).motor("M1.motor").state for held in ((), ("K1",), ("K2",))]
    exchanged = gate.network.edited([Exchanged("M1.U", "M1.V")]).solve(gate.position("K1"))

    assert states == ["stopped", "forward", "reverse"]
    assert exchanged.motor("M1.motor").state == "reverse"


def test_a_motor_takes_its_rated_amps(gate: Bench) -> None:
    """At rated volts each winding, star or not, carries the amps of the plate."""
    solution = gate.solve("K1")

    assert solution.motor("M1.motor").amps == pytest.approx(3.4)
    assert solution.amps("F1.pole1").effective == pytest.approx(3.4)


def test_both_contactors_in_short_two_phases(gate: Bench) -> None:
    """The reason for an interlock: the weakest way is through the fuses."""
    solution = gate.solve("K1", "K2")

    assert solution.shorts
    assert solution.shorts[0].fuse.startswith("F1.")


def test_a_lost_phase_leaves_a_motor_humming(gate: Bench) -> None:
    """Single phasing: two windings in series across one line voltage, no rotating field."""
    blown = gate.position("K1")
    solution = gate.network.solve(Position(blown.closed, frozenset({"F1.pole2"})))
    answer = solution.motor("M1.motor")

    assert answer.state == "hums"
    assert answer.volts[1] == pytest.approx(200)  # half of 400 V across each of the two windings
    assert answer.amps == pytest.approx(3.4 * math.sqrt(3) / 2)


def test_a_bad_joint_starves_one_phase(gate: Bench) -> None:
    """30 ohm in one lead of a motor of 68 ohm a phase is too much to trust it to run."""
    answer = gate.network.edited([InSeries("M1.V", 60)]).solve(gate.position("K1")).motor("M1.motor")

    assert answer.state == "hums"


def test_star_takes_a_third_of_the_line_amps_of_delta(crusher: Bench) -> None:
    """Textbook: line current in star is a third of that in delta, winding volts 1 / sqrt 3."""
    star, delta = crusher.solve("K1", "K2"), crusher.solve("K2", "K3")
    line = [solution.amps("L.out:L1").effective for solution in (star, delta)]

    assert (star.motor("M1.motor").state, star.motor("M1.motor").connection) == ("forward", "star")
    assert (delta.motor("M1.motor").state, delta.motor("M1.motor").connection) == ("forward", "delta")
    assert star.motor("M1.motor").volts[0] == pytest.approx(400 / math.sqrt(3))
    assert delta.motor("M1.motor").volts[0] == pytest.approx(400)
    assert line == pytest.approx([12, 36])


def test_star_and_delta_together_are_a_short(crusher: Bench) -> None:
    """Line stays out of it: K1 and K3 alone join three lines."""
    assert crusher.solve("K1", "K3").shorts
    assert not crusher.solve("K2").shorts
    assert crusher.solve("K2").motor("M1.motor").state == "stopped"


@pytest.mark.parametrize("text", [REVERSING, STAR_DELTA])
def test_gates_and_solver_agree_about_motors(text: str) -> None:
    """Every position of the contactors and every lost line: forward, reverse, stopped and shorted by both."""
    bench = on_the_bench(text)
    for broken in ([], [Opened("L.out:L2")]):
        network: Network = bench.network.edited(broken)
        program = compile_gates(network)
        fuses = {name for name in program.gates.inputs if name.startswith("F1.")}
        for held in range(8):
            tags = [f"K{n + 1}" for n in range(3) if held >> n & 1 and f"K{n + 1}" in bench.wiring.circuit.by_tag]
            position = bench.position(*tags)
            solution = network.solve(position)
            wanted = [program.forward["M1.motor"], program.reverse["M1.motor"], program.short]
            forward, reverse, short = program.gates.values(position.closed | fuses | {"supply:L"}, wanted)
            assert short == bool(solution.shorts), tags
            if not short:
                state = solution.motor("M1.motor").state
                assert (forward, reverse) == (state == "forward", state == "reverse"), tags
