"""The panel as a machine that takes steps at moments: the same bits as in `Cone`, but times are measured, not free.

Nothing here says how long anything takes (see `clocks`). Against `Cone`: a timer may run out in any step.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from ....circuit import Device
from ....electrics.gates import FALSE, TRUE
from ..cone import Cone
from ..panel import Panel
from .joined_inputs import JoinedInputs


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
    """Some devices of a panel and all they depend on, with what their clocks need to know.

    `joined`: inputs that are asked only together, see `joined_inputs`.
    """

    def __init__(self, panel: Panel, tags: Iterable[str], joined: tuple[JoinedInputs, ...] = ()) -> None:
        self.drives: list[Drive] = []
        self.wants: dict[tuple[str, str], tuple[int, int]] = {}  # tag, drives: it is driven, it is doubtful
        self.joined = joined
        self._joined_tags = {tag for one in joined for tag in one.tags}
        super().__init__(panel, tags)
        if joined:  # one of them may change without being seen
            self._unseen = self.model.choice("change unseen")
            self.model.begun.append(("unseen", self._unseen))
        for one in joined:
            self._toggled(one.name, one.name, None)

    def asks_joined(self) -> bool:
        """Whether somebody has asked for one of the joined inputs by itself after all."""
        return bool(self._joined_tags & set(self.model.gates.inputs))

    def apart(self, bits: dict[str, bool]) -> dict[str, bool]:
        """The bits of a state by name, with every joined input for itself."""
        ways = (one.set_to(self.panel, bits[one.name]) for one in self.joined if one.name in bits)
        return bits | {tag: at for way in ways for tag, at in way.items()}

    @cached_property
    def changing(self) -> int:
        """An input changes in this step."""
        seen = super().changing
        return self.model.gates.or_(seen, self._unseen) if self.joined else seen

    def _bring(self, literal: int) -> None:
        for one in self.joined:
            if one.node not in self._image:
                self._image[one.node] = self.model.gates.input(one.name)
        if literal >> 1 not in self._image:
            super()._bring(literal)

    def _add(self, device: Device) -> None:
        if device.tag not in self._joined_tags:
            super()._add(device)

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
