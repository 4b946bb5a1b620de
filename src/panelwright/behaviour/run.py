"""A run in time: do something, let it settle, look."""

from __future__ import annotations

from dataclasses import replace

from ..circuit import Circuit, Condition, Do, Fault, Problem
from ..electrics import Network, Short, UnknownPlace
from ..wiring import Wiring
from .buzzing import Burst, Buzz
from .engine import Engine, Moment
from .injection import Injected, fault_words, inject
from .mechanisms import ByHand
from .places import UnclearPlace, no_such_wire, unknown_device
from .races import FROZEN_S, SET_TIME_KEYS, Race, Work, Worked, races_in, set_time_races
from .shorts import shorts_in
from .state import PanelState
from .telling import Sentence, told
from .times import Paces
from .trace import Doing, Trace

VERBS = ByHand.ON | ByHand.OFF | {"turn", "renew", "take-out", "power-on", "power-off"}
TAP_S = 0.05  # how long a tapped button is held at least: a quick tap; common practice, no source


class Run:
    """A panel being worked. Starts with the supplies on and nothing operated, everything settled.

    `now`: seconds since the start. `state`: the panel at this moment. `trace`: all that has happened.
    `races`: looked for after every burst of movements when `watch_races`; `buzzes` and `shorts`: met on the way.
    """

    def __init__(
        self, wiring: Wiring | Circuit | Network, *, paces: Paces | None = None, watch_races: bool = False
    ) -> None:
        network = wiring if isinstance(wiring, Network) else Network(wiring)
        self.circuit = network.circuit
        self.watch_races = watch_races
        self.faults: tuple[Fault, ...] = ()
        self.races: list[Race] = []
        self.buzzes: list[Buzz] = []
        self.shorts: list[Short] = []
        self._engine = Engine.at_rest(network, paces)
        self._trace: list[Moment | Doing] = [self._engine.moment()]
        self._burst = Burst(dict(self._engine.stands))
        self._all_buzzes: list[Buzz] = []
        self._buzz: Buzz | None = None
        self._rested: Engine | None = None
        self._rested_at = 0
        self._seen_to = 0
        self._works: list[Worked] = []
        self.do(Do("power-on"))

    # -- looking ---------------------------------------------------------------------------------------------------

    @property
    def now(self) -> float:
        """Seconds since the start of the run."""
        return self._engine.now

    @property
    def state(self) -> PanelState:
        """The panel at this moment."""
        engine = self._engine
        buzzing = self._buzz.tags if self._buzz else frozenset()
        return PanelState(
            engine.now, self.circuit, engine.network, dict(engine.stands), engine.position, engine.solution, buzzing
        )

    @property
    def trace(self) -> Trace:
        """All that has happened so far."""
        return Trace(self.circuit, tuple(self._trace), tuple(self._all_buzzes))

    @property
    def story(self) -> tuple[Sentence, ...]:
        """All that has happened so far, in words."""
        return told(self.trace)

    @property
    def buzz(self) -> Buzz | None:
        """What goes to and fro without end at this moment."""
        return self._buzz

    def timers_due(self) -> tuple[tuple[float, str], ...]:
        """(seconds from now, tag) of every set time that is running, soonest first."""
        entries = self._engine.agenda.entries()
        return tuple(sorted((due - self.now, tag) for due, tag, key in entries if key in SET_TIME_KEYS))

    def copy(self) -> Run:
        """A run of its own that goes on from here."""
        twin = object.__new__(Run)
        twin.__dict__.update(self.__dict__)
        twin._engine = self._engine.copy()
        twin._trace, twin._works = list(self._trace), list(self._works)
        twin.races, twin.buzzes, twin.shorts = list(self.races), list(self.buzzes), list(self.shorts)
        twin._burst, twin._all_buzzes = self._burst.copy(), list(self._all_buzzes)
        return twin

    # -- doing -----------------------------------------------------------------------------------------------------

    def do(self, step: Do) -> Run:
        """Do one thing and let the movements that follow settle (set times go on running).

        Raises: UnclearPlace for a tag that no device has, ValueError for a verb that nothing answers to.
        """
        if step.verb == "wait":
            return self.advance(step.seconds or 0.0)
        together = (step, *step.also)
        start = self.now
        self._work(tuple(_begun(one) for one in together))
        if any(one.verb == "tap" for one in together):
            self.settle()
        for seconds, ended in sorted(filter(None, map(_ended, together)), key=lambda end: end[0]):
            self.advance(max(0.0, start + seconds - self.now))
            self._work((ended,))
        return self.settle()

    def put_in(self, fault: Fault) -> Problem | None:
        """From here on the fault is present; what is wrong with it when it cannot be."""
        injected = inject(self.circuit, fault)
        if isinstance(injected, Problem):
            return injected
        try:
            self._engine.network.edited(injected.edits)
        except UnknownPlace as unknown:
            return no_such_wire(self._engine.network, fault, unknown)
        self._change_faults((*self._engine.injected, injected), f"fault: {fault_words(fault)}")
        self.faults = (*self.faults, fault)
        return None

    def mend(self, subject: str = "") -> int:
        """Take away the faults about `subject`, or all; how many that were."""
        kept = [f for f in self._engine.injected if subject and not is_about(f.fault, subject)]
        count = len(self._engine.injected) - len(kept)
        self._change_faults(tuple(kept), f"{subject or 'everything'} mended")
        self.faults = tuple(f.fault for f in kept)
        return count

    def advance(self, seconds: float) -> Run:
        """Let time go by."""
        until = self._engine.now + seconds
        while (due := self._engine.agenda.next_due()) is not None and due <= until:
            if self._buzz is not None:
                if self._skip(until):
                    continue
                if self._buzz.period_s == 0.0 and self.now >= until:
                    break  # everything happens in this one instant, again and again
            self._step()
        self._engine.now = max(self._engine.now, until)
        return self

    def advance_to_next(self, until: float) -> Run:
        """Let time go by to the next instant at which something happens, at most to `until` (seconds of the run)."""
        due = self._engine.agenda.next_due()
        if due is None or due > until:
            self._engine.now = max(self._engine.now, until)
        else:
            self._step()
        return self

    def ever(self, condition: Condition) -> PanelState | None:
        """The first moment since `forget` at which a condition held; None when it never did."""
        for step in self._trace[self._seen_to :]:
            if isinstance(step, Moment):
                state = PanelState(
                    step.now, self.circuit, step.network, step.stands, step.position, step.solution, frozenset()
                )
                if state.holds(condition):
                    return state
        return self.state if self.state.holds(condition) else None

    def forget(self) -> None:
        """Let `races`, `buzzes`, `shorts` and `ever` start anew; what still buzzes or is shorted stays in them."""
        self._seen_to = len(self._trace)
        self.races = []
        self.buzzes = [self._buzz] if self._buzz else []
        self.shorts = list(self._shorts_now())

    def shorten_trace(self, keep: int) -> int:
        """Let the trace begin later, with its last `keep` steps; how many went. For runs that go on for hours."""
        gone = max(0, len(self._trace) - keep)
        del self._trace[:gone]
        self._rested_at = max(0, self._rested_at - gone)
        self._seen_to = max(0, self._seen_to - gone)
        return gone

    def settle(self) -> Run:
        """Let all movements come to rest; set times go on running. Ends, too, when something buzzes."""
        while self._engine.is_moving() and self._buzz is None:
            self._step()
        if not self._engine.is_moving():
            self._end_burst()
        return self

    # -- inside ----------------------------------------------------------------------------------------------------

    def _work(self, steps: tuple[Do, ...]) -> None:
        """Do several things at this instant."""
        for one in steps:
            if one.verb not in VERBS:
                known = ", ".join(sorted(VERBS))
                raise ValueError(f"nothing can be done that is called {one.verb}; take one of {known}")
            for tag in self._targets(one):
                if tag not in self.circuit.by_tag:
                    raise UnclearPlace(unknown_device(self.circuit, tag))

        def work(engine: Engine) -> None:
            for one in steps:
                for tag in self._targets(one):
                    if one.verb in ("power-off", "power-on"):
                        engine.power(tag, one.verb == "power-on")
                    else:
                        engine.work(tag, one.verb, one.value)

        self._at_once(work, [Doing(self.now, one.verb, self._targets(one), one.value) for one in steps])

    def _at_once(self, work: Work, doings: list[Doing]) -> None:
        """Let something be done at this instant, and the currents follow."""
        self._trace += doings
        self._start_burst()
        self._works.append(Worked(self.now, work, tuple(doings)))
        work(self._engine)
        self._engine.flow()
        self._record()
        self._burst.note(self._engine)
        self._burst.renew()
        self._buzz = None

    def _targets(self, step: Do) -> tuple[str, ...]:
        if step.targets or not step.verb.startswith("power"):
            return step.targets
        return tuple(device.tag for device in self.circuit.devices if device.sources)

    def _change_faults(self, injected: tuple[Injected, ...], words: str) -> None:
        self._at_once(lambda engine: engine.inject(injected), [Doing(self.now, "fault", (), words)])
        self.settle()

    def _start_burst(self, *, by_itself: bool = False) -> None:
        """Remember the panel at rest, for the search for races; `by_itself`: it starts with the next set time."""
        if self._watches() and self._rested is None and not self._engine.is_moving():
            self._rested = self._engine.copy()
            due = self._engine.agenda.next_due() if by_itself else None
            self._rested.freeze_set_times(FROZEN_S, due or 0.0)
            if due is not None:
                self._works.append(Worked(due, Engine.step))
            ahead = next(at for at, step in enumerate(reversed(self._trace), 1) if isinstance(step, Moment))
            self._rested_at = len(self._trace) - ahead

    def _watches(self) -> bool:
        """Whether races are looked for now: with a bad contact everything depends on its moments anyway."""
        return self.watch_races and not any(f.flutters or f.loose or f.bouncing for f in self._engine.injected)

    def _step(self) -> None:
        if self._watches() and self._rested is None and not self._engine.is_moving():
            self.races += set_time_races(self._engine)
        self._start_burst(by_itself=True)
        self._engine.step()
        self._record()
        buzz = self._burst.seen(self._engine)
        if buzz is not None and self._buzz is None:
            self._buzz = buzz
            self.buzzes.append(buzz)
            self._all_buzzes.append(buzz)
        if not self._engine.is_moving():
            self._end_burst()

    def _end_burst(self) -> None:
        if self._rested is not None and self._buzz is None and len(self._burst.moves) > 1:
            usual = tuple(self._trace[self._rested_at :])
            self.races += races_in(self._rested, tuple(self._works), frozenset(self._burst.moves), usual)
        self._buzz, self._burst = None, Burst(dict(self._engine.stands))
        self._rested, self._works = None, []

    def _record(self) -> None:
        self._trace.append(self._engine.moment())
        self.shorts += [short for short in self._shorts_now() if short not in self.shorts]

    def _shorts_now(self) -> tuple[Short, ...]:
        return shorts_in(self._engine.network, self._engine.solution)

    def _skip(self, until: float) -> bool:
        """Leap over whole rounds of a buzz; False when the next round has to be lived through.

        One without an even beat is leapt over up to the next set time.
        """
        period_s = self._buzz.period_s if self._buzz else 0.0
        others = [due for due, tag, key in self._engine.agenda.entries() if not self._engine.is_quick(due, tag, key)]
        left_s = min([until, *others]) - self.now
        leap_s = (int(left_s / period_s) - 1) * period_s if period_s else left_s
        if leap_s <= 0:
            return False
        self._engine.leap(leap_s)
        return True


def _begun(step: Do) -> Do:
    """What is done at the beginning of a step that takes time."""
    return replace(step, verb="press") if step.verb in ("tap", "hold") else step


def _ended(step: Do) -> tuple[float, Do] | None:
    """After how many seconds a step ends, and what is done then; None for a step that does not take time."""
    if step.verb == "tap":
        return TAP_S, replace(step, verb="release")
    if step.verb == "hold":
        return step.seconds or 0.0, replace(step, verb="release")
    if step.verb == "power-off" and step.seconds is not None:
        return step.seconds, replace(step, verb="power-on")
    return None


def is_about(fault: Fault, subject: str) -> bool:
    """Whether a fault is about a name: the very part, or the device that it belongs to."""
    names = (fault.subject, fault.other, fault.text)
    return any(name == subject or name.startswith(f"{subject}.") for name in names)
