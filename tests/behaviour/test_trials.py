"""Trials: what passes, what fails, and what a failure says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwright.behaviour import told, try_trials
from panelwright.circuit import Circuit, Do, Fault, Inject, Trial

from .small_panels import panel

PUMP = (
    "devices on door\n  S1  pushbutton  1 NC\n  S2  pushbutton  1 NO\n  H1  lamp  LED  24 V dc\n"
    "devices on plate\n  K1  relay  2 CO  coil 24 V dc  base blade-8\n"
    "rungs from + to -\n  S1.nc  ( S2.no | K1.no1 )  K1.coil\n  K1.no2  H1\n"
)


def trial(*steps: str) -> Circuit:
    """The pump with one trial."""
    return panel(PUMP + 'trial "T"\n' + "".join(f"  {step}\n" for step in steps))


def failures(circuit: Circuit) -> list[str]:
    """What failed, as one line each."""
    return [
        f"{failure.problem.message} | {failure.problem.why}"
        for result in try_trials(circuit)
        for failure in result.failures
    ]


@pytest.mark.parametrize(
    "steps",
    [
        ["press S2; expect K1 in, H1 lit"],
        ["press S2; expect K1 in within 1 s"],
        ["press and release S2; expect K1 stays in for 5 s"],
        ["hold S2 for 3 s; expect K1 in"],
        ["press S2; expect 24 V +- 1 V across K1.coil, 0 V across S1.nc, 24 V from + to -"],
        ["press S2; expect 20 mA in H1"],
        ["press S2; press S1; expect K1 out"],
        ["fault K1.no1 stuck open; press S2; release S2; expect K1 out; mend; press S2; release S2; expect K1 in"],
        ["fault + touches -; expect short circuit"],
        ["press S2; expect no race, no short circuit, no buzzing"],
        ["press S2; expect K1 not out, S2 pressed, S1 released"],
        ["power off; press S2; expect K1 out", "power on; expect K1 in"],
    ],
    ids=lambda steps: steps[0],
)
def test_passes(steps: list[str]) -> None:
    """Each of these is what the pump does."""
    assert failures(trial(*steps)) == []


@pytest.mark.parametrize(
    ("steps", "message"),
    [
        (
            "press S2; expect K1 out",
            "expected K1 out; seen: K1 in, at 0.020 s | K1 coil has 24 V through S1 and S2",
        ),
        (
            "press S1; press S2; expect K1 in",
            "expected K1 in; seen: K1 out, at 0.010 s | K1 coil has 0 V; open on its way: S1",
        ),
        ("expect H1 lit", "expected H1 lit; seen: H1 dark, at 0.000 s | H1 has 0 V; open on its way: K1 12-8"),
        (
            "power off; expect H1 dark, K1 in",
            "expected K1 in; seen: K1 out, at 0.000 s | K1 coil has 0 V; G1 is off; open on its way: S2",
        ),
        (
            "fault K1.coil open; press S2; expect K1 in",
            "expected K1 in; seen: K1 out, at 0.005 s | K1 coil is open",
        ),
        ("fault K1 stuck in; expect K1 out", "expected K1 out; seen: K1 in, at 0.012 s | K1 is stuck"),
        (
            "press S2; expect 12 V across K1.coil",
            "expected 12 V across K1.coil; seen: 24 V dc, at 0.020 s | the circuit does not do what the trial says",
        ),
        (
            "expect 24 V from - to +",
            "expected 24 V from - to +; seen: -24 V dc, at 0.000 s | the other way round",
        ),
        (
            "press S2; expect K1 buzzes",
            "expected K1 buzzes; seen: K1 in, at 0.020 s | K1 coil has 24 V through S1 and S2",
        ),
        (
            "press S2; expect K1 out within 1 s",
            "expected K1 out within 1 s; seen: K1 in, at 1.020 s | K1 coil has 24 V through S1 and S2",
        ),
        (
            "fault K1.no1 flutters; press and release S2; expect K1 stays in for 5 s",
            "expected K1 stays in for 5 s; seen: K1 moving, at 0.067 s | K1 coil has 0 V; open on its way: S2",
        ),
        ("expect race", "expected race; seen: no race, at 0.000 s | the circuit does not do what the trial says"),
        (
            "expect short circuit",
            "expected short circuit; seen: no short circuit, at 0.000 s | the circuit does not do what the trial says",
        ),
        (
            "fault + touches -",
            "short circuit that was not expected: G1 is shorted; nothing opens it, at 0.000 s | "
            "two poles of a supply are joined",
        ),
        ("mend", "there is no fault to mend | mending does nothing here"),
    ],
    ids=lambda value: value if ";" not in value else "",
)
def test_a_failure_says_what_was_seen_and_why(steps: str, message: str) -> None:
    """With the volts or the path that explain it, and the time."""
    assert failures(trial(steps))[0] == message


def test_a_failure_stands_on_its_line() -> None:
    """The span is that of the expectation."""
    circuit = trial("press S2", "expect K1 in", "expect K1 out")
    failure = try_trials(circuit)[0].failures[0]

    assert failure.problem.span is not None
    assert failure.problem.span.line == (PUMP.count("\n") + 3) + 4


def test_buzzing_that_was_not_expected_fails_the_trial() -> None:
    """Whatever else it expects."""
    circuit = panel(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n"
        "  K1  relay  1 CO  coil 24 V dc  pulls in 15 ms  drops out 10 ms\n"
        "rungs from + to -\n  S1.no  K1.nc  K1.coil\n"
        'trial "T"\n  press S1; release S1; expect K1 out\n'
    )

    assert failures(circuit) == [
        "buzzing that was not expected: K1: to and fro every 22 ms, at 0.032 s | "
        "a contact opens its own coil again and again"
    ]


def test_the_story_of_a_trial_tells_the_buzzing_that_was_expected() -> None:
    """What was expected is still part of what happened."""
    circuit = panel(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.nc  K1.coil\n"
        'trial "T"\n  press S1; expect K1 buzzes\n  release S1; expect K1 out\n'
    )
    result = try_trials(circuit)[0]

    assert result.passed
    assert any("K1 buzzes without end" in str(sentence) for sentence in told(result.trace))


def test_a_race_that_was_not_expected_fails_the_trial() -> None:
    """Even when the usual course is the one expected."""
    circuit = panel(
        "devices on door\n  S1  pushbutton  1 NC\n  S3  pushbutton  1 NO + 1 NC\n"
        "devices on plate\n  K1  relay  1 NO  coil 24 V dc  pulls in 15 ms  drops out 12 ms\n"
        "rungs from + to -\n  S1.nc ( S3.no | S3.nc K1.no ) K1.coil\n"
        'trial "T"\n  press S3; release S3; expect K1 in\n'
    )

    assert [message.partition(":")[0] for message in failures(circuit)] == ["race that was not expected"]


def test_each_trial_starts_from_rest() -> None:
    """What the one before did is forgotten."""
    circuit = panel(PUMP + 'trial "A"\n  press S2; expect K1 in\ntrial "B"\n  expect K1 out\n')

    assert [result.passed for result in try_trials(circuit)] == [True, True]


def test_a_fault_that_cannot_be_put_in_fails_with_the_mend() -> None:
    """An ambiguous contact asks for a label; the trial goes on."""
    steps = (Inject(Fault("stuck open", "K1.no")), Do("press", ("S2",)))
    circuit = replace(panel(PUMP), trials=(Trial("T", steps),))
    failure = try_trials(circuit)[0].failures[0]

    assert "may mean" in failure.problem.message
    assert "label" in failure.problem.mend


def test_a_coil_with_too_few_volts_is_remarked() -> None:
    """It passes, because a held-in coil stays in, and says that a real one may not."""
    circuit = trial("press S2; fault G1 at 12 V; expect K1 in")
    result = try_trials(circuit)[0]

    assert result.passed
    assert [(remark.message, remark.why) for remark in result.remarks] == [
        (
            "whether K1 is in or out is not sure, at 0.020 s",
            "K1 coil has 12 V, between 2.4 V where it surely rests and 19.2 V where it surely works",
        )
    ]
