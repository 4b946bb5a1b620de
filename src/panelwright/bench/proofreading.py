"""Rules and trials, gone through beside the bench: in a process of its own, so that no button ever waits for them."""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.pool import Pool
from typing import Any

from ..checks import check
from ..circuit import Problem
from .panel_view import trials_view
from .working import work_out


@dataclass(frozen=True, slots=True)
class Findings:
    """What the rules find in a text, and how its trials go (as the page shows them)."""

    problems: tuple[Problem, ...] = ()
    trials: tuple[dict[str, Any], ...] = ()


def proofread(text: str, name: str) -> Findings:
    """Go through the rules and the trials of a text."""
    worked = work_out(text, name)
    if worked.wiring is None:
        return Findings()
    return Findings(check(worked.circuit), tuple(trials_view(worked)))


class Proofreader:
    """Keeps `findings` up to date; a newer text takes the process away from an older one."""

    def __init__(self, changed: Callable[[], None]) -> None:
        self.findings = Findings()
        self._changed = changed
        self._pool: Pool | None = None
        self._reading = 0  # number of the text that is being read, 0 when none is

    def read(self, text: str, name: str) -> None:
        """Find what there is in a text; `findings` change when that is done."""
        if self._reading:
            self.close()
        if self._pool is None:
            self._pool = multiprocessing.get_context("spawn").Pool(1)
        self._reading = number = self._reading + 1
        loop = asyncio.get_running_loop()

        def told(found: Findings | BaseException) -> None:
            with contextlib.suppress(RuntimeError):  # the bench has been closed meanwhile
                loop.call_soon_threadsafe(self._take, number, found)

        self._pool.apply_async(proofread, (text, name), callback=told, error_callback=told)

    def _take(self, number: int, found: Findings | BaseException) -> None:
        if number == self._reading:
            self._reading = 0
            self.findings = found if isinstance(found, Findings) else Findings()
            self._changed()

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self._pool is not None:
            self._pool.terminate()
            self._pool = None
