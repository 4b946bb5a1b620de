"""What each sentence forbids, as a literal over the state and a few bits that remember.

Every promise is brought to the form "this never happens". Sentences that something comes in the end are judged where
nothing will move again by itself: there it has to have come. That is exact as long as the devices do come to rest;
whether they can move for ever is a question of its own (see `endless`). Sentences with seconds: see `deadlines`.
Source of the meanings: the table of sentences in docs/look-up/panel-file.md.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

from ...circuit import Happens, Is, Sentence
from ...electrics.gates import FALSE, TRUE
from .asking import POSITIVE, Asking, atoms, atoms_of, motions
from .cone import Cone
from .half_fed import decide_loads


@dataclass
class Watch:
    """What must never happen, and what the answer rests on.

    `occurs`: the condition that the sentence speaks of, to see that it can come about at all.
    `during`, `lacking`: the sentence says that something comes in the end; it is broken too where things move for ever
    with the one holding all the while and the other again and again.
    """

    bad: int
    occurs: int = TRUE
    during: int = FALSE
    lacking: int = FALSE


class Monitors:
    """Builds the watch of one sentence in one cone."""

    def __init__(self, cone: Cone, sentence: Sentence) -> None:
        self.cone, self.model, self.g = cone, cone.model, cone.model.gates
        self.ask = Asking(cone)
        self.sentence = sentence
        self.count = 0
        self.states = sentence.states or self._everything()
        named = {state.subject for state in _named(sentence)}
        self.powered = self.ask.supplies_on(named)

    def _everything(self) -> tuple[Is, ...]:
        opposite = {"running": "stopped", "on": "off", "in": "out"}
        return tuple(Is(one.subject, opposite[one.state]) for one in motions(self.cone.panel))

    # ---- small bits of memory
    def bit(self, next_of: Callable[[int], int], start: bool = False) -> int:
        """A bit that becomes `next_of` itself in every step."""
        self.count += 1
        name = f"watch {self.count}"
        now = self.model.monitor(name)
        self.model.remember(name, now, next_of(now), start)
        return now

    def was(self, literal: int, start: bool = False) -> int:
        """What a literal was in the state before."""
        return self.bit(lambda _: literal, start)

    def rise(self, literal: int) -> int:
        """A literal holds and did not hold in the state before; never in the first state."""
        return self.g.and_(literal, self.was(literal, True) ^ 1)

    def changed(self) -> int:
        """An input has changed in the step that led here."""
        return self.was(self.cone.changing)

    def event(self, event: Happens | None) -> int:
        """The event has just happened, and no input besides has changed at that instant."""
        assert event is not None
        tags = {state.subject for state in atoms(event.becomes)}
        if "power" in tags:
            tags |= {device.tag for device, _ in self.cone.circuit.supplies}
        others = [bit for bit in self.model.bits if bit.input and bit.tag not in tags]
        besides = self.was(self.g.any_of(self.model.differ(bit.now, bit.next) for bit in others))
        happens = self.rise(self.ask.condition(event.becomes))
        if "power" in {state.subject for state in atoms(event.becomes)}:
            opposite = {"on": "off", "off": "on"}  # power as a whole: every supply at once
            state = next(atoms(event.becomes)).state
            happens = self.g.and_(happens, self.was(self.ask.state(Is("power", opposite[state]))))
        return self.g.and_(happens, besides ^ 1)

    def all_states(self) -> int:
        """Every state of the sentence holds."""
        return self.g.all_of(self.ask.state(state) for state in self.states)

    @property
    def positive(self) -> bool:
        """Whether the sentence says that something comes or stays on."""
        return any(state.state in POSITIVE for state in self.states)

    @property
    def condition(self) -> int:
        """The condition, without its exceptions, while the supplies that matter are on."""
        wanted = self.g.and_(self.ask.condition(self.sentence.condition), self._exception() ^ 1)
        return self.g.and_(wanted, self.powered) if self.positive else wanted

    def _exception(self) -> int:
        return self.ask.condition(self.sentence.unless) if self.sentence.unless is not None else FALSE

    # ---- the sentences
    def watch(self) -> Watch:
        """The watch of a sentence without seconds. Raises KeyError for a form that promises nothing (waivers)."""
        return _FORMS[self.sentence.form](self)

    def when(self) -> Watch:
        """G(C -> F(not C or (p W not C)))."""
        lacking = self.g.and_(self.condition, self.all_states() ^ 1)
        return Watch(self.g.and_(self.cone.settled, lacking), self.condition, self.condition, lacking)

    def once_when(self) -> Watch:
        """G(C -> F(not C or p))."""
        p = self.all_states()
        seen = self.bit(lambda now: self.g.and_(self.condition, self.g.or_(now, p)))
        lacking = self.g.all_of([self.condition, seen ^ 1, p ^ 1])
        return Watch(self.g.and_(self.cone.settled, lacking), self.condition, lacking, lacking)

    def only_while(self) -> Watch:
        """G(p -> C)."""
        condition = self.ask.condition(self.sentence.condition)
        p = self.g.any_of(self.ask.state(state) for state in self.states)
        return Watch(self.g.and_(p, condition ^ 1), p)

    def exactly_while(self) -> Watch:
        """Both of the last two."""
        first, second = self.when(), self.only_while()
        return Watch(self.g.or_(first.bad, second.bad), first.occurs, first.during, first.lacking)

    def after(self) -> Watch:
        """G(e -> F(p or new))."""
        p, new = self.all_states(), self.changed()
        happens = self.g.and_(self.event(self.sentence.event), self._exception() ^ 1)
        owed = self.bit(lambda now: self._owed(now, happens, new, p))
        pending = self._owed(owed, happens, new, p)
        pending = self.g.and_(pending, self.powered) if self.positive else pending
        return Watch(self.g.and_(self.cone.settled, pending), happens, pending, pending)

    def _owed(self, before: int, happens: int, new: int, done: int) -> int:
        """Still owed in this state: it has happened now, or before and nothing new since; and not yet done."""
        still = self.g.and_(before, new ^ 1)
        return self.g.and_(self.g.or_(happens, still), done ^ 1)

    def stays_after(self) -> Watch:
        """G(settled, p, not D, then e -> p W new)."""
        p, new = self.all_states(), self.changed()
        before = self.was(self.g.all_of([self.cone.settled, p, self._exception() ^ 1]))
        happens = self.g.and_(self.event(self.sentence.event), before)
        if self.positive:
            happens = self.g.and_(happens, self.powered)
        armed = self._armed(happens, new)
        bad = self.g.and_(armed, p ^ 1)
        if self.positive:
            bad = self.g.and_(bad, self.powered)
        return Watch(bad, happens)

    def _armed(self, happens: int, new: int) -> int:
        """It has happened now, or before and no input has changed since."""
        before = self.bit(lambda now: self.g.or_(happens, self.g.and_(now, new ^ 1)))
        return self.g.or_(happens, self.g.and_(before, new ^ 1))

    def stays_until(self) -> Watch:
        """G(rise p -> p W C)."""
        p, until = self.all_states(), self.ask.condition(self.sentence.until)
        free = self.g.or_(until, self.powered ^ 1) if self.positive else until
        came = self.rise(p)
        holds = self.bit(lambda now: self.g.all_of([p, free ^ 1, self.g.or_(now, came)]))
        return Watch(self.g.all_of([holds, p ^ 1, free ^ 1]), came)

    def only_after(self) -> Watch:
        """G(rise p -> C held)."""
        condition = self.ask.condition(self.sentence.condition)
        rises = self.g.any_of(self.rise(self.ask.state(state)) for state in self.states)
        held = self.was(condition, True)
        return Watch(self.g.all_of([rises, condition ^ 1, held ^ 1]), rises)

    def never_together(self) -> Watch:
        """G not (p1 and p2), pairwise."""
        each = [self.ask.state(state) for state in self.sentence.states]
        pairs = [self.g.and_(a, b) for i, a in enumerate(each) for b in each[i + 1 :]]
        return Watch(self.g.any_of(pairs), self.g.any_of(each))

    def never(self) -> Watch:
        """G not C."""
        return Watch(self.ask.condition(self.sentence.condition))

    def always(self) -> Watch:
        """G C."""
        return Watch(self.ask.condition(self.sentence.condition) ^ 1)

    def while_always(self) -> Watch:
        """G(C -> D)."""
        condition = self.ask.condition(self.sentence.condition)
        return Watch(self.g.and_(condition, self.ask.condition(self.sentence.until) ^ 1), condition)

    def after_until(self) -> Watch:
        """G(e -> C W D)."""
        happens = self.event(self.sentence.event)
        until = self.ask.condition(self.sentence.until)
        holds = self.bit(lambda now: self.g.and_(self.g.or_(now, happens), until ^ 1))
        owed = self.g.or_(happens, holds)
        bad = self.g.all_of([owed, until ^ 1, self.ask.condition(self.sentence.condition) ^ 1])
        return Watch(bad, happens)

    def in_order(self) -> Watch:
        """Each rise only when the one before is in (each fall only when the one before is out)."""
        each = [self.ask.state(state) for state in self.sentence.states]
        pairs = itertools.pairwise(each)
        wrong = [self.g.all_of([self.rise(b), a ^ 1, self.was(a, True) ^ 1]) for a, b in pairs]
        return Watch(self.g.any_of(wrong), self.rise(each[-1]))

    def take_turns(self) -> Watch:
        """Between two rises of one (counting those in C) lies a rise of the other."""
        condition = self.ask.condition(self.sentence.condition)
        all_rises = [self.rise(self.ask.state(state)) for state in self.sentence.states]
        rises = [self.g.and_(rise, condition) for rise in all_rises]
        wrong: list[int] = []
        for index, rise in enumerate(rises):
            others = self.g.any_of(r for k, r in enumerate(all_rises) if k != index)
            last = self.bit(lambda now, r=rise, o=others: self.g.and_(self.g.or_(now, r), o ^ 1))  # type: ignore[misc]
            wrong.append(self.g.and_(rise, last))
        return Watch(self.g.any_of(wrong), self.g.any_of(rises))

    def nothing_starts(self) -> Watch:
        """G(settled, then e, no spring-return button held -> nothing that stood still starts, W new)."""
        before = self.was(self.cone.settled)
        no_push = self.ask.no_push()
        happens = self.g.all_of([self.event(self.sentence.event), no_push, before])
        armed = self._armed(happens, self.changed())
        still = {one.subject for one in self.states}
        moving = [self.ask.state(state) for state in motions(self.cone.panel) if state.subject in still]
        starts = self.g.any_of(self.rise(one) for one in moving)
        # that no button is held has not changed since; to say so once more makes the proof a matter of one step
        return Watch(self.g.all_of([armed, no_push, starts]), happens)

    def again(self) -> Watch:
        """If in at the failure, in again after the return: F(in or new)."""
        p, new = self.all_states(), self.changed()
        on = self.ask.state(Is("power", "on"))
        before = self.was(p)
        lost = self.bit(lambda now: self.model.if_(on, FALSE, self.g.or_(now, before)))
        returns = self.g.and_(self.rise(on), lost)
        owed = self.bit(lambda now: self._owed(now, returns, new, p))
        pending = self._owed(owed, returns, new, p)
        return Watch(self.g.and_(self.cone.settled, pending), returns, pending, pending)

    def rests(self) -> Watch:
        """G(e -> F(every load as at rest or new))."""
        new, happens = self.changed(), self.event(self.sentence.event)
        resting = self._resting()
        owed = self.bit(lambda now: self._owed(now, happens, new, resting))
        pending = self._owed(owed, happens, new, resting)
        return Watch(self.g.and_(self.cone.settled, pending), happens, pending, pending)

    def _resting(self) -> int:
        """Every load stands as it does before anything has happened."""
        panel = self.cone.panel
        decide_loads(panel)
        at_rest = [name for name in panel.program.gates.inputs if self._true_at_rest(name)]
        verdicts = panel.program.verdicts(at_rest)
        return self.g.all_of(
            self.cone.full(load) if verdict == "full" else self.cone.full(load) ^ 1
            for load, verdict in verdicts.items()
            if verdict != "partial"
        )

    def _true_at_rest(self, name: str) -> bool:
        if name.startswith("supply:") or name.endswith(":rest"):
            return True
        tag, _, position = name.partition("=")
        device = self.cone.circuit.by_tag.get(tag)
        if position:
            return device is not None and device.mechanism.start == position
        return device is not None and device.mechanism.sort == "switch" and device.mechanism.start == "on"


def _named(sentence: Sentence) -> list[Is]:
    return list(atoms_of(sentence))


_FORMS: dict[str, Callable[[Monitors], Watch]] = {
    "when": Monitors.when,
    "at least once when": Monitors.once_when,
    "only while": Monitors.only_while,
    "exactly while": Monitors.exactly_while,
    "after": Monitors.after,
    "stays after": Monitors.stays_after,
    "stays until": Monitors.stays_until,
    "only after": Monitors.only_after,
    "never together": Monitors.never_together,
    "never": Monitors.never,
    "always": Monitors.always,
    "while always": Monitors.while_always,
    "after until": Monitors.after_until,
    "in order": Monitors.in_order,
    "take turns": Monitors.take_turns,
    "nothing starts": Monitors.nothing_starts,
    "again when power returns": Monitors.again,
    "everything rests after": Monitors.rests,
}
