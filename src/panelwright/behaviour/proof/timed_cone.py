"""The panel as a machine that takes steps at moments: the same bits as in `Cone`, but times are measured, not free.

Nothing here says how long anything takes (see `clocks`). Against `Cone`: a timer may run out in any step.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ...circuit import Device
from ...electrics.gates import FALSE, TRUE
from .cone import Cone
from .panel import Panel


class Beyond(Exception):
    """Something that is not modelled in time."""


@dataclass(frozen=True, slots=True)
class Drive:
    """What moves one arm of a device: literals. `want`: it is driven in; `doubtful`: it may go either way."""

    tag: str
    arm: str
    want: int
    doubtful: int


class TimedCone(Cone):
    """Some devices of a panel and all they depend on, with what their clocks need to know."""

    def __init__(self, panel: Panel, tags: Iterable[str]) -> None:
        self.drives: list[Drive] = []
        self.wants: dict[tuple[str, str], tuple[int, int]] = {}  # tag, drives: it is driven, it is doubtful
        super().__init__(panel, tags)

    def between(self, tag: str, arm: str = "") -> int:
        """Both its make and its break contacts are open."""
        return self.model.gates.and_(self.operated(tag, arm) ^ 1, self.at_rest(tag, arm) ^ 1)

    def _want(self, device: Device, drives: str = "coil") -> tuple[int, int]:
        self.wants[device.tag, drives] = super()._want(device, drives)
        return self.wants[device.tag, drives]

    def _arm_moves(self, tag: str, arm: str, want: int, doubtful: int = FALSE, start: bool = False) -> None:
        self.drives.append(Drive(tag, arm, want, doubtful))
        super()._arm_moves(tag, arm, want, doubtful, start)

    def _times_out(self, tag: str, fed: int) -> int:
        return FALSE if self.panel.never_times_out(tag) else TRUE
