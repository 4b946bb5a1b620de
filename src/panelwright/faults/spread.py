"""The effects of many faults, over all cores or over several machines.

Faults go out in small portions and come back in any order; the table is put together by their place in the list, so
that it is the same however they were split. A portion whose worker died is worked out again.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from functools import lru_cache
from importlib import import_module
from typing import Any

from ..wiring import Wiring
from .effects import SECONDS, Effect, EffectMaker, EffectTable, by_danger
from .fault_list import CircuitFault, fault_list

PORTION = 8  # faults that travel together; a few seconds of work
MOST_TRIES = 3  # a portion that kills its worker so often is given up

Progress = Callable[[int, int], None]


@lru_cache(maxsize=2)
def _maker(key: str) -> list[EffectMaker]:
    """One maker a worker process and panel; what it has proved serves its next portions."""
    return []


def work_out(wiring: Wiring, key: str, faults: Sequence[CircuitFault], seconds: float) -> tuple[Effect, ...]:
    """The effects of one portion. Runs in a worker, which keeps the panel by its key."""
    kept = _maker(key)
    if not kept:
        kept.append(EffectMaker(wiring, seconds))
    return tuple(kept[0].effect(fault) for fault in faults)


def effect_table(
    wiring: Wiring,
    faults: Sequence[CircuitFault] | None = None,
    *,
    seconds: float = SECONDS,
    cores: int = 1,
    over: str = "",
    progress: Progress | None = None,
) -> EffectTable:
    """All faults against all promises, the most dangerous first.

    `seconds`: at most, for one promise with one fault. `cores`: processes, 0 for all. `over`: address of a
    dask.distributed scheduler ("tcp://127.0.0.1:8786", "tls://..."). Raises: OSError when the scheduler does not
    answer, ImportError without `pip install "panelwright[campaign]"`, RuntimeError when workers keep dying.
    """
    listed = tuple(fault_list(wiring) if faults is None else faults)
    maker = EffectMaker(wiring, seconds)
    portions = [listed[start : start + PORTION] for start in range(0, len(listed), PORTION)]
    cores = min(cores or os.cpu_count() or 1, len(portions))
    if over:
        answers = _over_machines(wiring, portions, seconds, over)
    elif cores > 1:
        answers = _over_cores(wiring, portions, seconds, cores)
    else:
        answers = ((at, tuple(map(maker.effect, portion))) for at, portion in enumerate(portions))
    found: dict[int, tuple[Effect, ...]] = {}
    for at, effects in answers:
        found[at] = effects
        if progress:
            progress(sum(map(len, found.values())), len(listed))
    ordered = [effect for at in sorted(found) for effect in found[at]]
    return EffectTable(maker.bench.circuit, maker.columns, by_danger(ordered), maker.named())


Answers = Iterator[tuple[int, tuple[Effect, ...]]]


def _key(wiring: Wiring, seconds: float) -> str:
    from hashlib import sha256

    return sha256(f"{wiring.circuit!r} {seconds}".encode()).hexdigest()


def _over_cores(wiring: Wiring, portions: Sequence[Sequence[CircuitFault]], seconds: float, cores: int) -> Answers:
    """Processes on this machine; when one is killed, what was out with it goes out again."""
    key, left = _key(wiring, seconds), dict(enumerate(portions))
    for _ in range(MOST_TRIES):
        try:
            with ProcessPoolExecutor(cores) as pool:
                waiting: dict[Future[tuple[Effect, ...]], int] = {
                    pool.submit(work_out, wiring, key, portion, seconds): at for at, portion in left.items()
                }
                while waiting:
                    for done in wait(waiting, return_when=FIRST_COMPLETED).done:
                        at = waiting.pop(done)
                        answer = done.result()
                        del left[at]
                        yield at, answer
            return
        except BrokenProcessPool:
            continue
    raise RuntimeError(f"workers died {MOST_TRIES} times; {sum(map(len, left.values()))} faults are not worked out")


def _over_machines(wiring: Wiring, portions: Sequence[Sequence[CircuitFault]], seconds: float, over: str) -> Answers:
    """Workers of a dask.distributed scheduler, which sends the portions of a lost worker to another."""
    distributed: Any = import_module("distributed")
    key = _key(wiring, seconds)
    with distributed.Client(over, timeout="5s") as client:
        panel = client.scatter(wiring, broadcast=True)
        at_of = {
            client.submit(work_out, panel, key, portion, seconds, pure=False, retries=MOST_TRIES): at
            for at, portion in enumerate(portions)
        }
        for done, answer in distributed.as_completed(list(at_of), with_results=True):
            yield at_of[done], answer
