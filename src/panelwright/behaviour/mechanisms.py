"""How each sort of mechanism moves: what it does when it is worked, fed, or when its time is up.

A rule is a value without memory. It is handed a `Stand` and gives back the next one, and it enters what is due later
in the device's calendar. A magnet acts in two steps: after its delay the armature leaves where it was, and
`travel_s` later it arrives; between the two all change-over contacts are open. A pulse of current shorter than the
delay moves nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from ..circuit import Device
from .agenda import Agenda
from .stands import MOVING, NO_RETURN, OPERATED, REST, Arm, Stand
from .times import Times

ArmName = Literal["plain", "timed"]


@dataclass(slots=True)
class Clock:
    """The calendar as one device sees it. `held_out`: another contactor holds this one mechanically."""

    tag: str
    now: float
    agenda: Agenda
    held_out: bool = False

    def after(self, seconds: float, key: str) -> None:
        """Let `key` come due in some seconds."""
        self.agenda.enter(self.now + max(0.0, seconds), self.tag, key)

    def strike(self, *keys: str) -> None:
        """Take entries out."""
        for key in keys:
            self.agenda.strike(self.tag, key)

    def waits(self, key: str) -> bool:
        """Whether `key` is still to come."""
        return self.agenda.due(self.tag, key) is not None


def moved(stand: Stand, name: ArmName, target: str, travel_s: float, clock: Clock) -> Stand:
    """Send a set of contacts to `target`; it arrives after the travel, or at once when there is none."""
    arm = stand.plain if name == "plain" else stand.timed
    held = stand.stuck and not (stand.stuck == NO_RETURN and target != REST)
    if held or (arm.toward == target if arm.at == MOVING else arm.at == target):
        return stand
    if clock.held_out and name == "plain" and target != REST and arm.at == REST:
        return stand
    if arm.at == MOVING:  # it turns round and needs as long as it has been on its way
        gone_s = clock.now - arm.since
        new = Arm(MOVING, target, clock.now - max(0.0, travel_s - gone_s), arm.toward)
        clock.after(gone_s, name)
    elif travel_s > 0:
        new = Arm(MOVING, target, clock.now, arm.at)
        clock.after(travel_s, name)
    else:
        new = Arm(target, target, clock.now, arm.at)
    return replace(stand, plain=new) if name == "plain" else replace(stand, timed=new)


class Rule:
    """A mechanism that does nothing by itself: lamp, fuse, strip, motor."""

    def __init__(self, device: Device, times: Times) -> None:
        self.device = device
        self.tag = device.tag
        self.times = times
        self.drives = {load.name: load.drives for load in device.loads}

    def at_rest(self) -> Stand:
        """Where it stands before anything has happened."""
        return Stand()

    def do(self, stand: Stand, verb: str, value: str, clock: Clock) -> Stand:
        """Work it by hand, or let the plant work it."""
        return stand

    def feed(self, stand: Stand, load: str, on: bool, clock: Clock) -> Stand:
        """A load that drives it gets, or loses, enough volts."""
        fed = stand.fed | {load} if on else stand.fed - {load}
        return stand if fed == stand.fed else self.fed(replace(stand, fed=fed), load, clock)

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        """What follows when `stand.fed` has changed."""
        return stand

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        """Something entered earlier comes due."""
        if key == "plain":
            return replace(stand, plain=arrived(stand.plain, clock.now))
        if key == "timed":
            return replace(stand, timed=arrived(stand.timed, clock.now))
        return stand

    def free(self, stand: Stand, clock: Clock) -> Stand:
        """What held it has gone: it goes where it is driven."""
        return moved(stand, "plain", OPERATED if stand.pulled else REST, self.times.travel_s, clock)

    def stick(self, stand: Stand, at: str, clock: Clock) -> Stand:
        """Hold the mechanism at `at` ("" where it is now); whatever drives it moves nothing any more.

        With "no return" it still goes in, and stays there.
        """
        if at == NO_RETURN:
            return replace(stand, stuck=at)
        clock.strike("plain", "timed")
        at = at or (stand.plain.left if stand.plain.at == MOVING else stand.plain.at)
        return replace(stand, plain=Arm(at, at, clock.now), timed=Arm(at, at, clock.now), stuck=at)

    def unstick(self, stand: Stand, clock: Clock) -> Stand:
        """Let it go again."""
        return self.free(replace(stand, stuck=""), clock)

    def quick_keys(self) -> frozenset[str]:
        """Keys of the calendar that belong to a movement, not to a set time."""
        return frozenset({"plain", "timed", "pick", "drop", "step", "return"})


def arrived(arm: Arm, now: float) -> Arm:
    """The end of a movement."""
    return Arm(arm.toward, arm.toward, now, arm.left)


class ByHand(Rule):
    """Worked from outside, two positions: button, limit switch, overload trip, disconnect.

    What starts "on" (a disconnect, a breaker) stands closed before anything has happened, as in a panel in service.
    """

    def at_rest(self) -> Stand:
        if self.device.mechanism.start == "on":
            return Stand(plain=Arm(OPERATED, OPERATED, left=OPERATED), pulled=True)
        return Stand()

    ON = frozenset({"press", "make", "trip", "switch-on", "push-in"})
    OFF = frozenset({"release", "clear", "reset", "switch-off"})

    def do(self, stand: Stand, verb: str, value: str, clock: Clock) -> Stand:
        if verb not in self.ON | self.OFF:
            return stand
        pulled = verb in self.ON
        target = OPERATED if pulled else REST
        return moved(replace(stand, pulled=pulled), "plain", target, self.times.travel_s, clock)


class Selector(Rule):
    """Turned from position to position through those between; `spring` returns to the start when let go."""

    def __init__(self, device: Device, times: Times, spring: bool = False) -> None:
        super().__init__(device, times)
        self.positions = device.mechanism.positions
        self.spring = spring

    def at_rest(self) -> Stand:
        start = self.device.mechanism.start or (self.positions[0] if self.positions else "")
        return Stand(plain=Arm(start, start, left=start), phase=start)

    def do(self, stand: Stand, verb: str, value: str, clock: Clock) -> Stand:
        if verb == "release" and self.spring:
            value = self.at_rest().phase
        elif verb != "turn" or value not in self.positions:
            return stand
        stand = replace(stand, phase=value)  # where the hand wants it
        return stand if stand.plain.at == MOVING else self.next_step(stand, clock)

    def next_step(self, stand: Stand, clock: Clock) -> Stand:
        here, there = self.positions.index(stand.plain.at), self.positions.index(stand.phase)
        if here == there:
            return stand
        step = self.positions[here + (1 if there > here else -1)]
        return moved(stand, "plain", step, max(self.times.travel_s, 1e-3), clock)

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "step":
            return self.next_step(stand, clock)
        stand = super().due(stand, key, clock)
        if stand.plain.at != stand.phase:
            clock.after(self.times.dwell_s, "step")
        return stand

    def free(self, stand: Stand, clock: Clock) -> Stand:
        return stand if stand.plain.at == MOVING else self.next_step(stand, clock)


class Relay(Rule):
    """Follows its coil; `push-in` holds it in by hand until `release`."""

    def is_driven(self, stand: Stand) -> bool:
        """Whether a coil has enough volts or a hand holds it in."""
        return stand.phase == "hand" or any(self.drives.get(load) == "coil" for load in stand.fed)

    def do(self, stand: Stand, verb: str, value: str, clock: Clock) -> Stand:
        if verb == "push-in":
            clock.strike("drop")
            return self.picked(replace(stand, phase="hand", pulled=True), clock)
        if verb == "release" and stand.phase == "hand":
            return self.fed(replace(stand, phase=""), "", clock)
        return stand

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        driven = self.is_driven(stand)
        clock.strike("drop" if driven else "pick")
        if driven and not stand.pulled and not clock.waits("pick"):
            clock.after(self.times.operate_s - self.times.travel_s, "pick")
        elif not driven and stand.pulled and not clock.waits("drop"):
            clock.after(self.times.release_s - self.times.travel_s, "drop")
        return stand

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "pick":
            return self.picked(replace(stand, pulled=True), clock)
        if key == "drop":
            return self.dropped(replace(stand, pulled=False), clock)
        return super().due(stand, key, clock)

    def picked(self, stand: Stand, clock: Clock) -> Stand:
        """The magnet has enough pull."""
        return moved(stand, "plain", OPERATED, self.times.travel_s, clock)

    def dropped(self, stand: Stand, clock: Clock) -> Stand:
        """The magnet has lost its pull."""
        return moved(stand, "plain", REST, self.times.travel_s, clock)


class Memory(Rule):
    """Moved by its coils and staying: set and reset coils. One that is fed still when the other lets go moves it."""

    KEYS: ClassVar[dict[str, str]] = {"set": "pick", "reset": "drop"}

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        key = self.KEYS.get(self.drives.get(load, ""))
        if key is None:
            return stand
        if load not in stand.fed:
            clock.strike(key)
            still = {self.KEYS.get(self.drives.get(one, "")) for one in stand.fed} - {None, key}
            key = next(iter(still), None) if ("drop" in still) == stand.pulled else None
        if key is not None and not clock.waits(key):
            clock.after(self.times.operate_s - self.times.travel_s, key)
        return stand

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key not in ("pick", "drop"):
            return super().due(stand, key, clock)
        stand = replace(stand, pulled=key == "pick")
        return moved(stand, "plain", OPERATED if stand.pulled else REST, self.times.travel_s, clock)

    def do(self, stand: Stand, verb: str, value: str, clock: Clock) -> Stand:
        if verb not in ("push-in", "trip", "switch-on", "switch-off", "reset"):
            return stand
        stand = replace(stand, pulled=verb in ("push-in", "switch-on"))
        return moved(stand, "plain", OPERATED if stand.pulled else REST, self.times.travel_s, clock)


class Impulse(Rule):
    """Changes over at each pulse of its coil."""

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        if self.drives.get(load) not in ("coil", "pulse"):
            return stand
        if load in stand.fed:
            clock.after(self.times.operate_s - self.times.travel_s, "pick")
        else:
            clock.strike("pick")
        return stand

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        return self.changed_over(stand, clock) if key == "pick" else super().due(stand, key, clock)

    def changed_over(self, stand: Stand, clock: Clock) -> Stand:
        """The other way round from now on."""
        stand = replace(stand, pulled=not stand.pulled)
        return moved(stand, "plain", OPERATED if stand.pulled else REST, self.times.travel_s, clock)


class Alternating(Impulse):
    """Changes over each time its coil, once in, is released."""

    def fed(self, stand: Stand, load: str, clock: Clock) -> Stand:
        if self.drives.get(load) not in ("coil", "pulse"):
            return stand
        fed = load in stand.fed
        clock.strike("drop" if fed else "pick")
        if fed and stand.phase != "cocked":
            clock.after(self.times.operate_s, "pick")
        elif not fed and stand.phase == "cocked":
            clock.after(self.times.release_s - self.times.travel_s, "drop")
        return stand

    def due(self, stand: Stand, key: str, clock: Clock) -> Stand:
        if key == "pick":
            return replace(stand, phase="cocked")
        if key == "drop":
            return self.changed_over(replace(stand, phase=""), clock)
        return super().due(stand, key, clock)
