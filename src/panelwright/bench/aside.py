"""Long work in a process of its own, asked one thing after the other, so that no button ever waits for it."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

Desk = Callable[..., Callable[[Any], Any]]  # made once from its arguments; then called with each thing asked
WENT = "It ended without an answer; start again."


class Broken(Exception):
    """The work cannot be done; the message says why."""


def _work(desk: Desk, arguments: tuple[Any, ...], line: Connection) -> None:
    """In the other process: make the desk, then answer until nobody asks any more."""
    try:
        answers = desk(*arguments)
    except Broken as reason:
        line.send(reason)
        return
    try:
        while True:
            asked = line.recv()
            try:
                line.send(answers(asked))
            except Broken as reason:
                line.send(reason)
    except (EOFError, KeyboardInterrupt):
        return


class Aside:
    """One desk in one process. What is asked is answered in order; `took` gets every answer, on the event loop."""

    def __init__(self, took: Callable[[Any], None]) -> None:
        self._took = took
        self._process: BaseProcess | None = None
        self._line: Connection | None = None
        self._task: asyncio.Task[None] | None = None
        self._asked: asyncio.Queue[Any] = asyncio.Queue()

    @property
    def is_open(self) -> bool:
        """Whether there is a desk to ask."""
        return self._process is not None

    def open(self, desk: Desk, *arguments: Any) -> None:
        """Begin anew with another desk."""
        self.close()
        context = multiprocessing.get_context("spawn")
        ours, theirs = context.Pipe()
        self._asked = asyncio.Queue()
        self._line = ours
        process = context.Process(target=_work, args=(desk, arguments, theirs), daemon=True)
        process.start()
        self._process = process
        theirs.close()
        self._task = asyncio.create_task(self._through(ours, self._asked))

    def ask(self, what: Any) -> None:
        """Ask, after everything that was asked before."""
        self._asked.put_nowait(what)

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self._task is not None:
            self._task.cancel()
            self._task = None
        if self._process is not None:
            self._process.terminate()
            self._process = None

    async def _through(self, line: Connection, asked: asyncio.Queue[Any]) -> None:
        try:
            while True:
                line.send(await asked.get())
                self._took(await asyncio.to_thread(line.recv))
        except (EOFError, OSError):
            self._process = None
            self._took(Broken(WENT))
