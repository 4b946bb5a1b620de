"""Rules and trials, gone through beside the bench: in a process of its own, so that no button ever waits for them."""

from __future__ import annotations

import asyncio
import multiprocessing
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
    """One process, started when there is something to read; a newer text takes it away from an older one."""

    def __init__(self) -> None:
        self._pool: Pool | None = None
        self._reading: asyncio.Future[Findings] | None = None

    async def read(self, text: str, name: str) -> Findings:
        """Findings of a text. Raises asyncio.CancelledError when a newer text came in between."""
        if self._reading is not None and not self._reading.done():
            self.close()
        if self._pool is None:
            self._pool = multiprocessing.get_context("spawn").Pool(1)
        loop = asyncio.get_running_loop()
        reading: asyncio.Future[Findings] = loop.create_future()
        self._reading = reading

        def told(found: Findings | BaseException) -> None:
            loop.call_soon_threadsafe(_settle, reading, found)

        self._pool.apply_async(proofread, (text, name), callback=told, error_callback=told)
        return await reading

    def close(self) -> None:
        """End the process, whatever it is doing."""
        if self._reading is not None:
            self._reading.cancel()
        if self._pool is not None:
            self._pool.terminate()
            self._pool = None


def _settle(reading: asyncio.Future[Findings], found: Findings | BaseException) -> None:
    if not reading.done():
        reading.set_result(found if isinstance(found, Findings) else Findings())
