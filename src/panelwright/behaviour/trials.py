"""The trials of a panel file, run."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ..circuit import Circuit, Do, Expect, Inject, Mend, Problem, Step, Trial
from ..electrics import Network
from ..wiring import Wiring, wire
from .expectations import judge, short_text
from .explaining import why
from .paths import listed
from .places import UnclearPlace
from .races import Race
from .run import Run
from .telling import told
from .trace import Trace
from .typed import expected


@dataclass(frozen=True, slots=True)
class Failure:
    """One thing that was not as expected. `now`: seconds since the trial began."""

    problem: Problem
    now: float


@dataclass(frozen=True, slots=True)
class TrialResult:
    """How a trial went.

    `trace`: its whole course. `seconds`: time that passed in it. `remarks`: what does not fail it and should be known:
    coils that had too few volts to be sure of, when something was expected.
    """

    trial: Trial
    failures: tuple[Failure, ...]
    trace: Trace
    seconds: float
    remarks: tuple[Problem, ...] = ()

    @property
    def passed(self) -> bool:
        """Whether everything was as expected, and nothing unexpected happened."""
        return not self.failures


def try_trials(wiring: Wiring | Circuit | Network) -> tuple[TrialResult, ...]:
    """Run every trial of a circuit, in file order. Never raises for a wrong trial: it fails and says why."""
    network = wiring if isinstance(wiring, Network) else Network(_allotted(wiring))
    return tuple(try_trial(network, trial) for trial in network.circuit.trials)


def _allotted(wiring: Wiring | Circuit) -> Wiring | Circuit:
    return wire(wiring) if isinstance(wiring, Circuit) and not wiring.allotted else wiring


def try_trial(wiring: Wiring | Circuit | Network, trial: Trial) -> TrialResult:
    """Run one trial from rest."""
    return _Trying(wiring, trial).done()


def try_steps(wiring: Wiring | Circuit | Network, steps: Iterable[Step]) -> tuple[Run, TrialResult]:
    """Take steps from rest as in a trial without a name: the run as it stands then, and how it went."""
    trying = _Trying(wiring, Trial("", tuple(steps)))
    result = trying.done()
    return trying.run, result


class _Trying:
    """One trial under way."""

    def __init__(self, wiring: Wiring | Circuit | Network, trial: Trial) -> None:
        self.trial = trial
        self.run = Run(wiring, watch_races=True)
        self.failures: list[Failure] = []
        self.remarks: dict[str, Problem] = {}
        self.last: Do | None = None
        self.expects_buzz = any(self._expects("buzzes"))
        self.expects_race = any(self._expects("race"))
        self.expects_short = any(self._expects("short circuit")) or any(
            isinstance(s, Expect) and s.state is not None and s.state.state == "blown" for s in trial.steps
        )

    def _expects(self, form: str) -> list[bool]:
        return [isinstance(step, Expect) and step.form == form for step in self.trial.steps]

    def done(self) -> TrialResult:
        fresh = True
        for step in self.trial.steps:
            if isinstance(step, Expect):
                fresh = True
            elif fresh:  # what is met counts for the expectations that follow
                self._forget()
                fresh = False
            self._take(step)
        self._forget()
        remarks = tuple(self.remarks.values())
        return TrialResult(self.trial, tuple(self.failures), self.run.trace, self.run.now, remarks)

    def _take(self, step: Step) -> None:
        try:
            if isinstance(step, Do):
                self.run.do(step)
            elif isinstance(step, Inject):
                problem = self.run.put_in(step.fault)
                if problem is not None:
                    self._fail(replace(problem, span=step.span or step.fault.span))
            elif isinstance(step, Mend):
                self._mend(step)
            else:
                self._expect(step)
        except UnclearPlace as unclear:
            self._fail(replace(unclear.problem, span=step.span))

    def _mend(self, step: Mend) -> None:
        if not self.run.mend(step.subject):
            message = f"there is no fault about {step.subject} to mend" if step.subject else "there is no fault to mend"
            self._fail(Problem("trial-mend", message, "mending does nothing here", "leave it out", step.span))

    def _expect(self, expect: Expect) -> None:
        miss = judge(self.run, expect)
        self._doubt(expect)
        if miss is None:
            return
        text = expect.text or expected(expect)
        self._fail(
            Problem(
                "trial-failed",
                f"expected {text}; seen: {miss.seen}, at {self.run.now:.3f} s",
                miss.why or "the circuit does not do what the trial says",
                "change the rungs, or the trial if it asks for the wrong thing",
                expect.span,
                devices=(expect.state.subject,) if expect.state else (),
            )
        )

    def _doubt(self, expect: Expect) -> None:
        """Coils that may do either: the run lets them go on as they are, a real one may not."""
        state = self.run.state
        for element in state.doubtful:
            tag = element.partition(".")[0]
            self.remarks.setdefault(
                element,
                Problem(
                    "trial-doubtful",
                    f"whether {tag} is in or out is not sure, at {self.run.now:.3f} s",
                    why(state, tag),
                    "find what takes its volts, or choose a coil for them",
                    expect.span,
                    severity="told",
                    devices=(tag,),
                ),
            )

    def _forget(self) -> None:
        """What buzzed, raced or was shorted without being expected fails the trial."""
        run = self.run
        if run.buzzes and not self.expects_buzz:
            self._unexpected("buzzing", f"{run.buzzes[-1]}", "a contact opens its own coil again and again")
        if run.races and not self.expects_race:
            self._unexpected("race", f"{run.races[-1]}", race_story(run.races[-1]))
        if run.shorts and not self.expects_short:
            self._unexpected("short circuit", short_text(run), "two poles of a supply are joined")
        run.forget()

    def _unexpected(self, what: str, seen: str, reason: str) -> None:
        mend = f"change the rungs, or write 'expect {what}' in this trial if that is what it shows"
        message = f"{what} that was not expected: {seen}, at {self.run.now:.3f} s"
        self._fail(Problem(f"trial-{what.replace(' ', '-')}", message, reason, mend, self.trial.span))

    def _fail(self, problem: Problem) -> None:
        self.failures.append(Failure(problem, self.run.now))


def race_story(race: Race) -> str:
    """Both courses in words."""
    usual, other = ("; then ".join(str(s) for s in told(course)) for course in (race.usual, race.other))
    return f"usually: {usual}. With {listed(list(race.slow))} slow: {other}"
