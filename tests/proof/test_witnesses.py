"""Three witnesses to the same questions: walking through all states, the solver, and z3's engine for reachability.

Reference: z3 (L. de Moura, N. Bjorner, Z3: an efficient SMT solver, TACAS 2008), its Fixedpoint engine Spacer.
"""

import pytest

from panelwright.behaviour.proof import explicit, induction, symbolic, vicinity
from panelwright.electrics.gates import FALSE

from .questions import by_z3, question_by_lot, solved, walked

NORMAL, LONG, BY_Z3, PLANTED = 360, 12_000, 60, 120  # seeds; six of seven make a question


def disagreements(seeds: range) -> list[int]:
    """The seeds on which walking and solving disagree."""
    found = []
    for seed in seeds:
        question = question_by_lot(seed)
        if question is not None:
            answer = walked(question)
            if answer is not None and answer != solved(question):
                found.append(seed)
    return found


def test_walking_and_solving_agree():
    """On 300 panels by lot, two or three relays and any sentence."""
    assert sum(question_by_lot(seed) is not None for seed in range(NORMAL)) >= 300

    assert [] == disagreements(range(NORMAL))


@pytest.mark.long
def test_walking_and_solving_agree_on_ten_thousand():
    """The same on more than 10,000."""
    assert sum(question_by_lot(seed) is not None for seed in range(LONG)) >= 10_000

    assert [] == disagreements(range(LONG))


def test_z3_agrees():
    """The third witness, on a part of them."""
    asked = [question for seed in range(BY_Z3) if (question := question_by_lot(seed)) is not None]

    assert [by_z3(question) for question in asked] == [solved(question) for question in asked]


def test_the_questions_are_of_both_kinds():
    """Neither "it can" nor "it cannot" is rare, so that agreement says something."""
    answers = [walked(question) for seed in range(NORMAL) if (question := question_by_lot(seed)) is not None]

    assert answers.count(True) > 90
    assert answers.count(False) > 90


def far_is_dead(honest):
    """What is not followed is taken for dead instead of free."""
    return lambda self, node, parts: honest(self, node, parts) if parts or node in self.vicinity.bit_of else FALSE


def only_first_half(honest):
    """Half of the ways to go on are forgotten."""

    def after(self, states):
        before, following = honest(self, states)
        return before[: (len(before) + 1) // 2], following[: (len(before) + 1) // 2]

    return after


MISTAKES = {
    "nearby says yes": (symbolic, "holds_nearby", lambda _: lambda *_: True),
    "far is dead": (vicinity._Cut, "_made", far_is_dead),
    "a frame is taken for closed": (induction.Induction, "_pushed", lambda _: lambda self: True),
    "nothing comes before": (induction.Induction, "_predecessor", lambda _: lambda self, cube, level: None),
    "half of the steps": (explicit.Walk, "after", only_first_half),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_planted_mistake_is_noticed(mistake, monkeypatch):
    """Each engine is made to lie in one place; the witnesses then disagree."""
    owner, name, lie = MISTAKES[mistake]
    honest = owner.__dict__[name]
    if mistake == "nothing comes before":
        monkeypatch.setattr(induction.Induction, "_core", frozenset(), raising=False)
    monkeypatch.setattr(owner, name, lie(honest))

    assert disagreements(range(PLANTED)) != []
