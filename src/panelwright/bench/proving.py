"""The promises of a text, proved one after the other in a process of their own, so that no button waits for it."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from multiprocessing.queues import Queue
from queue import Empty
from typing import Any

from ..behaviour.proof.proving import Contradiction, Proof
from ..behaviour.proof.remembering import Memory, usual_folder
from ..circuit import Expect, Step
from ..faults.proving import prove_promises
from .working import work_out

SECONDS_EACH = 20.0
PATIENCE_S = 0.5


@dataclass(frozen=True, slots=True)
class Answer:
    """One promise as the page shows it (`values`), and the steps that break it."""

    values: dict[str, Any]
    steps: tuple[Step, ...] = ()


def answers_to(text: str, name: str, said: Queue[Answer | str | None]) -> None:
    """Put an answer for each promise of a text into the queue, then None; a sentence when it cannot be done."""
    worked = work_out(text, name)
    if worked.wiring is None or worked.network is None:
        said.put(f"This text cannot be proved: {worked.why_not}")
    else:
        try:
            for proof in prove_promises(worked.wiring, seconds=SECONDS_EACH, memory=Memory(usual_folder())):
                said.put(answer_of(proof))
        except Contradiction as reason:
            said.put(f"Nothing can be proved: {reason}")
    said.put(None)


def answer_of(proof: Proof) -> Answer:
    """A proof as the page shows it."""
    trial = proof.trial
    steps = tuple(step for step in trial.steps if not isinstance(step, Expect)) if trial is not None else ()
    return Answer(
        {
            "text": proof.promise.text,
            "line": proof.promise.span.line if proof.promise.span else 0,
            "outcome": proof.outcome,
            "as_promised": proof.as_promised,
            "story": proof.whole_story,
            "reason": proof.reason,
            "notes": (*proof.notes, *_remarks(proof)),
            "model": proof.model,
            "assumed": tuple(sentence.text for sentence in proof.assumed),
            "can_be_tried": bool(steps),
        },
        steps,
    )


def _remarks(proof: Proof) -> Iterator[str]:
    if proof.never_occurs and proof.promise.span is not None:
        yield "what it speaks of never comes about"
    if proof.trial is not None and not proof.fails:
        yield "with the times of the catalogue nothing goes wrong in it; others are possible"


class Prover:
    """Proves in one process at a time.

    `state`: "" nothing asked yet, "running", "done", "stopped", "stale" (the text changed since), or why not.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self.state = ""
        self.answers: tuple[Answer, ...] = ()
        self._changed = changed
        self._task: asyncio.Task[None] | None = None
        self._process: BaseProcess | None = None

    def view(self) -> dict[str, Any]:
        """What the page shows."""
        return {"state": self.state, "answers": [answer.values for answer in self.answers]}

    def start(self, text: str, name: str) -> None:
        """Prove a text from the first promise on."""
        self.stop()
        self.answers = ()
        self.state = "running"
        self._task = asyncio.create_task(self._through(text, name))

    def stop(self) -> None:
        """Leave what is not proved yet."""
        if self._task is not None and not self._task.done():
            self._task.cancel()
            self.state = "stopped"
        if self._process is not None:
            self._process.terminate()
            self._process = None

    def text_changed(self) -> None:
        """What was proved was proved of another text."""
        self.stop()
        if self.answers:
            self.state = "stale"

    async def _through(self, text: str, name: str) -> None:
        context = multiprocessing.get_context("spawn")
        said: Queue[Answer | str | None] = context.Queue()
        process = self._process = context.Process(target=answers_to, args=(text, name, said), daemon=True)
        process.start()
        while (answer := await asyncio.to_thread(_next, said, process)) is not None:
            if isinstance(answer, str):
                self.state = answer
            else:
                self.answers = (*self.answers, answer)
            self._changed()
        if self.state == "running":
            self.state = "done" if self.answers else "The prover ended without an answer."
        self._changed()


def _next(said: Queue[Answer | str | None], process: BaseProcess) -> Answer | str | None:
    """The next thing said; None, too, when the process has ended, whatever ended it."""
    while True:
        try:
            return said.get(timeout=PATIENCE_S)
        except Empty:
            if not process.is_alive():
                return None if said.empty() else said.get()
