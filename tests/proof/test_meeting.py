"""Ways that runs have met: each is made of real steps, ends where it should, and nothing can be left out of it."""

import time
from itertools import pairwise

import pytest
from pysat.solvers import Cadical153

from benchmarks.families import stepper
from panelwright.behaviour.proof import meeting, symbolic
from panelwright.behaviour.proof.clauses import Step
from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.meeting import course_met
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.unrolling import Course, Unrolling
from panelwright.electrics import Network

from .questions import question_by_lot, walked

SEEDS = 120


def soon() -> float:
    """Time enough."""
    return time.monotonic() + 20.0


def is_real(step: Step, course: Course) -> bool:
    """Whether a solver finds each step of a course, from a first state to one in which `step.bad` holds."""
    with Cadical153(bootstrap_with=step.gate_clauses) as solver:
        solver.append_formula([[one] for one in (*step.assumed, *step.assumed_after)])
        here = [[step.variable(bit.now ^ (not state[bit.name])) for bit in step.bits] for state in course]
        after = [[step.variable(bit.next ^ (not state[bit.name])) for bit in step.bits] for state in course]
        steps = all(solver.solve([*now, *then]) for now, then in zip(here[:-1], after[1:], strict=True))
        return steps and solver.solve([*step.start, *here[0]]) and solver.solve([*here[-1], step.variable(step.bad)])


def together(steps: int, one: int, other: int) -> Step:
    """Two steps of a plain sequencer in together."""
    cone = Cone(Panel(Network(stepper(steps))), {f"K{one}", f"K{other}"})
    return Step(cone, cone.model.gates.and_(cone.operated(f"K{one}"), cone.operated(f"K{other}")))


def strays() -> list[int]:
    """The seeds on which a course is met that is not real, or that the walk through all states does not come to."""
    found = []
    for seed in range(SEEDS):
        question = question_by_lot(seed)
        course = question and course_met(question.step, soon())
        if course and not (walked(question) and is_real(question.step, course)):
            found.append(seed)
    return found


def test_what_is_met_is_real():
    """Every course, on panels by lot, against a solver step by step and against the walk."""
    assert [] == strays()
    assert sum(bool(q and course_met(q.step, soon())) for q in map(question_by_lot, range(SEEDS))) > 20


def test_a_step_that_is_left_out_is_noticed(monkeypatch):
    """A course that jumps is not taken for real."""
    honest = meeting.Play.course
    monkeypatch.setattr(meeting.Play, "course", lambda self, table: honest(self, table)[:1] + honest(self, table)[-1:])

    assert strays() != []


def test_nothing_is_left_that_is_not_needed():
    """On a plain sequencer of 12 steps the course is at most a step longer than the shortest."""
    step = together(12, 6, 8)
    unrolling = Unrolling(step)
    shortest, _ = unrolling.shortest(step.bad, 40, soon())
    unrolling.close()

    met = course_met(step, soon())

    assert is_real(step, met)
    assert len(shortest) <= len(met) <= len(shortest) + 2


def pressed(course: Course) -> set[str]:
    """The buttons that are pressed on the way."""
    steps = [(before, after) for before, after in pairwise(course)]
    return {name for before, after in steps for name in after if name[0] == "S" and after[name] and not before[name]}


def test_only_the_buttons_on_the_way_are_pressed():
    """To get the sixth and the eighth step in, those up to the eighth and the one that begins."""
    assert {"S0", *(f"S{n}" for n in range(2, 9))} == pressed(course_met(together(12, 6, 8), soon()))


def test_a_way_that_may_not_be_the_shortest_says_so(monkeypatch):
    """Where there is no time to look for a shorter one."""
    step = together(30, 25, 27)
    monkeypatch.setattr(symbolic, "SHORTEST_S", 0.0)

    course, engine, _ = symbolic.search(step, {"K25", "K27"}, soon())

    assert is_real(step, course)
    assert engine == symbolic.MET


@pytest.mark.parametrize("steps", [30])
def test_a_soon_found_shortest_one_is_told_instead(steps, monkeypatch):
    """With time for it, the shortest is told."""
    step = together(steps, 10, 12)
    monkeypatch.setattr(symbolic, "SHORTEST_S", 30.0)

    course, engine, _ = symbolic.search(step, {"K10", "K12"}, soon())

    assert engine == symbolic.UNROLLED
    assert is_real(step, course)
