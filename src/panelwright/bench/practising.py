"""Practise: a fault hidden in the panel on the bench, a learner who works and measures it, and a score."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..circuit import Do, Fault
from ..finding.efforts import effort_of
from ..finding.meters import meter_called
from ..finding.practice import NothingToHide, hide, told_symptom
from ..finding.probing import Shown
from ..finding.situations import Situation, steps_words
from ..finding.steps import Test, answer, told_test
from . import protocol as ask
from .aside import Aside, Broken
from .working import work_out

View = dict[str, Any]
Read = tuple[str, str, str, tuple[Do, ...], float | None, str, str]  # kind, a, b, done, value, text, meter


class PracticeDesk:
    """One task. ("task",) tells it and what to hide; ("score", guess, readings) judges. Raises: Broken."""

    def __init__(self, text: str, name: str, seed: int, difficulty: str) -> None:
        worked = work_out(text, name)
        if worked.wiring is None:
            raise Broken(f"There is no circuit to practise on: {worked.why_not or 'mend the text first'}.")
        try:
            self.task = hide(worked.wiring, seed, difficulty or None)  # type: ignore[arg-type]
        except NothingToHide as reason:
            raise Broken(f"{reason}.") from reason

    def __call__(self, asked: tuple[Any, ...]) -> View:
        what, *rest = asked
        return self.told() if what == "task" else self.scored(*rest)

    def told(self) -> View:
        """What the learner is told, and the faults to hide (which no page ever gets)."""
        return {
            "symptom": told_symptom(self.task),
            "difficulty": self.task.difficulty,
            "faults": self.task.cause.faults,
        }

    def scored(self, guess: str, readings: list[Read]) -> View:
        """The score of a guess: a tag, or "" to give up."""
        from ..finding.practice import Taken

        self.task.log.clear()
        for kind, a, b, done, value, text, meter in readings:
            test = Test(kind, a, b, Situation(steps_words(done), done), effort_of(kind).minutes)
            self.task.log.append(Taken(test, text, answer(test, text, value, meter_called(meter), text)))
        score = self.task.score(guess)
        return {
            "guess": guess,
            "right": score.right,
            "points": score.points,
            "tests": score.tests,
            "best": score.best,
            "live": score.live,
            "cause": score.cause.words,
            "mend": score.cause.mend,
            "way": [f"{told_test(self.task.wiring, done.test)} {done.shown}" for done in self.task.way.tests],
        }


class Practiser:
    """The task of a bench.

    `state`: "" none, "hiding", "on", "judging", "judged", or why not. `faults`: hidden while `is_on`.
    """

    def __init__(self, changed: Callable[[], None], begin: Callable[[tuple[Fault, ...]], None]) -> None:
        self.state = ""
        self.seed, self.difficulty, self.symptom = 1, "", ""
        self.readings: list[Read] = []
        self.score: View = {}
        self._changed, self._begin = changed, begin
        self._aside = Aside(self._took)

    @property
    def is_on(self) -> bool:
        """Whether a fault is hidden in the panel, and may not be shown."""
        return self.state in ("on", "judging")

    def view(self) -> View:
        """What the page shows."""
        told = [{"words": f"{a} to {b}, {steps_words(done)}", "text": text, "meter": meter}
                for _, a, b, done, _, text, meter in self.readings]  # fmt: skip
        return {"state": self.state, "seed": self.seed, "difficulty": self.difficulty, "symptom": self.symptom,
                "readings": told, "score": self.score}  # fmt: skip

    def take(self, request: ask.Hide | ask.Guess | ask.LeaveTask, text: str, name: str) -> None:
        """Do what a page asks for."""
        if isinstance(request, ask.Hide):
            self.start(text, name, request.seed, request.difficulty)
        elif isinstance(request, ask.Guess):
            self.guess(request.at)
        else:
            self.stop()

    def start(self, text: str, name: str, seed: int, difficulty: str) -> None:
        """Hide a fault. The same seed and difficulty hide the same one."""
        self.stop()
        self.seed, self.difficulty, self.symptom = seed, difficulty, ""
        self.readings, self.score = [], {}
        self.state = "hiding"
        self._aside.open(PracticeDesk, text, name, seed, difficulty)
        self._aside.ask(("task",))

    def read(self, shown: Shown, a: str, b: str, meter: str, done: tuple[Do, ...]) -> None:
        """The learner took a reading; the same one again counts once."""
        kind = "ohms" if shown.unit == "ohm" else "volts"
        taken = (kind, a, b, done, shown.value, shown.text, meter)
        if self.state == "on" and taken not in self.readings:
            self.readings.append(taken)
            self._changed()

    def guess(self, tag: str) -> None:
        """Say where the fault is; "" gives up."""
        if self.state == "on":
            self.state = "judging"
            self._aside.ask(("score", tag, self.readings))

    def stop(self) -> None:
        """Leave the task."""
        was_hidden = self.is_on or self.state == "judged"
        self._aside.close()
        self.state, self.score, self.readings, self.symptom = "", {}, [], ""
        if was_hidden:
            self._begin(())

    def _took(self, answer: View | Broken) -> None:
        if isinstance(answer, Broken):
            self._aside.close()
            self.state = str(answer)
        elif "faults" in answer:
            self.symptom = f"{answer['symptom']} ({answer['difficulty']})"
            self.state = "on"
            self._begin(answer["faults"])
        else:
            self.score, self.state = answer, "judged"
        self._changed()
