"""Whole panels by lot: the engines agree, no run of the moving panel says otherwise, and stories are judged again.

Nothing here comes from outside; the witnesses are the other engine, the moving panel (which knows times and volts and
nothing of gates), and a judge of courses that was written apart from the prover. z3 is asked in `test_witnesses`.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import replace

import pytest

from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.endless import unrestful
from panelwright.behaviour.proof.half_fed import decide_loads
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.proving import FOR_EVER, Contradiction, Proof, prove
from panelwright.behaviour.proof.rechecking import SECOND_SOLVER
from panelwright.circuit import Sentence
from panelwright.electrics import Network
from panelwright.faults import fault_list
from panelwright.faults.proving import Prover

from .generated import panel_by_lot, wired
from .judging import Judge, views_of_course
from .random_runs import course_by_lot, race_by_lot

SECONDS = 5.0  # for each promise
PANELS, LONG = 300, 10_000  # asked of both engines
RUN, RUN_LONG = 60, 3_000  # compared with runs
RACED, RACED_LONG = 40, 1_000  # with races that runs meet
FAULTY, FAULTY_LONG = 8, 150  # with runs of single faults
MEMORIES = ("latching", "impulse", "alternating")  # which the power does not take away


# ---- the engines
def both_answers(numbers: Iterable[int]) -> Iterator[tuple[int, str, str, str]]:
    """Panel, promise, what walking all states says and what the solver says; two promises a panel."""
    for number in numbers:
        network = Network(wired(panel_by_lot(number, promises=2)))
        promises = network.circuit.promises
        try:
            walked = list(prove(network, promises, engine="explicit", seconds=SECONDS))
        except Contradiction:
            with pytest.raises(Contradiction):
                list(prove(network, promises, engine="symbolic", seconds=SECONDS))
            continue
        solved = prove(network, promises, engine="symbolic", seconds=SECONDS)
        for one, other in zip(walked, solved, strict=True):
            yield number, one.promise.text, one.outcome, other.outcome


def assert_engines_agree(numbers: range) -> None:
    """Wherever both decide they say the same; nearly everything is decided, either way often."""
    answers = list(both_answers(numbers))
    decided = [one for one in answers if "not decided" not in one]
    count = Counter(one[2] for one in decided)

    assert [] == [one for one in decided if one[2] != one[3]]
    assert len({number for number, *_ in decided}) > 0.95 * len(numbers)
    assert min(count["kept"], count["broken"]) > 0.3 * len(numbers)


def test_both_engines_say_the_same_of_whole_panels():
    """On 300 panels."""
    assert_engines_agree(range(PANELS))


@pytest.mark.long
@pytest.mark.parametrize("part", range(10))
def test_both_engines_say_the_same_of_ten_thousand_panels(part):
    """The same on 10,000."""
    assert_engines_agree(range(PANELS + part * LONG // 10, PANELS + (part + 1) * LONG // 10))


# ---- the moving panel
def said_of(network: Network) -> list[Proof]:
    """The answers to the promises of a panel; none where nothing is possible."""
    try:
        return list(prove(network, network.circuit.promises, seconds=SECONDS))
    except Contradiction:
        return []


def contradicted(number: int, proofs: list[Proof], network: Network, runs: int) -> list[str]:
    """The kept promises that a run breaks."""
    kept = [proof.promise for proof in proofs if proof.outcome == "kept"]
    courses = [course_by_lot(network, 1000 * number + run, 25) for run in range(runs)] if kept else []
    return [promise.text for promise in kept if any(Judge(course, promise).broken() for course in courses if course)]


def not_broken(proofs: list[Proof], network: Network) -> list[str]:
    """The ways to break a promise that break it neither where they end nor by going on for ever."""
    panel = Panel(network)
    decide_loads(panel)  # as an earlier promise may have done: what volts rule out is then no part of a question
    return [
        proof.promise.text
        for proof in proofs
        if proof.outcome == "broken"
        and not Judge(views_of_course(panel, proof.course, proof.promise), proof.promise).broken()
        and not (FOR_EVER in proof.notes and unrestful(Cone(panel, panel.circuit.by_tag)))
    ]


def assert_runs_agree(numbers: range, runs: int) -> Counter[str]:
    """What is kept no run breaks; what is broken is broken by its story; all of it was checked again."""
    counts: Counter[str] = Counter()
    for number in numbers:
        network = Network(wired(panel_by_lot(number, selector=False, promises=6)))
        proofs = said_of(network)
        counts.update(proof.outcome for proof in proofs)

        assert ([], []) == (contradicted(number, proofs, network, runs), not_broken(proofs, network)), number
        assert {SECOND_SOLVER in one.checked for one in proofs if one.outcome != "not decided"} <= {True}, number
    return counts


def test_runs_and_stories_agree_with_what_is_said():
    """On 60 panels, four runs each."""
    counts = assert_runs_agree(range(RUN), 4)

    assert min(counts["kept"], counts["broken"]) > RUN
    assert counts["not decided"] < RUN / 20


@pytest.mark.long
@pytest.mark.parametrize("part", range(5))
def test_runs_and_stories_agree_with_what_is_said_long(part):
    """On 3,000, ten runs each."""
    first = RUN + part * RUN_LONG // 5
    counts = assert_runs_agree(range(first, first + RUN_LONG // 5), 10)

    assert min(counts["kept"], counts["broken"]) > RUN_LONG // 5


# ---- races
def assert_no_race_is_met(numbers: range) -> None:
    """Where no order matters, no run finds two that end differently."""
    outcomes = []
    for number in numbers:
        head, _, _ = panel_by_lot(number, selector=False).partition("promises\n")
        network = Network(wired(head.partition("assumptions\n")[0]))
        (proof,) = prove(network, (Sentence("no race", "no race"),), seconds=SECONDS)
        outcomes.append(proof.outcome)
        if proof.outcome == "kept":
            assert [""] * 3 == [race_by_lot(network, 1000 * number + run, 25) for run in range(3)], number
    assert outcomes.count("kept") > len(numbers) / 2


def test_no_run_meets_a_race_where_there_is_none():
    """On 40 panels."""
    assert_no_race_is_met(range(RACED))


@pytest.mark.long
def test_no_run_meets_a_race_where_there_is_none_long():
    """On 1,000."""
    assert_no_race_is_met(range(RACED, RACED + RACED_LONG))


# ---- faults
def assert_faults_agree(numbers: range) -> int:
    """What is kept with a fault no run with that fault breaks; how many answers were compared."""
    compared = 0
    for number in numbers:
        text = panel_by_lot(number, selector=False)
        if any(kind in text for kind in MEMORIES):
            continue
        prover = Prover(wired(text), seconds=SECONDS)
        promises = [p for p in prover.bench.circuit.promises if p.form != "everything rests after"]
        for one in random.Random(number).sample(list(fault_list(prover.bench.wiring)), 4):
            courses = [course_by_lot(prover.bench.network, 1000 * number + n, 25, one.fault) for n in range(3)]
            for promise in promises:
                compared += 1
                if prover.answer(replace(promise, faults=(one.fault,))).outcome == "kept":
                    assert not any(Judge(course, promise).broken() for course in courses if course), (number, one.words)
    return compared


def test_no_run_with_a_fault_breaks_what_is_kept_with_it():
    """Four single faults each of a few panels."""
    assert assert_faults_agree(range(FAULTY)) > 10 * FAULTY


@pytest.mark.long
def test_no_run_with_a_fault_breaks_what_is_kept_with_it_long():
    """The same of many."""
    assert assert_faults_agree(range(FAULTY, FAULTY + FAULTY_LONG)) > 10 * FAULTY_LONG
