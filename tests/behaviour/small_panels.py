"""Little panels for the tests of behaviour, written as a technician would."""

from __future__ import annotations

from panelwright.behaviour import Run, TrialResult, try_trials
from panelwright.circuit import Circuit, Do, Inject, Mend
from panelwright.language import read, read_steps

SUPPLY = 'panel "Test panel"\nsupplies\n  G1  dc supply  24 V  5 A  rails + -  earthed at -\n'


def panel(text: str, supply: str = SUPPLY) -> Circuit:
    """A circuit from the lines after the supply. Fails the test when the text has a mistake."""
    reading = read(supply + text)
    mistakes = [problem.message for problem in reading.problems if problem.severity == "mistake"]
    assert mistakes == []
    return reading.circuit


def trials_of(text: str) -> list[TrialResult]:
    """The trials of a panel, run."""
    return list(try_trials(panel(text)))


def start(text: str) -> Run:
    """A run of a panel, at rest with the supply on."""
    return Run(panel(text))


def work(run: Run, text: str) -> Run:
    """Take steps written as in a trial."""
    steps, problems = read_steps(text, run.circuit)
    assert [problem.message for problem in problems] == []
    for step in steps:
        if isinstance(step, Do):
            run.do(step)
        elif isinstance(step, Inject):
            assert run.put_in(step.fault) is None
        elif isinstance(step, Mend):
            run.mend(step.subject)
    return run


def said(run: Run, *tags: str) -> list[str]:
    """What devices do now, in their own words."""
    return [run.state.word(tag) for tag in tags]


def moves(run: Run, tag: str, what: str = "contacts") -> list[tuple[float, str]]:
    """When contacts arrived where, in seconds to the microsecond; the way there is left out."""
    changes = (c for c in run.trace.changes if c.subject == tag and c.what == what and c.after != "moving")
    return [(round(change.now, 6), change.after) for change in changes]
