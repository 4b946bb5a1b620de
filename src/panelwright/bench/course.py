"""The run of a panel in real time: what was done, what happened, told and drawn as it goes on."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from ..behaviour import PanelState, Run
from ..circuit import Do, Expect, Fault, Inject, Mend, Step
from ..finding.stray import with_stray
from .live import Facts
from .telling import Line, Move, Teller
from .working import Worked

LINGERS_S = 4.0  # the clock goes on for so long after the last thing that happened
MOST_REPLAYED = 200
Clock = dict[str, Any]


class Course:
    """One run after another of whatever circuit the text gives.

    `facts`, `story`, `moves`: what the pages show; the lists only grow, and start anew as new lists.
    A changed circuit is put through everything that was done so far, at the same times.
    """

    def __init__(self, worked: Worked, timer: Callable[[], float] = time.monotonic) -> None:
        self.worked = worked
        self.timer = timer
        self.done: list[tuple[float, Step]] = []
        self._hidden: tuple[Fault, ...] = ()
        self._eyes: tuple[Facts, Facts] = ({}, {})
        self.start_again()

    # -- the circuit -----------------------------------------------------------------------------------------------

    def on(self, worked: Worked) -> Course:
        """The course on another circuit: this one when it does the same, else a new one with everything done again."""
        if worked.network is self.worked.network:
            self.worked = worked
            return self
        other = Course(worked, self.timer)
        other.do_again(self.done[-MOST_REPLAYED:], self.now)
        return other

    def start_again(self) -> None:
        """Everything at rest, nothing held, time nought."""
        self.done = []
        self._fresh()
        self._look()

    def _fresh(self) -> None:
        self.run = Run(self.worked.network) if self.worked.network is not None else None
        if self.run is not None:
            for fault in self._hidden:
                self.run.put_in(fault)
        self.facts: Facts = {}
        self._teller = Teller(self.run) if self.run is not None else None
        self.wake()
        self._looked_at = 0
        self._busy_until = 0.0
        self._pressed: set[str] = set()

    def do_again(self, steps: list[tuple[float, Step]], end: float) -> None:
        """Do what was done on another circuit, as far as this one has the devices, and go on to the time `end`."""
        if self.run is None:
            return
        for when, step in steps:
            self.run.advance(max(0.0, when - self.run.now))
            if isinstance(step, Do):
                still = tuple(tag for tag in step.targets if tag in self.run.circuit.by_tag)
                if still or not step.targets:
                    self._do(replace(step, targets=still, also=()))
            else:
                self._do(step)
        if steps:
            self.run.advance(max(0.0, end - self.run.now))
        self._look()

    @property
    def story(self) -> list[Line]:
        """What happened, in words; only the last sentence may still change."""
        return self._told().story if self._teller is not None else []

    @property
    def moves(self) -> list[Move]:
        """What moved when, for the timing diagram."""
        return self._told().moves if self._teller is not None else []

    def _told(self) -> Teller:
        """The teller, told up to now. It takes longer than to see how things stand, so it waits until it is asked."""
        assert self._teller is not None
        self._teller.listen()
        return self._teller

    # -- doing -----------------------------------------------------------------------------------------------------

    @property
    def now(self) -> float:
        """Seconds of the run."""
        return self.run.now if self.run is not None else 0.0

    @property
    def seen_by_meter(self) -> PanelState:
        """How everything stands, with the volts that long cables put on what hangs free. Only while there is a run."""
        assert self.run is not None
        assert self.worked.wiring is not None
        return with_stray(self.run.state, self.worked.wiring)

    @property
    def seen_by_eyes(self) -> Facts:
        """What somebody sees who looks at the panel itself: no volts, no contact inside a relay, no fuse element."""
        if self._eyes[0] is not self.facts and self.worked.board is not None and self.run is not None:
            self._eyes = self.facts, self.worked.board.seen_by_eyes(self.facts)
        return self._eyes[1]

    @property
    def steps_done(self) -> tuple[Do, ...]:
        """What was worked by hand since the start."""
        return tuple(step for _, step in self.done if isinstance(step, Do))

    def knows(self, place: str) -> bool:
        """Whether the circuit has such a terminal."""
        return self.run is not None and place in self.run.state.network.elements.node_of

    def hide(self, faults: tuple[Fault, ...]) -> None:
        """Start again with these faults in the panel, which nothing tells of."""
        self._hidden = faults
        self.start_again()

    def do(self, verb: str, targets: tuple[str, ...], value: str = "") -> str:
        """Do one thing now; what was wrong with it, "" if nothing."""
        if self.run is None:
            return "There is no circuit to work yet; mend the text first."
        missing = [tag for tag in targets if tag not in self.run.circuit.by_tag]
        if missing:
            return f"There is no device {missing[0]} in this circuit any more."
        self.tick()
        self._do(Do(verb, targets, value))
        self._look()
        return ""

    def play(self, steps: tuple[Step, ...]) -> str:
        """Start again and do the steps of a trial, as fast as they go; what could not be done, "" if all went."""
        if self.run is None or not steps:
            return "There is nothing to play here any more."
        self.start_again()
        for step in steps:
            why_not = self._do(step)
            if why_not:
                return why_not
        self._look()
        return ""

    def _do(self, step: Step) -> str:
        assert self.run is not None
        self._busy_until = self.run.now + LINGERS_S
        if isinstance(step, Expect):
            return ""
        self.done.append((self.run.now, step))
        if isinstance(step, Inject):
            problem = self.run.put_in(step.fault)
            return problem.message if problem else ""
        if isinstance(step, Mend):
            self.run.mend(step.subject)
            return ""
        self.run.do(step)
        self._busy_until = self.run.now + LINGERS_S
        for one in (step, *step.also):
            pushes = {tag for tag in one.targets if self.run.circuit.by_tag[tag].mechanism.sort == "push"}
            if one.verb == "press":
                self._pressed |= pushes
            elif one.verb in ("release", "tap", "hold"):
                self._pressed -= pushes
        return ""

    def skip(self) -> None:
        """Let time pass until the next timed thing has happened."""
        if self.run is not None and (due := self.run.timers_due()):
            self.run.advance(due[0][0])
            self.run.settle()
            self._busy_until = self.run.now + LINGERS_S
            self._look()
            self.wake()

    # -- time ------------------------------------------------------------------------------------------------------

    def wake(self) -> None:
        """Count from this moment; time that passed while nobody looked does not count."""
        self._counted = self.timer()

    def tick(self) -> bool:
        """Let the time go by that has gone by; whether there is anything new to see."""
        passed, self._counted = self.timer() - self._counted, self.timer()
        if self.run is None or self._teller is None or not self.is_counting:
            return False
        self.run.advance(min(passed, 1.0))
        if self.run.timers_due() or self.run.buzz is not None:
            self._busy_until = self.run.now + LINGERS_S
        moved = len(self.run.trace.steps) != self._looked_at
        if moved:
            self._look()
        return moved or not self.is_counting

    @property
    def is_counting(self) -> bool:
        """Whether time goes by: while something is timed, held or has just happened."""
        if self.run is None:
            return False
        return bool(self.run.now < self._busy_until or self._pressed or self.run.timers_due() or self.run.buzz)

    def clock(self) -> Clock:
        """Seconds now, whether they count on, and when the next set time is up."""
        due = self.run.timers_due() if self.run is not None else ()
        return {
            "now": round(self.now, 4),
            "running": self.is_counting,
            "next": round(self.now + due[0][0], 2) if due else None,
            "due": {tag: round(self.now + left, 2) for left, tag in reversed(due)},
        }

    def _look(self) -> None:
        """See how everything stands."""
        if self.run is None or self.worked.board is None:
            return
        self._looked_at = len(self.run.trace.steps)
        self.facts = self.worked.board.facts(self.run.state)
