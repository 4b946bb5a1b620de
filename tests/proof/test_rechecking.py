"""Answers checked again: what is wrong with them is seen, and never told as an answer."""

import time

import pytest

from panelwright.behaviour.proof import proving, rechecking
from panelwright.behaviour.proof.explicit import Walk
from panelwright.behaviour.proof.induction import Induction
from panelwright.behaviour.proof.proving import AT_ODDS, prove

from .generated import wired
from .questions import Question, question_by_lot, solved, walked

SEEDS = range(120)
PANEL = """panel "x"
supplies
  G1 dc supply 24 V 2 A rails + - earthed at -
devices on door
  S1 pushbutton 1 NO
  S2 pushbutton 1 NO
devices on plate
  K1 contactor 3 poles 1 NC coil 24 V dc
  K2 contactor 3 poles 1 NC coil 24 V dc
rungs from + to -
  S1.no K2.nc K1.coil
  S2.no K1.nc K2.coil
promises
  K1 is in only while S1 is pressed
  K2 is out while S2 is released
"""


def asked(kept: bool) -> list[Question]:
    """Questions by lot whose answer is this."""
    questions = [question for seed in SEEDS if (question := question_by_lot(seed)) is not None]
    return [question for question in questions if walked(question) is not kept]


def never(question: Question) -> bool | None:
    """What the second look says."""
    return rechecking.never_holds(question.step.cone, question.step.bad, time.monotonic() + 10.0)


def test_the_second_look_says_what_the_walk_says():
    """Of what never happens and of what does."""
    assert {never(question) for question in asked(kept=True)} == {True}
    assert {never(question) for question in asked(kept=False)} == {False}


def invariant(question: Question) -> list:
    """What the induction leaves behind."""
    induction = Induction(question.step, time.monotonic() + 10.0)
    try:
        assert induction.holds()
        return induction.invariant
    finally:
        induction.close()


def test_an_invariant_with_a_clause_too_few_or_too_many_is_refused():
    """Nothing to rule out what must not happen; or a clause that the start, or a step, breaks."""
    questions = [question for question in asked(kept=True) if len(invariant(question)) > 1]
    too_few = [rechecking.holds_by_itself(q.step.cone, q.step.bad, ()) for q in questions]
    inputs = [(q, [bit.name for bit in q.step.bits if bit.input]) for q in questions]
    too_many = [
        rechecking.holds_by_itself(q.step.cone, q.step.bad, [*invariant(q), ((names[0], False),)])
        for q, names in inputs
    ]

    assert len(questions) > 5
    assert set(too_few) == {False}
    assert set(too_many) == {False}


def test_a_course_with_a_state_too_few_is_refused():
    """Each state has to follow from the one before, and the first has to be one."""
    walks = [Walk(question.step) for question in asked(kept=False)]
    courses = [(walk, course) for walk in walks if (course := walk.shortest()) is not None and len(course) > 2]
    whole = {rechecking.can_be_gone(walk.step.cone, course) for walk, course in courses}
    leapt = {rechecking.can_be_gone(walk.step.cone, [course[0], *course[2:]]) for walk, course in courses}
    late = {rechecking.can_be_gone(walk.step.cone, course[1:]) for walk, course in courses}

    assert len(courses) > 10
    assert whole == {True}
    assert leapt == {False}  # the shortest course has no state that could be left out
    assert False in late


@pytest.mark.parametrize("lie", ["kept", "broken"])
def test_an_engine_that_lies_is_not_believed(lie, monkeypatch):
    """A walk that says "never", or comes with a course that cannot be: the answer stays open, and says why."""
    first = next(prove(wired(PANEL))).outcome
    honest = Walk.shortest
    lies = {"kept": lambda walk: None, "broken": lambda walk: [{"K1": True, "S1": False}]}
    monkeypatch.setattr(Walk, "shortest", lies[lie])
    monkeypatch.setattr(proving._Proving, "_plain", lambda self, step, course: course)
    proofs = list(prove(wired(PANEL), wired(PANEL).circuit.promises))

    assert honest is not Walk.shortest
    assert first == "broken"
    assert ("not decided", AT_ODDS) in [(proof.outcome, proof.reason) for proof in proofs]
    assert not any(proof.outcome == "broken" and lie == "broken" for proof in proofs)


def test_what_is_bad_where_no_step_leads_on_is_seen_all_the_same():
    """Solving and walking agree on states that nothing can follow: a last state is a state."""
    assert [walked(question) for question in asked(kept=False)] == [solved(question) for question in asked(kept=False)]
