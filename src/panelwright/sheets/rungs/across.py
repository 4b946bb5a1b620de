"""Places across the rungs: how far down each row goes (`v`), by what already hangs there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, floor

from ..display import Box
from ..symbols import M

STEP = M / 2
CLEAR = 1.2  # mm between what hangs down and what stands up
BESIDE = 1.0  # mm kept free on both sides of everything


def lay_across(rows: Sequence[Sequence[Box]], least: Mapping[bool, float], *, upright: bool) -> list[float]:
    """`v` of every row. `rows`: for each, boxes (u0, v0, u1, v1) relative to its line; `least`: smallest distance."""
    sky = _Skyline()
    found: list[float] = []
    v = 0.0
    for boxes in rows:
        wanted = max((sky.over(u0, u1) + CLEAR - v0 for u0, v0, u1, _ in boxes), default=0.0)
        v = max(v + least[upright] if found else 0.0, ceil(wanted / STEP - 1e-9) * STEP)
        for u0, _, u1, v1 in boxes:
            sky.drop(u0, u1, v + v1)
        found.append(v)
    return found


class _Skyline:
    """The lowest ink so far, in steps of half M along the rungs. Outside of everything: minus infinity."""

    def __init__(self) -> None:
        self.low: dict[int, float] = {}

    def over(self, u0: float, u1: float) -> float:
        return max((self.low.get(k, -1e9) for k in self.steps(u0, u1)), default=-1e9)

    def drop(self, u0: float, u1: float, v: float) -> None:
        for k in self.steps(u0, u1):
            if v > self.low.get(k, -1e9):
                self.low[k] = v

    def steps(self, u0: float, u1: float) -> range:
        return range(floor((u0 - BESIDE) / STEP), floor((u1 + BESIDE) / STEP) + 1)
