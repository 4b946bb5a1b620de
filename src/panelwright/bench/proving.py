"""The promises of a text, proved one after the other in a process of their own."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import AsyncIterator
from dataclasses import dataclass
from multiprocessing.queues import Queue
from queue import Empty
from typing import Any

from ..behaviour.proof.proving import Contradiction, Proof, prove
from ..circuit import Do, Step
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
            for proof in prove(worked.network, seconds=SECONDS_EACH):
                said.put(answer_of(proof))
        except Contradiction as reason:
            said.put(f"Nothing can be proved: {reason}")
    said.put(None)


def answer_of(proof: Proof) -> Answer:
    """A proof as the page shows it."""
    steps = tuple(step for step in proof.trial.steps if isinstance(step, Do)) if proof.trial is not None else ()
    return Answer(
        {
            "text": proof.promise.text,
            "line": proof.promise.span.line if proof.promise.span else 0,
            "outcome": proof.outcome,
            "as_promised": proof.as_promised,
            "story": proof.story,
            "reason": proof.reason,
            "notes": (*proof.notes, *(("what it speaks of never comes about",) if proof.never_occurs else ())),
            "model": proof.model,
            "assumed": tuple(sentence.text for sentence in proof.assumed),
            "can_be_tried": bool(steps),
        },
        steps,
    )


class Prover:
    """One process, while there is something to prove."""

    def __init__(self) -> None:
        self._process: multiprocessing.process.BaseProcess | None = None
        self._said: Queue[Answer | str | None] | None = None

    async def prove(self, text: str, name: str) -> AsyncIterator[Answer | str]:
        """Answers as they come, one a promise; a sentence when nothing can be proved."""
        context = multiprocessing.get_context("spawn")
        said: Queue[Answer | str | None] = context.Queue()
        process = context.Process(target=answers_to, args=(text, name, said), daemon=True)
        self._process, self._said = process, said
        process.start()
        while (answer := await asyncio.to_thread(_next, said, process)) is not None:
            yield answer

    def stop(self) -> None:
        """Stop proving; what waits for an answer gets the end."""
        if self._process is not None and self._said is not None:
            self._process.terminate()
            self._said.put(None)
        self._process = self._said = None


def _next(said: Queue[Answer | str | None], process: multiprocessing.process.BaseProcess) -> Answer | str | None:
    while True:
        try:
            return said.get(timeout=PATIENCE_S)
        except Empty:
            if not process.is_alive():
                return None if said.empty() else said.get()
