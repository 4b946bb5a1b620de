"""The two engines against each other, and a planted mistake that the suite has to notice."""

import pytest

from panelwright.behaviour.proof import clauses, proving
from panelwright.behaviour.proof.proving import prove
from panelwright.language import read
from panelwright.wiring import wire


def outcomes(text: str, engine: str) -> list[str]:
    """What an engine says of every promise."""
    return [proof.outcome for proof in prove(wire(read(text).circuit), engine=engine, seconds=30)]


PLANTED = """panel "x"
supplies
G1 dc supply 24 V 2 A rails + - earthed at -
devices on door
S1 pushbutton 1 NO
S2 pushbutton 1 NO
devices on plate
K1 contactor 3 poles coil 24 V dc
K2 contactor 3 poles coil 24 V dc
rungs from + to -
S1.no K1.coil
S2.no K2.coil
promises
K1 and K2 are never in together
"""


def test_an_engine_that_drops_a_clause_is_noticed(monkeypatch):
    """An unsound step (what a bit becomes is cut off) makes the two engines differ."""
    assert outcomes(PLANTED, "symbolic")[0] == outcomes(PLANTED, "explicit")[0] == "broken"
    honest = clauses.Step.variable

    def blind(self: clauses.Step, literal: int) -> int:
        becomes = {bit.next for bit in self.bits if bit.tag == "K2"}
        return -self.true if literal in becomes else honest(self, literal)

    monkeypatch.setattr(clauses.Step, "variable", blind)

    assert outcomes(PLANTED, "symbolic")[0] != outcomes(PLANTED, "explicit")[0]


def test_a_counterexample_is_the_shortest():
    """Both contactors in: two states after a start with both buttons held."""
    proof = next(prove(wire(read(PLANTED).circuit), engine="explicit"))

    assert len(proof.course) == 2
    assert proof.story[0].startswith("At the start: ")
    assert proof.story[-1] == "K1 in, K2 in."


def test_assumptions_that_exclude_each_other_prove_nothing():
    """A contradiction is a problem, not a proof."""
    text = PLANTED.replace("promises", "assumptions\nalways S1 is pressed\nnever S1 is pressed\npromises")

    with pytest.raises(proving.Contradiction):
        list(prove(wire(read(text).circuit)))
