"""Ways to break a promise, tried, drawn and played on the bench."""

from pathlib import Path

from panelwright import api
from panelwright.behaviour import try_trial
from panelwright.bench.course import Course
from panelwright.bench.proving import answer_of
from panelwright.bench.working import work_out
from panelwright.circuit import Sentence
from panelwright.faults.proving import Prover
from panelwright.language import read

EARTH = "with @3 touches earth: K1 stays out after S1 is released"


def broken(name: str, text: str):
    """The bench with an example, and the proof that one of its promises is broken."""
    path = next(Path("examples").rglob(f"{name}*.panel"))
    worked = work_out(path.read_text(encoding="utf-8"), path.name)
    prover = Prover(worked.wiring)
    promise = next(
        (p for p in prover.bench.circuit.promises if text in p.text and p.form != "waive"), None
    ) or Sentence(text, text)
    return worked, prover.answer(promise)


def test_a_story_with_a_fault_is_drawn():
    """The timing diagram of its trial: the device that moves has a line, the fault stands in the words."""
    worked, proof = broken("c25-", EARTH)
    drawing = api.draw_course(try_trial(worked.network, proof.trial).trace).svg("print")

    assert ">K1<" in drawing
    assert "touches earth" in drawing


def test_a_story_with_a_fault_is_played_on_the_bench():
    """The steps put the fault in, and the panel then stands as the promise forbids."""
    worked, proof = broken("c25-", EARTH)
    course = Course(worked)

    assert answer_of(proof).values["can_be_tried"]
    assert course.play(answer_of(proof).steps) == ""
    assert course.run.state.word("K1", "in") == "in"


def test_a_race_is_played_both_ways():
    """Washer: with K9 slow the cycle begins again (the trial says so), at its usual pace it does not."""
    worked, proof = broken("c17-", "no race")
    slow, usual = Course(worked), Course(worked)
    slow.play(answer_of(proof).steps)
    usual.play(tuple(step for step in answer_of(proof).steps if getattr(step, "fault", None) is None))

    assert proof.fails
    assert slow.run.state.word("K9", "in") != usual.run.state.word("K9", "in")


def test_waits_are_told_where_a_timer_has_to_run_out():
    """A story about a set time waits for it: no less than the time, and not much more."""
    _, proof = broken("c18-", "no race")
    waits = [step.seconds for step in proof.trial.steps if getattr(step, "verb", "") == "wait"]

    assert 2.5 <= sum(waits) <= 3.6


def test_a_breaker_that_is_off_is_replayed_with_its_pole_open():
    """A breaker in the control circuit breaks "stays in until": in the story, in its replay and in its trial."""
    circuit = read(
        """
panel "Breaker"
supplies
  G1  dc supply  24 V  1 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NC  "Stop"
  S2  pushbutton  1 NO  "Start"
devices on plate
  F1  breaker  2 A
  K1  relay  2 NO  coil 24 V dc
rungs from + to -
  F1  @1
  @1  S1.nc  ( S2.no | K1.no )  K1.coil
promises
  K1 stays in until S1 is pressed
"""
    ).circuit
    proof = Prover(circuit).answer(circuit.promises[0])

    assert proof.outcome == "broken"
    assert any("F1 off" in sentence for sentence in proof.story)
    assert proof.fails
