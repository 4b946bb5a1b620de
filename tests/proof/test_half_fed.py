"""Loads that get part of their volts, and points that volts creep to: what is proved is what flows."""

import pytest

from panelwright.behaviour.proof.proving import prove
from panelwright.behaviour.run import Run
from panelwright.circuit import Do
from panelwright.language import read
from panelwright.wiring import wire

HEAD = """panel "x"
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  4 NO
  S2  pushbutton  4 NO
  H1  lamp  24 V dc  {watts} W
  H2  lamp  24 V dc  100 W
  V1  diode  1 A
devices on plate
  K1  relay  4 CO  coil 24 V dc
rungs from + to -
{rungs}
promises
  {promise}
"""

BEHIND_A_DIODE = "  S2.no  V1  @8\n  @8  H1\n  S1.no  @8"  # 24 V less the 0.7 V of a diode (common practice)
IN_SERIES = "  S1.no  @4  H1  @5  S2.no\n  @5  K1.coil"
BESIDE = "  S1.no  ( H1 | S2.no H2 )  K1.coil"


def answer(rungs: str, promise: str, watts: float = 2.0) -> str:
    """What is said of one promise."""
    circuit = read(HEAD.format(rungs=rungs, promise=promise, watts=watts)).circuit
    return next(prove(wire(circuit), circuit.promises)).outcome


@pytest.mark.parametrize(
    ("rungs", "promise", "outcome"),
    [
        (BEHIND_A_DIODE, "H1 is lit only while S1 is pressed", "broken"),
        (BEHIND_A_DIODE, "H1 is lit while S2 is pressed", "kept"),
        (BEHIND_A_DIODE, "never H1 is dim", "kept"),
        # 24 V over the lamp (288 ohm) and the coil (640 ohm by the catalogue): 7.4 V and 16.6 V
        (IN_SERIES, "H1 is lit only while S2 is pressed", "kept"),
        (IN_SERIES, "H1 is dim only while S1 is pressed and S2 is released", "kept"),
        (IN_SERIES, "H1 is dark while S2 is released", "broken"),
        # a point behind a lamp has volts against earth, whatever is not joined to the rail
        (IN_SERIES, "@5 is dead while S2 is released", "broken"),
        (IN_SERIES, "@5 is live only while S1 is pressed", "kept"),
        (IN_SERIES, "@4 is dead while S1 is released", "kept"),
        (IN_SERIES, "@4 is dead while power is off", "kept"),
        (IN_SERIES, "@4 is live while S1 is pressed", "kept"),
    ],
)
def test_loads_and_points_are_judged_by_their_volts(rungs, promise, outcome):
    """Divided volts, by hand (Ohm's law)."""
    assert answer(rungs, promise) == outcome


def test_what_a_coil_does_in_one_position_is_not_said_of_another():
    """1.3 V through a lamp of 0.05 W leave K1 out; with the larger lamp beside it, it comes in."""
    circuit = read(HEAD.format(rungs=BESIDE, promise="never K1 is in", watts=0.05)).circuit
    run = Run(wire(circuit))
    run.do(Do("press", ("S1",)))
    alone = run.state.word("K1", "in")
    run.do(Do("press", ("S2",)))

    assert (alone, run.state.word("K1", "in")) == ("out", "in")
    assert answer(BESIDE, "never K1 is in", 0.05) == "broken"
    assert answer(BESIDE, "K1 is in only while S2 is pressed", 0.05) == "broken"  # on its way out
    assert answer(BESIDE, "K1 picks up only after S2 is pressed", 0.05) == "kept"


def test_a_coil_that_gets_nothing_to_speak_of_is_not_half_fed():
    """Full volts are owed where a coil should work; 1.3 of 24 V are nothing that it notices."""
    circuit = read(HEAD.format(rungs=BESIDE, promise="never K1 is in", watts=0.05)).circuit
    outcomes = {proof.promise.form: proof.outcome for proof in prove(wire(circuit))}

    assert outcomes["full volts"] == "kept"
