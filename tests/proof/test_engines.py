"""The two engines against each other, and a planted mistake that the suite has to notice."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.behaviour.proof import clauses, proving
from panelwright.behaviour.proof.proving import prove
from panelwright.language import read
from panelwright.wiring import wire

FORMS = [
    "K1 picks up when S1 is pressed",
    "K1 drops out when S2 is pressed",
    "K1 and K2 are never in together",
    "K1 stays in until S2 is pressed",
    "K2 picks up only after K1 is in",
    "K1 stays out after S1 is released",
    "K1 is out while S1 is released",
    "nothing starts when power returns",
]


@st.composite
def small_panels(draw: st.DrawFn) -> str:
    """Two relays with random rungs of contacts, some in parallel, and all forms of promises."""
    relays = 2
    contacts = ["S1.no", "S2.nc", *(f"K{n}.{f}" for n in range(1, relays + 1) for f in ("no", "nc"))]
    rows = ['panel "x"', "supplies", "G1 dc supply 24 V 2 A rails + - earthed at -", "devices on door"]
    rows += ["S1 pushbutton 12 NO", "S2 pushbutton 12 NC", "devices on plate"]
    rows += [f"K{n} contactor 3 poles 6 NO + 6 NC coil 24 V dc" for n in range(1, relays + 1)]
    rows.append("rungs from + to -")
    for n in range(1, relays + 1):
        one = draw(st.lists(st.sampled_from(contacts), min_size=1, max_size=3))
        other = draw(st.lists(st.sampled_from(contacts), min_size=1, max_size=2))
        split = draw(st.integers(0, len(one) - 1))
        rows.append(" ".join([*one[:split], "(", " ".join(one[split:]), "|", " ".join(other), ")", f"K{n}.coil"]))
    if draw(st.booleans()):
        rows += ["assumptions", "inputs change only at rest"]
    return "\n".join([*rows, "promises", *FORMS]) + "\n"


def outcomes(text: str, engine: str) -> list[str]:
    """What an engine says of every promise."""
    return [proof.outcome for proof in prove(wire(read(text).circuit), engine=engine, seconds=30)]


@given(small_panels())
@settings(max_examples=30, deadline=None)
def test_both_engines_say_the_same(text):
    """Walking all states and induction agree on every promise."""
    walked, proved = outcomes(text, "explicit"), outcomes(text, "symbolic")

    assert [(a, b) for a, b in zip(walked, proved, strict=True) if "not decided" not in (a, b) and a != b] == []


@pytest.mark.long
@given(small_panels())
@settings(max_examples=1200, deadline=None)
def test_both_engines_say_the_same_long(text):
    """The same on many more: nine or ten promises each, more than 10,000 questions."""
    walked, proved = outcomes(text, "explicit"), outcomes(text, "symbolic")

    assert [(a, b) for a, b in zip(walked, proved, strict=True) if "not decided" not in (a, b) and a != b] == []


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
