"""Clocks over the steps of a panel: what each counts since, and what it allows.

Times are those of the devices with their tolerances, as the moving panel uses them (see `times`, `timers`): every
number here is rounded and widened so that no course that the moving panel can take is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ....circuit import Device
from ....electrics.gates import FALSE
from ...injection import NEVER_S
from ...times import SLOW_TRAVEL_S, Times
from ..cone import HAND, Running
from .cone import Drive, TimedCone
from .zones import ticks_at_least, ticks_at_most

HAND_TRAVEL_S = 2 * SLOW_TRAVEL_S  # a slow hand that turns round on the way


@dataclass(frozen=True, slots=True)
class Clock:
    """Counts from the moment at which one of the literals `since` comes true, as long as one of them holds.

    `loose`: where this held just before, it may show anything. `at_start`: what it shows in the first state (ticks),
    None anything.
    """

    name: str
    since: tuple[int, ...]
    loose: int = FALSE
    at_start: int | None = 0


@dataclass(frozen=True, slots=True)
class Limit:
    """While a literal holds, a clock shows at most so many ticks."""

    clock: str
    literal: int
    most: int


@dataclass(frozen=True, slots=True)
class Pass:
    """A step from where `before` holds to where `after` holds needs a clock between two limits (ticks).

    No clock: there is no such step.
    """

    before: int
    after: int
    clock: str = ""
    least: int = 0
    most: int | None = None


@dataclass
class Timing:
    """Everything that is known about times."""

    clocks: list[Clock] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    passes: list[Pass] = field(default_factory=list)

    def literals(self) -> Iterator[int]:
        """Every literal that a clock looks at."""
        for clock in self.clocks:
            yield from clock.since
            yield clock.loose
        yield from (limit.literal for limit in self.limits)
        for step in self.passes:
            yield step.before
            yield step.after


Span = tuple[float, float]  # seconds, at least and at most


def device_timing(cone: TimedCone) -> Timing:
    """The clocks of all devices of a cone."""
    timing = _Timing(cone)
    for drive in cone.drives:
        if not drive.arm:
            timing.arm(drive)
    for running in cone.running.values():
        timing.timer(running)
    for device in cone.circuit.devices:
        if device.tag in cone.tags and device.tag not in cone.panel.stuck:
            timing.by_hand(device)
    return timing.timing


class _Timing:
    def __init__(self, cone: TimedCone) -> None:
        self.cone, self.model, self.g = cone, cone.model, cone.model.gates
        self.timing = Timing()
        self.held = {tag for pair in cone.circuit.interlocks for tag in pair}

    def _times(self, tag: str) -> tuple[Times, Times]:
        panel = self.cone.panel
        return panel.times_of(tag, "fast"), panel.times_of(tag, "slow")

    def _clock(self, name: str, *since: int, loose: int = FALSE) -> str:
        self.timing.clocks.append(Clock(name, since, loose))
        return name

    def _limit(self, clock: str, literal: int, seconds: float) -> None:
        if seconds < NEVER_S / 2:  # a timer that never times out has no limit
            self.timing.limits.append(Limit(clock, literal, ticks_at_most(seconds)))

    def _pass(self, before: int, after: int, clock: str, least_s: float, most_s: float | None = None) -> None:
        most = None if most_s is None else ticks_at_most(most_s)
        self.timing.passes.append(Pass(before, after, clock, ticks_at_least(least_s), most))

    def _never(self, before: int, after: int) -> None:
        self.timing.passes.append(Pass(before, after))

    # ---- arms
    def _moves(self, tag: str, arm: str, while_: int, clock: str, leaves: Span, travels: Span, *, inward: bool) -> None:
        """Contacts that leave one end in a span of time on a clock, and arrive at the other after their travel.

        An arm with make contacts alone closes when it arrives and opens when it leaves, one with break contacts alone
        the other way round; one without any may count as moved from the first moment to the last.
        """
        g = self.g
        op, rest = self.cone.operated(tag, arm), self.cone.at_rest(tag, arm)
        start, end = (rest, op) if inward else (op, rest)
        arrives = (leaves[0] + travels[0], leaves[1] + travels[1])
        forms = self.cone.panel.forms.get((tag, arm), set())
        if forms >= {"no", "nc"}:
            self._pass(g.and_(while_, start), start ^ 1, clock, leaves[0])
            self._limit(clock, g.and_(while_, start), leaves[1])
            changes = arrives
        elif forms:
            changes = arrives if ("no" in forms) == inward else leaves
        else:
            changes = (leaves[0], arrives[1])
        self._pass(g.and_(while_, end ^ 1), end, clock, changes[0])
        self._limit(clock, g.and_(while_, end ^ 1), changes[1])

    def _lag(self, tag: str, travels: Span, *, inward: bool) -> Span:
        """How long before the arrival of the armature its bit changes, in which `Cone` sees that it has moved."""
        forms = self.cone.panel.forms.get((tag, ""), set())
        if not forms:
            return (0.0, travels[1])
        at_arrival = ("no" in forms) if inward else forms == {"nc"}
        return (0.0, 0.0) if at_arrival else travels

    def arm(self, drive: Drive) -> None:
        """An armature, or the contacts of a memory: they move within the times of the coil."""
        g, tag = self.g, drive.tag
        device = self.cone.circuit.by_tag[tag]
        fast, slow = self._times(tag)
        sort = device.mechanism.sort
        if sort in ("impulse", "alternating"):
            self._stepping(drive, fast, slow)
            return
        if sort == "star-delta":
            return  # see `timer`
        if tag in self.held:  # let go by the other one while its magnet pulls, it has its travel to go
            self._magnet(tag, fast, slow)
            self._follows(tag, "", drive.want, slow)
            return
        doubtful = self._both_coils(device) if sort == "latching" else drive.doubtful
        sent_in, sent_out = g.and_(doubtful ^ 1, drive.want), g.and_(doubtful ^ 1, drive.want ^ 1)
        op, rest = self.cone.operated(tag), self.cone.at_rest(tag)
        with_in, with_out = self._timed_with(tag)
        travels = (fast.travel_s, slow.travel_s)
        ins = _leaving((fast.operate_s, slow.operate_s), travels)
        outs = ins if sort == "latching" else _leaving((fast.release_s, slow.release_s), travels)
        going_in = g.and_(sent_in, g.or_(op ^ 1, with_in))
        going_out = g.and_(sent_out, g.or_(rest ^ 1, with_out))
        clock = self._clock(tag, going_in, going_out, loose=doubtful)
        self._moves(tag, "", sent_in, clock, ins, travels, inward=True)
        self._moves(tag, "", sent_out, clock, outs, travels, inward=False)
        if with_in != FALSE:
            self._moves(tag, ":timed", g.and_(sent_in, with_in), clock, ins, travels, inward=True)
        if with_out != FALSE:
            self._moves(tag, ":timed", g.and_(sent_out, with_out), clock, outs, travels, inward=False)
        if self.cone.panel.has_place_between(tag, ""):
            self._overtaken(tag, clock, sent_in, sent_out, slow.travel_s)

    def _overtaken(self, tag: str, clock: str, sent_in: int, sent_out: int, travel_s: float) -> None:
        """On its way when its coil is switched, an arm may still arrive, and then it is sent back."""
        between = self.cone.between(tag)
        self._pass(self.g.and_(sent_out, between), self.cone.operated(tag), clock, 0.0, travel_s)
        self._pass(self.g.and_(sent_in, between), self.cone.at_rest(tag), clock, 0.0, travel_s)

    def _timed_with(self, tag: str) -> tuple[int, int]:
        """Where timed contacts have still to move in, or out, together with the armature."""
        running = self.cone.running.get(tag)
        if running is None:
            return FALSE, FALSE
        g, sort = self.g, running.device.mechanism.sort
        out_of_in, out_of_rest = self.cone.operated(tag, ":timed") ^ 1, self.cone.at_rest(tag, ":timed") ^ 1
        if sort == "on-delay":
            return FALSE, out_of_rest
        if sort == "interval":
            return g.and_(out_of_in, running.over ^ 1), out_of_rest
        if sort == "flasher":
            return g.and_(out_of_in, running.begun ^ 1), out_of_rest
        return out_of_in, FALSE

    def _both_coils(self, device: Device) -> int:
        """It is not sure what a device with two coils is driven to."""
        g = self.g
        coils = [
            [f"{device.tag}.{load.name}" for load in device.loads if load.drives == drives]
            for drives in ("set", "reset")
        ]
        may = [g.any_of(self.cone.may(coil) for coil in some) for some in coils]
        full = [g.any_of(self.cone.full(coil) for coil in some) for some in coils]
        half = [g.and_(m, f ^ 1) for m, f in zip(may, full, strict=True)]
        return g.any_of([g.and_(*may), *half])

    def _magnet(self, tag: str, fast: Times, slow: Times) -> int:
        """The magnet of a coil that has a bit of its own: literal that it pulls. The contacts follow it."""
        g, pulls = self.g, self.g.input(f"!{tag} magnet")
        want, doubtful = self.cone.wants[tag, "coil"]
        going_in, going_out = g.all_of([doubtful ^ 1, want, pulls ^ 1]), g.all_of([doubtful ^ 1, want ^ 1, pulls])
        coil = self._clock(tag, going_in, going_out, loose=doubtful)
        self._limit(coil, going_in, slow.operate_s - slow.travel_s)
        self._limit(coil, going_out, slow.release_s - slow.travel_s)
        self._pass(going_in, pulls, coil, fast.operate_s - fast.travel_s)
        self._pass(going_out, pulls ^ 1, coil, fast.release_s - fast.travel_s)
        return pulls

    def _stepping(self, drive: Drive, fast: Times, slow: Times) -> None:
        g, tag = self.g, drive.tag
        pulls = g.input(f"!{tag} magnet")
        want, doubtful = self.cone.wants[tag, "pulse"]
        going_in = g.all_of([doubtful ^ 1, want, pulls ^ 1])
        going_out = g.all_of([doubtful ^ 1, want ^ 1, pulls])
        clock = self._clock(f"{tag} magnet", going_in, going_out, loose=doubtful)
        self._limit(clock, going_in, slow.operate_s)
        self._limit(clock, going_out, slow.release_s)
        self._pass(going_in, pulls, clock, fast.operate_s - slow.travel_s)
        if self.cone.circuit.by_tag[tag].mechanism.sort == "alternating":
            self._pass(going_out, pulls ^ 1, clock, fast.release_s - slow.travel_s)
        self._follows(tag, "", g.input(f"!{tag} side"), slow)

    def _follows(self, tag: str, arm: str, want: int, slow: Times) -> None:
        """Contacts that go where they are sent at once."""
        g = self.g
        going_in = g.and_(want, self.cone.operated(tag, arm) ^ 1)
        going_out = g.and_(want ^ 1, self.cone.at_rest(tag, arm) ^ 1)
        clock = self._clock(f"{tag}{arm} travels", going_in, going_out)
        self._limit(clock, going_in, slow.travel_s)
        self._limit(clock, going_out, slow.travel_s)

    # ---- timers
    def timer(self, running: Running) -> None:
        """The timed contacts of a timer."""
        tag, sort = running.device.tag, running.device.mechanism.sort
        fast, slow = self._times(tag)
        if sort == "on-delay":
            self._on_delay(tag, fast, slow)
        elif sort == "interval":
            self._interval(running, fast, slow)
        elif sort == "flasher":
            self._flasher(running, fast, slow)
        elif sort == "star-delta":
            self._star_delta(tag, fast, slow)
        else:
            self._off_delay(running, fast, slow)

    def _since_moved(self, tag: str, fast: Times, slow: Times, *, inward: bool) -> Span:
        """The set time, counted from the moment at which the armature counts as moved; it is set from the coil on."""
        moves = (fast.operate_s, slow.operate_s) if inward else (fast.release_s, slow.release_s)
        lag = self._lag(tag, (fast.travel_s, slow.travel_s), inward=inward)
        return fast.delay_s - moves[1] + lag[0], slow.delay_s - moves[0] + lag[1]

    def _on_delay(self, tag: str, fast: Times, slow: Times) -> None:
        g, travels = self.g, (fast.travel_s, slow.travel_s)
        fed, op, rest = self.cone.operated(tag), self.cone.operated(tag, ":timed"), self.cone.at_rest(tag, ":timed")
        runs, falls = g.and_(fed, op ^ 1), g.and_(fed ^ 1, rest ^ 1)
        clock = self._clock(f"{tag} time", runs)
        self._moves(tag, ":timed", fed, clock, self._since_moved(tag, fast, slow, inward=True), travels, inward=True)
        self._limit(self._clock(f"{tag}:timed travels", falls), falls, slow.travel_s)
        if self.cone.panel.has_place_between(tag, ":timed"):  # on their way they go where the armature is
            between = self.cone.between(tag, ":timed")
            self._never(g.and_(fed, between), rest)
            self._never(g.and_(fed ^ 1, between), op)

    def _off_delay(self, running: Running, fast: Times, slow: Times) -> None:
        g, tag, travels = self.g, running.device.tag, (fast.travel_s, slow.travel_s)
        fed, op, rest = self.cone.operated(tag), self.cone.operated(tag, ":timed"), self.cone.at_rest(tag, ":timed")
        rises, runs = g.and_(fed, op ^ 1), g.and_(fed ^ 1, rest ^ 1)
        self._limit(self._clock(f"{tag}:timed travels", rises), rises, slow.travel_s)
        clock = self._clock(f"{tag} time", runs)
        leaves = self._since_moved(tag, fast, slow, inward=False)
        self._moves(tag, ":timed", g.and_(fed ^ 1, running.supplied), clock, leaves, travels, inward=False)
        self._limit(clock, runs, leaves[1] + slow.travel_s)
        if self.cone.panel.has_place_between(tag, ":timed"):
            self._never(g.and_(fed, self.cone.between(tag, ":timed")), rest)

    def _interval(self, running: Running, fast: Times, slow: Times) -> None:
        g, tag, over = self.g, running.device.tag, running.over
        runs = g.and_(self.cone.operated(tag), over ^ 1)
        clock = self._clock(f"{tag} time", runs)
        leaves = self._since_moved(tag, fast, slow, inward=True)
        self._limit(clock, runs, leaves[1] + slow.travel_s)
        self._pass(runs, over, clock, leaves[0])
        self._follows(tag, ":timed", runs, slow)

    def _flasher(self, running: Running, fast: Times, slow: Times) -> None:
        g, tag, begun = self.g, running.device.tag, running.begun
        fed, op, rest = self.cone.operated(tag), self.cone.operated(tag, ":timed"), self.cone.at_rest(tag, ":timed")
        first = g.all_of([fed, begun ^ 1, op ^ 1])
        falls = g.and_(fed ^ 1, rest ^ 1)
        moving = g.and_(self.cone.between(tag, ":timed"), fed)
        start = self._clock(f"{tag}:timed travels", first, falls, moving)
        for literal in (first, falls, moving):
            self._limit(start, literal, slow.travel_s)
        closed, opened = g.and_(fed, op), g.all_of([fed, begun, rest])
        on, off = self._clock(f"{tag} time", closed), self._clock(f"{tag} pause", opened)
        pause = (fast.second_delay_s or fast.delay_s, slow.second_delay_s or slow.delay_s)
        self._limit(on, closed, slow.delay_s + slow.travel_s)
        self._limit(off, opened, pause[1] + slow.travel_s)
        self._pass(closed, op ^ 1, on, fast.delay_s - slow.operate_s - slow.travel_s)
        self._pass(opened, rest ^ 1, off, pause[0] - slow.travel_s)

    def _star_delta(self, tag: str, fast: Times, slow: Times) -> None:
        g = self.g
        pulled = self._magnet(tag, fast, slow)
        over, changed = (g.input(f"!{tag} {what}") for what in ("over", "changed"))
        star, pause = g.and_(pulled, over ^ 1), g.all_of([pulled, over, changed ^ 1])
        first, second = self._clock(f"{tag} time", star), self._clock(f"{tag} pause", pause)
        self._limit(first, star, slow.delay_s - fast.operate_s + slow.travel_s)
        self._pass(star, over, first, fast.delay_s - slow.operate_s + fast.travel_s)
        self._limit(second, pause, slow.second_delay_s)
        self._pass(pause, changed, second, fast.second_delay_s)
        self._follows(tag, "", star, slow)
        self._follows(tag, ":timed", g.and_(pulled, changed), slow)

    # ---- hands and plant
    def by_hand(self, device: Device) -> None:
        """Between its two ends a button or a float does not stay for long."""
        if device.mechanism.sort in HAND and self.cone.panel.has_place_between(device.tag, ""):
            between = self.cone.between(device.tag)
            clock = self._clock(f"{device.tag} travels", between)
            self._limit(clock, between, HAND_TRAVEL_S)


def _leaving(arrives: Span, travels: Span) -> Span:
    """When an arm leaves its end, from when it arrives at the other."""
    return max(0.0, arrives[0] - travels[0]), max(0.0, arrives[1] - travels[1])
