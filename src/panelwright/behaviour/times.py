"""How long the mechanism of a device takes, as set, or at an end of its tolerance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..circuit import Device

Pace = Literal["nominal", "fast", "slow"]

HAND_SORTS = frozenset({"push", "latched push", "selector", "spring selector", "switch"})
PLANT_SORTS = frozenset({"field", "trip"})
TIMER_SORTS = frozenset({"on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta"})

# A hand or a float may be slow: its contacts then both stand open far longer than any relay needs. Common practice, no
# source; the figure only has to exceed the release times of ordinary contactors.
SLOW_TRAVEL_S = 0.1
QUICK_DWELL_S = 0.02  # nobody turns a handle through a position any quicker; common practice, no source
DWELL_S = 0.06  # a selector that is turned on stays this long at each position it passes


@dataclass(frozen=True, slots=True)
class Times:
    """Seconds of one device."""

    operate_s: float
    release_s: float
    travel_s: float
    delay_s: float
    second_delay_s: float
    dwell_s: float = DWELL_S


@dataclass(frozen=True)
class Paces:
    """Which devices run fast or slow within their tolerances; the others run as `others`."""

    others: Pace = "nominal"
    by_tag: Mapping[str, Pace] = field(default_factory=dict)

    def of(self, tag: str) -> Pace:
        """The pace of one device."""
        return self.by_tag.get(tag, self.others)


def times_of(device: Device, pace: Pace = "nominal") -> Times:
    """The times of a device at a pace.

    Hand and plant are not bound by a tolerance: slow, they linger between their positions.
    """
    moves = device.mechanism
    sign = {"nominal": 0.0, "fast": -1.0, "slow": 1.0}[pace]
    factor = 1.0 + sign * moves.tolerance
    share = moves.delay_tolerance_s / moves.delay_s if moves.delay_s else 0.0  # of both its times
    travel_s, dwell_s = moves.travel_s * factor, DWELL_S
    if moves.sort in HAND_SORTS or moves.sort in PLANT_SORTS:
        travel_s = {"nominal": moves.travel_s, "fast": min(moves.travel_s, 0.001), "slow": SLOW_TRAVEL_S}[pace]
        dwell_s = {"nominal": DWELL_S, "fast": QUICK_DWELL_S, "slow": 2 * SLOW_TRAVEL_S}[pace]
    return Times(
        operate_s=moves.operate_s * factor,
        release_s=moves.release_s * factor * device.release_factor,
        travel_s=travel_s,
        delay_s=max(0.0, moves.delay_s + sign * moves.delay_tolerance_s),
        second_delay_s=moves.second_delay_s * max(0.0, 1.0 + sign * share),
        dwell_s=dwell_s,
    )
