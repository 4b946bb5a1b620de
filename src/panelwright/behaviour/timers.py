"""Timers: relays whose timed contacts move when a set time is up."""

from __future__ import annotations

from ..circuit import Device
from .mechanisms import Alternating, ByHand, Clock, Impulse, Memory, Relay, Rule, Selector, moved
from .stands import OPERATED, REST, Stand
from .times import TIMER_SORTS, Times


class Timer(Relay):
    """What all timers share: the plain and instantaneous contacts follow the coil.

    The time runs from the moment at which the coil gets, or loses, its volts. A gap in the supply that is shorter
    than the release time goes unnoticed.
    """

    def timed(self, stand: Stand, target: str, clock: Clock) -> Stand:
        """Send the timed contacts."""
        return moved(stand, "timed", target, self.times.travel_s, clock)

    def since_fed(self, delay_s: float) -> float:
        """What is left of a delay counted from the feeding of the coil, seen when the magnet pulls."""
        return delay_s - max(0.0, self.times.operate_s - self.times.travel_s)

    def since_cut(self, delay_s: float) -> float:
        """The same, counted from the moment at which the coil lost its volts."""
        return delay_s - max(0.0, self.times.release_s - self.times.travel_s)


class OnDelay(Timer):
    """Timed contacts operate when the coil has been in for the set time, and return with the coil."""

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        clock.after(self.since_fed(self.times.delay_s), "expire")
        return super().picked(stand, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        clock.strike("expire")
        return self.timed(super().dropped(stand, clock), REST, clock)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "expire":
            return self.timed(stand, OPERATED, clock)
        return super().due(stand, key, clock)


class OffDelay(Timer):
    """Timed contacts operate with the coil, and return when it has been out for the set time.

    `keeps_time`: it runs its time without supply. One that needs a supply of its own (a second load that drives
    nothing) returns at once when that is lost.
    """

    def __init__(self, device: Device, times: Times, keeps_time: bool) -> None:
        super().__init__(device, times)
        self.keeps_time = keeps_time or not any(not drives for drives in self.drives.values())

    def is_supplied(self, stand: Stand) -> bool:
        """Whether it can run its time."""
        return self.keeps_time or any(not self.drives.get(load, "-") for load in stand.fed)

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        clock.strike("expire")
        return self.timed(super().picked(stand, clock), OPERATED, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        stand = super().dropped(stand, clock)
        if not self.is_supplied(stand):
            return self.timed(stand, REST, clock)
        clock.after(self.since_cut(self.times.delay_s), "expire")
        return stand

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        if self.is_supplied(stand):
            clock.strike("unsupplied")
        elif not clock.waits("unsupplied"):
            clock.after(self.times.release_s - self.times.travel_s, "unsupplied")
        return super().fed(stand, load, clock)

    def is_driven(self, stand: Stand) -> bool:
        return self.is_supplied(stand) and super().is_driven(stand)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key in ("expire", "unsupplied"):
            clock.strike("expire")
            return self.timed(stand, REST, clock)
        return super().due(stand, key, clock)

    def quick_keys(self) -> frozenset[str]:
        return super().quick_keys() | {"unsupplied"}


class Interval(Timer):
    """Timed contacts operate with the coil and return by themselves after the set time."""

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        clock.after(self.since_fed(self.times.delay_s), "expire")
        return self.timed(super().picked(stand, clock), OPERATED, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        clock.strike("expire")
        return self.timed(super().dropped(stand, clock), REST, clock)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "expire":
            return self.timed(stand, REST, clock)
        return super().due(stand, key, clock)


class Flasher(Timer):
    """Timed contacts go to and fro while the coil is in.

    First operated for `delay_s`, then at rest for the second delay. A second delay of 0 means as long as the first.
    """

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        clock.after(self.since_fed(self.times.delay_s), "expire")
        return self.timed(super().picked(stand, clock), OPERATED, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        clock.strike("expire")
        return self.timed(super().dropped(stand, clock), REST, clock)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key != "expire":
            return super().due(stand, key, clock)
        rests = stand.timed.toward == OPERATED
        clock.after((self.times.second_delay_s or self.times.delay_s) if rests else self.times.delay_s, "expire")
        return self.timed(stand, REST if rests else OPERATED, clock)


class StarDelta(Timer):
    """Plain contacts (star) operate with the coil for `delay_s`; the timed ones (delta) after the second delay more."""

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        clock.after(self.since_fed(self.times.delay_s), "expire")
        return super().picked(stand, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        clock.strike("expire", "change")
        return self.timed(super().dropped(stand, clock), REST, clock)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "expire":
            clock.after(self.times.second_delay_s, "change")
            return moved(stand, "plain", REST, self.times.travel_s, clock)
        if key == "change":
            return self.timed(stand, OPERATED, clock)
        return super().due(stand, key, clock)


def rule_of(device: Device, times: Times) -> Rule:
    """The rule of a device's mechanism. An unknown sort does not move."""
    sort = device.mechanism.sort
    if sort in ("selector", "spring selector"):
        return Selector(device, times, spring=sort.startswith("spring"))
    if sort in ("off-delay", "off-delay without supply"):
        return OffDelay(device, times, keeps_time=sort.endswith("without supply"))
    return _RULES.get(sort, Rule)(device, times)


_RULES: dict[str, type[Rule]] = {
    "push": ByHand,
    "latched push": ByHand,
    "field": ByHand,
    "trip": ByHand,
    "switch": ByHand,
    "relay": Relay,
    "latching": Memory,
    "impulse": Impulse,
    "alternating": Alternating,
    "on-delay": OnDelay,
    "interval": Interval,
    "flasher": Flasher,
    "star-delta": StarDelta,
}


def is_timer(device: Device) -> bool:
    """Whether its `in` means its coil, not its contacts."""
    return device.mechanism.sort in TIMER_SORTS
