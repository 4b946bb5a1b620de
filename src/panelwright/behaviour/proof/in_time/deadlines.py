"""Sentences with seconds: what they forbid, and what they say of people and plant, as clocks over a cone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from ....circuit import Condition, Is, Sentence
from ....electrics.gates import FALSE, TRUE
from ..asking import atoms, atoms_of
from ..assuming import Assumed, assume
from ..cone import Cone
from ..monitors import Monitors, Watch
from .clocks import Clock, Limit, Pass, Timing
from .cone import TimedCone
from .zones import ticks_at_least, ticks_at_most


@dataclass(frozen=True, slots=True)
class Late:
    """Broken where a literal holds and a clock shows more, or less, than so many ticks."""

    literal: int
    clock: str
    more_than: int | None = None
    less_than: int | None = None


@dataclass
class TimedWatch:
    """What must never happen: the same as a `Watch`, and what is too early or too late."""

    watch: Watch
    late: tuple[Late, ...] = ()
    clocks: list[Clock] = field(default_factory=list)


def watch_in_time(cone: TimedCone, sentence: Sentence, plain: Callable[[Cone], Watch]) -> TimedWatch:
    """What a sentence forbids. `plain`: makes the watch of one without seconds."""
    make: dict[str, Callable[[_Timed], TimedWatch]] = {
        "stays at most": _Timed.ends_by,
        "stays at least": _Timed.lasts,
        "only after": _Timed.held_for,
        "when": _Timed.comes_by,
        "after": _Timed.follows_by,
    }
    if sentence.seconds is None or sentence.form not in make:
        return TimedWatch(plain(cone))
    return make[sentence.form](_Timed(cone, sentence))


class _Timed(Monitors):
    """Watches with a clock."""

    @property
    def _seconds(self) -> float:
        return self.sentence.seconds or 0.0

    def ends_by(self) -> TimedWatch:
        """G(rise p -> F within T not p)."""
        p = self.all_states()
        return self._not_longer(p, Watch(FALSE, self.rise(p)))

    def lasts(self) -> TimedWatch:
        """G(rise p -> p for T), as long as the supplies that matter are on."""
        p = self.all_states()
        owed = self.powered if self.positive else TRUE
        came = self.rise(p)
        armed = self.bit(lambda now: self.g.all_of([p, owed, self.g.or_(now, came)]))
        falls = self.g.all_of([armed, p ^ 1, owed])
        clock = Clock("the promise", (self.g.any_of([p, armed]),))
        late = Late(falls, clock.name, less_than=ticks_at_least(self._seconds))
        return TimedWatch(Watch(FALSE, came), (late,), [clock])

    def comes_by(self) -> TimedWatch:
        """G(C -> F within T (not C or p)): while the condition holds, p is never lacking for longer."""
        lacking = self.g.and_(self.condition, self.all_states() ^ 1)
        return self._not_longer(lacking, Watch(FALSE, self.condition))

    def follows_by(self) -> TimedWatch:
        """G(e -> F within T (p or new))."""
        p, new = self.all_states(), self.changed()
        happens = self.g.and_(self.event(self.sentence.event), self._exception() ^ 1)
        owed = self.bit(lambda now: self._owed(now, happens, new, p))
        pending = self._owed(owed, happens, new, p)
        pending = self.g.and_(pending, self.powered) if self.positive else pending
        return self._not_longer(pending, Watch(FALSE, happens))

    def _not_longer(self, literal: int, watch: Watch) -> TimedWatch:
        """A literal holds for longer than the sentence says."""
        clock = Clock("the promise", (literal,))
        return TimedWatch(watch, (Late(literal, clock.name, more_than=ticks_at_most(self._seconds)),), [clock])

    def held_for(self) -> TimedWatch:
        """G(rise p -> C held for the last T).

        What is so in the first state was so before; only supplies have just been switched on.
        """
        condition = self.ask.condition(self.sentence.condition)
        rises = self.g.any_of(self.rise(self.ask.state(state)) for state in self.sentence.states)
        held = self.was(condition, True)
        ticks = ticks_at_least(self._seconds)
        shows = 0 if self._names_supply(self.sentence.condition) else ticks
        clock = Clock("the promise", (self.g.or_(condition, held),), at_start=shows)
        bad = self.g.and_(rises, held ^ 1)
        late = Late(self.g.and_(rises, held), clock.name, less_than=ticks)
        return TimedWatch(Watch(bad, rises), (late,), [clock])

    def _names_supply(self, condition: Condition | None) -> bool:
        by_tag = self.cone.circuit.by_tag
        return any(
            state.subject == "power" or (state.subject in by_tag and bool(by_tag[state.subject].sources))
            for state in atoms(condition)
        )


def assume_in_time(cone: TimedCone, assumptions: tuple[Sentence, ...], timing: Timing) -> Assumed:
    """Put the assumptions that speak of the cone into its model and its clocks."""
    plain = tuple(sentence for sentence in assumptions if sentence.seconds is None)
    assumed = assume(cone, plain)
    for number, sentence in enumerate(assumptions):
        if sentence.seconds is not None and _is_in(cone, sentence):
            _Assuming(cone, sentence, number, timing).take()
            assumed.used.append(sentence)
    return assumed


def _is_in(cone: TimedCone, sentence: Sentence) -> bool:
    if sentence.form == "power dips at most":
        return any(device.tag in cone.tags for device, _ in cone.circuit.supplies)
    return {state.subject for state in atoms_of(sentence)} - {"power"} <= cone.tags


class _Assuming(Monitors):
    """One assumption with seconds, as limits on clocks."""

    def __init__(self, cone: TimedCone, sentence: Sentence, number: int, timing: Timing) -> None:
        super().__init__(cone, sentence)
        self.count = 1000 * (number + 1)  # names of their own for its bits
        self.number, self.timing = number, timing

    def take(self) -> None:
        """Add its clocks."""
        form, seconds = self.sentence.form, self.sentence.seconds or 0.0
        if form == "power dips at most":
            for device, _ in self.cone.circuit.supplies:
                if device.tag in self.cone.tags:
                    self._dips(device.tag, seconds)
        elif form == "within after":
            self._within(seconds)
        elif form == "only after":
            self._only_after(seconds)
        else:
            for state in self.sentence.states:
                self._stays(state, seconds, at_least=form == "stays at least")

    def _stays(self, state: Is, seconds: float, *, at_least: bool) -> None:
        literal = self.ask.state(state)
        clock = self._clock(literal, state.subject, None if at_least else 0)
        if at_least:
            self.timing.passes.append(Pass(literal, literal ^ 1, clock, ticks_at_least(seconds)))
        else:
            self.timing.limits.append(Limit(clock, literal, ticks_at_most(seconds)))

    def _clock(self, literal: int, name: str, at_start: int | None = 0) -> str:
        clock = Clock(f"{name}, assumption {self.number + 1}", (literal,), at_start=at_start)
        self.timing.clocks.append(clock)
        return clock.name

    def _within(self, seconds: float) -> None:
        """After the event its states come within the time; a second event before that sets no new time."""
        assert self.sentence.event is not None
        event = self.rise(self.ask.condition(self.sentence.event.becomes))
        for state in self.sentence.states:
            p = self.ask.state(state)
            waits = self.bit(lambda now, p=p: self.g.and_(self.g.or_(now, event), p ^ 1))  # type: ignore[misc]
            pending = self.g.and_(self.g.or_(waits, event), p ^ 1)
            self.timing.limits.append(Limit(self._clock(pending, state.subject), pending, ticks_at_most(seconds)))

    def _only_after(self, seconds: float) -> None:
        """Its states come only when the condition has held so long; what holds in the first state held before."""
        condition = self.ask.condition(self.sentence.condition)
        clock = self._clock(condition, "condition", None)
        for state in self.sentence.states:
            p = self.ask.state(state)
            self.timing.passes.append(Pass(self.g.and_(p ^ 1, condition), p, clock, ticks_at_least(seconds)))
            self.timing.passes.append(Pass(self.g.and_(p ^ 1, condition ^ 1), p))

    def _dips(self, tag: str, seconds: float) -> None:
        on = self.ask.state(Is(tag, "on"))
        was_on = self.bit(lambda now: self.g.or_(now, on))
        off = self.g.and_(was_on, on ^ 1)
        self.timing.limits.append(Limit(self._clock(off, tag), off, ticks_at_most(seconds)))


__all__ = ["Late", "TimedWatch", "assume_in_time", "watch_in_time"]
