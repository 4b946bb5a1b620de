"""Promises that speak of faults."""

import pytest

from panelwright.behaviour.proof.standing import promises_owed
from panelwright.circuit import Sentence
from panelwright.faults.proving import Prover
from panelwright.language import read

START_STOP = """
panel "Start and stop"
supplies
  G1  dc supply  24 V  1 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NC  "Stop"
  S2  pushbutton  1 NO  "Start"
devices on plate
  F1  fuse   1 A
  K1  relay  2 NO  coil 24 V dc
  H1  lamp   24 V dc
rungs from + to -
  F1  @1
  @1  S1.nc  @2  ( S2.no | K1.no1 )  @3  K1.coil
  @1  K1.no2  H1
assumptions
  inputs change only at rest
promises
"""


def proof_of(promise: str, text: str = START_STOP):
    """The answer to one promise of a circuit."""
    reading = read(f"{text}  {promise}\n")
    assert reading.ok, reading.problems
    return Prover(reading.circuit).answer(reading.circuit.promises[-1])


@pytest.mark.parametrize(
    ("promise", "outcome"),
    [
        ("with S1.nc stuck closed: K1 drops out when S1 is pressed", "broken"),
        ("with K1.no1 stuck open: K1 stays in after S2 is released", "broken"),
        ("with H1 open: K1 stays in after S2 is released", "kept"),
        ("with K1 stuck in: K1 drops out when S1 is pressed", "broken"),
        ("with @3 touches +: K1 drops out when S1 is pressed", "broken"),
        ("with F1 blown: K1 is out while S1 is pressed", "kept"),
        ("with F1 blown: K1 picks up when S2 is pressed unless S1 is pressed", "broken"),
        ("with K1.coil open and H1 open: H1 is lit only while K1 is in", "kept"),
        ("with 1 Mohm in K1.A1: K1 picks up when S2 is pressed unless S1 is pressed", "broken"),
        ("with 1 ohm in K1.A1: K1 picks up when S2 is pressed unless S1 is pressed", "kept"),
    ],
)
def test_a_promise_with_a_fault_is_decided(promise, outcome):
    """Open, welded, stuck, touching, blown, and how much resistance it takes; expected by hand from Ohm's law."""
    assert proof_of(promise).outcome == outcome


def test_an_earth_between_button_and_coil_only_blows_the_fuse():
    """Coil beside the earthed conductor: an earth fault does not start it (NEC 430.74, from memory)."""
    assert proof_of("with @3 touches earth: K1 picks up only after S2 is pressed").outcome == "kept"


def test_even_with_one_fault_names_the_fault_and_counts():
    """The fault stands at the head, in a trial too, and how many of all break the promise is told."""
    proof = proof_of("K1 drops out when S1 is pressed even with one fault")

    assert proof.outcome == "broken"
    assert len(proof.faults) == 1
    assert "single faults break it" in proof.notes[0]
    assert proof.fails


def test_kept_even_with_one_fault_takes_every_fault():
    """Without the supply nothing lights a lamp; only what comes and goes is left open, with how many and why."""
    proof = proof_of("H1 is dark while power is off even with one fault")

    assert proof.outcome == "not decided"
    assert "single faults are left open" in proof.reason
    assert "bounces" in proof.reason
    assert "none breaks it" in proof.reason


def test_a_fault_that_comes_and_goes_is_left_open_with_the_reason():
    """A proof knows only what is so all the time."""
    proof = proof_of("with K1.coil loose: K1 stays in after S2 is released")

    assert proof.outcome == "not decided"
    assert proof.reason


def test_what_is_not_kept_without_a_fault_says_so():
    """It is no use to look for a fault then."""
    proof = proof_of("K1 is in while S1 is released even with one fault")

    assert proof.outcome == "broken"
    assert "even without a fault" in proof.notes


@pytest.mark.parametrize(
    ("rung", "outcome"),
    [("S1.nc  ( S2.no | K1.no1 )  K1.coil", "kept"), ("S1.nc  K1.coil", "broken")],
)
def test_no_restart_is_owed_by_what_moves_a_plant(rung, outcome):
    """Three-wire control stays off after a dip, two-wire control comes back (IEC 60204-1, 7.5; from memory)."""
    text = START_STOP.replace("relay  2 NO", "contactor  3 poles  2 NO")
    text = text.replace("S1.nc  @2  ( S2.no | K1.no1 )  @3  K1.coil", rung)
    reading = read(text.removesuffix("promises\n"))
    assert reading.ok, reading.problems
    prover = Prover(reading.circuit)
    owed = next(p for p in promises_owed(prover.bench.sound) if p.text == "no restart")

    assert prover.answer(owed).outcome == outcome


@pytest.mark.parametrize(
    ("waiver", "outcome"),
    [
        ("", "broken"),
        ('waive no buzzing at K1 because "shown"', "kept"),
        ('waive no buzzing at K2 because "?"', "broken"),
    ],
)
def test_buzzing_is_waived_at_a_device(waiver, outcome):
    """A relay that interrupts its own coil buzzes (Picuino technology course); only where it is waived it may."""
    text = START_STOP.replace("S1.nc  @2  ( S2.no | K1.no1 )  @3  K1.coil", "S2.no  K1.nc  K1.coil")
    text = text.replace("relay  2 NO", "relay  2 CO").replace(
        "  H1  lamp   24 V dc\n", "  K2  relay  2 CO  coil 24 V dc\n"
    )
    text = text.replace('  S1  pushbutton  1 NC  "Stop"\n', "").replace("@1  K1.no2  H1", "@1  K2.nc  K2.coil")
    text = text.replace("@1  K2.nc  K2.coil", "@1  K1.no  K2.coil") + f"  {waiver}\n"
    reading = read(text)
    assert reading.ok, reading.problems

    assert Prover(reading.circuit).answer(Sentence("no buzzing", "no buzzing")).outcome == outcome
