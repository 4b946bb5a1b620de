"""The panel as a machine that takes steps at moments: the same bits as in `Cone`, but times are measured, not free.

Nothing here says how long anything takes (see `clocks`). Against `Cone`: a timer may run out in any step, and a flasher
begins with its contacts operated.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from ...circuit import Device
from ...electrics.gates import FALSE, TRUE
from .cone import Cone
from .model import Move
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


@dataclass(frozen=True, slots=True)
class Running:
    """A timer: literals. `over`: its time is up (interval); `begun`: it has been operated since it was fed (flasher).

    `supplied`: it has what it needs to run its time.
    """

    device: Device
    over: int = FALSE
    begun: int = FALSE
    supplied: int = TRUE


class TimedCone(Cone):
    """Some devices of a panel and all they depend on, with what their clocks need to know."""

    def __init__(self, panel: Panel, tags: Iterable[str]) -> None:
        self.drives: list[Drive] = []
        self.running: dict[str, Running] = {}
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

    def _timer(self, device: Device) -> None:
        """The armature follows the coil; the timed contacts follow it when the time is up."""
        model, g, tag, sort = self.model, self.model.gates, device.tag, device.mechanism.sort
        supplied = self._supplied(device)
        want, doubtful = self._want(device)
        if sort == "star-delta":
            self._star_delta(device, want, doubtful)
            self.running[tag] = Running(device)
            return
        self._arm_moves(tag, "", g.and_(want, supplied), g.and_(doubtful, supplied))
        fed, timed = self.operated(tag), self.operated(tag, ":timed")
        ran_out = model.choice(f"runs out {tag}")
        over = begun = FALSE
        if sort == "on-delay":
            target, pending = model.if_(fed, g.or_(timed, ran_out), FALSE), g.and_(fed, timed ^ 1)
        elif sort == "interval":
            over = model.monitor(f"{tag} over")
            now_over = g.and_(fed, g.or_(over, ran_out))
            model.remember(f"{tag} over", over, now_over)
            target, pending = g.and_(fed, now_over ^ 1), g.and_(fed, over ^ 1)
        elif sort == "flasher":
            begun = model.monitor(f"{tag} begun")
            model.remember(f"{tag} begun", begun, g.and_(fed, g.or_(begun, timed)))
            first = g.or_(begun, timed)
            target, pending = g.and_(fed, model.if_(first, model.differ(timed, ran_out), TRUE)), fed
        else:
            target, pending = model.if_(fed, TRUE, g.and_(timed, ran_out ^ 1)), g.and_(fed ^ 1, timed)
        self.running[tag] = Running(device, over, begun, supplied)
        self._arm_moves(tag, ":timed", target)
        model.moves[-1] = Move(tag, model.moves[-1].restless, pending)

    def _times_out(self, tag: str, fed: int) -> int:
        return TRUE

    def _supplied(self, device: Device) -> int:
        """An off-delay timer with a supply of its own has it."""
        own = [f"{device.tag}.{load.name}" for load in device.loads if not load.drives]
        if device.mechanism.sort != "off-delay" or not own:
            return TRUE
        return self.model.gates.any_of(self.full(load) for load in own)
