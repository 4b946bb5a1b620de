"""Where the mechanism of a device stands: values only."""

from __future__ import annotations

from dataclasses import dataclass

REST, MOVING, OPERATED = "rest", "moving", "operated"
NO_RETURN = "no return"  # held by a fault only on the way back


@dataclass(frozen=True, slots=True)
class Arm:
    """A set of contacts that move together.

    `at`: "rest", "moving" or "operated"; for a selector one of its positions, or "moving" between two.
    `toward`: where it goes while it moves. `since`: when it left where it was, in seconds of the run.
    `left`: where it was before it moved.
    """

    at: str = REST
    toward: str = REST
    since: float = 0.0
    left: str = REST


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one device stands.

    `plain`: contacts that move with the mechanism; `timed`: those that a timer moves.
    `pulled`: the mechanism is driven (by magnet, hand or plant), even if something holds it.
    `fed`: names of the loads that drive it and have enough volts now.
    `phase`: what a timer or memory counts: "" nothing, else a word of its mechanism.
    `stuck`: where a fault holds the contacts, "no return" when they only never go back, "" free.
    """

    plain: Arm = Arm()
    timed: Arm = Arm()
    pulled: bool = False
    fed: frozenset[str] = frozenset()
    phase: str = ""
    stuck: str = ""

    @property
    def is_in(self) -> bool:
        """Make contacts closed."""
        return self.plain.at == OPERATED

    @property
    def is_out(self) -> bool:
        """Break contacts closed."""
        return self.plain.at == REST
