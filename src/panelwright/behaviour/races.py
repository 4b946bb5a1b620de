"""Two orders of movement that end in different states."""

from __future__ import annotations

from dataclasses import dataclass

from .engine import Moment


@dataclass(frozen=True, slots=True)
class Race:
    """What the panel does may depend on which device is quicker.

    `tags`: devices that stand differently at the end. `usual`, `other`: both courses; `because`: who is quick or slow
    in the other one.
    """

    tags: tuple[str, ...]
    usual: tuple[Moment, ...]
    other: tuple[Moment, ...]
    because: str


def races_in() -> tuple[Race, ...]:
    return ()
