"""Promises proved, broken or left open, each with what it rests on."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from ...circuit import Circuit, Fault, Sentence, Trial
from ...electrics import Network
from ...wiring import Wiring
from ..injection import fault_words
from .asking import atoms_of, motions, tags_of
from .assuming import Assumed, assume, tags_assumed
from .buzzing import course_into_buzzing
from .clauses import Step
from .cone import Cone
from .courses import Moment, moments, told, two_told
from .endless import unrestful
from .explicit import TooLarge, Walk
from .half_fed import TooManyPositions
from .in_time.proving import InTime, decide_in_time
from .monitors import Monitors, Watch
from .panel import Panel
from .racing import decide_race
from .rechecking import SECOND_SOLVER, VOLTS, can_be_gone, is_small, never_holds
from .remembering import Memory, name_of
from .replay import doubts, said_at, volts_say
from .runs import Runs
from .standing import promises_owed, waived_at
from .symbolic import MET, search
from .unrolling import Course, Unrolling

Outcome = Literal["kept", "broken", "not decided"]
SECONDS = 20.0
MOST_TOLD = 64  # of states between which things move for ever, for which the volts are worked out at a time
MOST_GROUP_STATES = 3  # of states between which things move for ever, one reached is enough to reach them all
MANY_BITS = 30  # with more, runs by lot are a quicker way to see that something comes about than a search
FOR_EVER = "from there on devices move for ever"
LONG_WAY = "the way told is not sure to be the shortest"
AGAIN_S = 5.0  # at most, for checking an answer again
AT_ODDS = "two ways to decide it are at odds, which is a mistake of this program; please report it with the file"
WALKED_CHOICES = 8  # cones with no more are walked, larger ones proved by induction


@dataclass(frozen=True)
class Proof:
    """The answer to one promise.

    `model`: the model of time that was used. `course`: the shortest way to break it (the notes say where it may not
    be), `story` in words.
    `bound`: for "not decided", within how many steps nothing breaks it; `reason`: why it is open.
    `assumed`: the assumptions it rests on; `unused`: those that could not be used (a promise kept without them is
    kept with them). `never_occurs`: the condition that the promise speaks of never comes about. `faults`: that stand
    in the panel all the while. `trial`: the course to try, see `with_trial`; `fails`: with the times of the catalogue
    that trial does fail. `engine`: how it was decided; `checked`: by what else, see `rechecking`.
    """

    promise: Sentence
    outcome: Outcome
    model: str
    assumed: tuple[Sentence, ...] = ()
    unused: tuple[Sentence, ...] = ()
    course: tuple[Moment, ...] = ()
    story: tuple[str, ...] = ()
    bound: int = 0
    reason: str = ""
    never_occurs: bool = False
    engine: str = ""
    checked: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    faults: tuple[Fault, ...] = ()
    trial: Trial | None = None
    fails: bool = False

    @property
    def as_promised(self) -> bool | None:
        """Whether it came out as the file says ("not kept:" wants broken); None when not decided."""
        if self.outcome == "not decided":
            return None
        return (self.outcome == "broken") == self.promise.not_kept

    @property
    def whole_story(self) -> tuple[str, ...]:
        """How it is broken, in words: the fault that it takes first, where the promise itself does not name it."""
        if self.outcome != "broken":
            return ()
        named = () if self.promise.faults else self.faults
        with_faults = tuple(f"With {fault_words(fault)}:" for fault in named)
        return (*with_faults, *(self.story or ("As soon as the power is on.",)))


class Contradiction(Exception):
    """The assumptions exclude every state; nothing can be proved from them."""


def prove(
    wiring: Wiring | Circuit | Network,
    promises: tuple[Sentence, ...] | None = None,
    *,
    seconds: float = SECONDS,
    engine: Literal["", "explicit", "symbolic"] = "",
    panel: Panel | None = None,
    memory: Memory | None = None,
    recheck: bool = True,
) -> Iterator[Proof]:
    """Prove promises one after the other, those of the file and the standing ones by default.

    Faults that a promise speaks of are not put in here: see `panelwright.faults.proving`.
    `seconds`: for each promise. `engine`: force one of the two; by default small cones are walked and large ones
    proved by induction, and each small one is checked again. `memory`: answers of other times, used and added to.
    `recheck`: False to have nothing checked again. Raises: Contradiction.
    """
    network = wiring if isinstance(wiring, Network) else Network(wiring)
    panel = panel or Panel(network)
    for promise in promises_owed(panel) if promises is None else promises:
        yield _Proving(panel, promise, seconds, engine, recheck=recheck and not engine).remembered(memory)


class _Proving:
    """One promise on its way to an answer."""

    def __init__(self, panel: Panel, promise: Sentence, seconds: float, engine: str, *, recheck: bool = False) -> None:
        self.panel, self.promise, self.engine, self.seconds, self.recheck = panel, promise, engine, seconds, recheck
        self.until = time.monotonic() + seconds
        self.assumptions = panel.circuit.assumptions

    def remembered(self, memory: Memory | None) -> Proof:
        """The answer, from the memory when it is there; put there when it is not."""
        if memory is None or self.promise.faults or self.promise.one_fault:
            return self.answer()
        try:
            name = self._name()
        except TooManyPositions as many:
            return self._open(str(many))
        known = memory.recall(name, self.promise, self.panel, self.seconds)
        if known is not None:
            return known
        proof = self.answer()
        memory.keep(name, proof, self.seconds)
        return proof

    def _name(self) -> str:
        tags = self._tags()
        cone = Cone(self.panel, tags)
        by_clocks = self.promise.seconds is not None or self.promise.form == "no race"
        return name_of(self.panel, self.promise, tags, None if by_clocks else self._watch(cone), cone)

    def answer(self) -> Proof:
        if self.promise.faults or self.promise.one_fault:
            return self._open("it speaks of faults")
        if self.promise.form == "no race":
            return self._no_race()
        try:
            return self._in_any_order() if self.promise.seconds is None else self._in_time()
        except TooManyPositions as many:
            return self._open(str(many))

    def _no_race(self) -> Proof:
        # what is asked for is a step, not a state: a walk through states would miss it
        answer = decide_race(self.panel, self.until)
        if answer.reason:
            return self._open(answer.reason, answer.assumed, 0, answer.engine)
        return Proof(
            self.promise,
            "broken" if answer.one else "kept",
            "for no race, one thing changes at a time, with everything at rest and one button at most held besides",
            tuple(answer.assumed.used),
            tuple(answer.assumed.unused),
            answer.other,
            two_told(self.panel.circuit, answer.one, answer.other, answer.tags),
            engine=answer.engine,
        )

    def _in_any_order(self) -> Proof:
        """The answer when everything may take as long as it likes; where that leaves it open, with the times."""
        while True:
            cone = Cone(self.panel, self._tags())
            assumed = assume(cone, self.assumptions)
            self._possible(cone, assumed)
            watch = self._watch(cone)
            course, engine, bound = self._search(cone, watch)
            notes: tuple[str, ...] = (LONG_WAY,) if engine == MET else ()
            if course is None and bound < 0 and watch.lacking:
                facts, notes = len(self.panel.facts), (FOR_EVER,)
                course, reason = self._endless(cone, watch)
                if len(self.panel.facts) > facts:
                    continue
                if reason:
                    return self._in_time(reason)
            if course is None:
                return self._without_course(cone, assumed, watch, engine, bound)
            if self.recheck and is_small(cone) and not can_be_gone(cone, course):
                return self._open(AT_ODDS, assumed)
            way = moments(cone, course)
            refuted = doubts(cone, way)
            if self.promise.form == "full volts":  # a coil that surely gets nothing is not half fed
                refuted |= said_at(cone, way[-1]) - self.panel.facts
            if not refuted:
                return self._broken(cone, assumed, way, engine, notes)
            self.panel.facts |= refuted

    def _possible(self, cone: Cone, assumed: Assumed) -> None:
        """Raises Contradiction when no first state fits what is assumed."""
        unrolling = Unrolling(Step(cone, 0))
        try:
            if unrolling.reach(1, 0) is None:
                texts = "; ".join(sentence.text for sentence in assumed.used)
                raise Contradiction(f"these assumptions cannot all hold when the panel starts: {texts}")
        finally:
            unrolling.close()

    def _tags(self) -> set[str]:
        states = tuple(atoms_of(self.promise))
        tags = tags_of(self.panel, states)
        if self.promise.subject or self.promise.form == "nothing starts":
            tags |= tags_of(self.panel, motions(self.panel))
        if self.promise.form in ("everything rests after", "no short circuit", "no buzzing", "full volts", "no race"):
            tags |= {device.tag for device in self.panel.circuit.devices}
        return tags_assumed(self.panel, self.assumptions, tags)

    def _watch(self, cone: Cone) -> Watch:
        special: dict[str, Callable[[], Watch]] = {
            "no short circuit": lambda: self._shorted(cone),
            "full volts": lambda: self._half_fed(cone),
            "no buzzing": lambda: Watch(0, during=1, lacking=1),
        }
        make = special.get(self.promise.form) or Monitors(cone, self.promise).watch
        return make()

    def _shorted(self, cone: Cone) -> Watch:
        waived = waived_at(self.panel, "no short circuit")
        shorts = self.panel.program.shorts.items()
        return Watch(cone.model.gates.any_of(cone.of(literal) for tag, literal in shorts if tag not in waived))

    def _half_fed(self, cone: Cone) -> Watch:
        """A coil that gets neither its full volts nor nothing where everything is settled."""
        g = cone.model.gates
        coils = [
            (d.tag, p.drives, f"{d.tag}.{p.name}") for d in self.panel.circuit.devices for p in d.loads if p.drives
        ]
        half = g.any_of(
            g.all_of([cone.may(coil), cone.full(coil) ^ 1, cone.known(tag, drives) ^ 1])
            for tag, drives, coil in coils
            if coil in self.panel.program.full and tag not in waived_at(self.panel, "full volts")
        )
        return Watch(g.and_(half, cone.settled))

    def _search(self, cone: Cone, watch: Watch) -> tuple[Course | None, str, int]:
        """A course that breaks the promise, or None with the bound: -1 none at all, else steps searched."""
        step = Step(cone, watch.bad)
        if self.engine != "symbolic":
            try:
                walk = Walk(step)
                if self.engine == "explicit" or len(walk.choices) <= WALKED_CHOICES:
                    return self._plain(step, walk.shortest()), "walk through all states", -1
            except TooLarge:
                if self.engine == "explicit":
                    return None, "walk through all states", 0
        return self._symbolic(step)

    def _plain(self, step: Step, course: Course | None) -> Course | None:
        """A course of the same length in which less is done by hand."""
        if course is None:
            return None
        unrolling = Unrolling(step)
        try:
            return unrolling.reach(step.bad, len(course) - 1) or course
        finally:
            unrolling.close()

    def _endless(self, cone: Cone, watch: Watch) -> tuple[Course | None, str]:
        """A course into endless movement that breaks the promise, and why it may be left open.

        Neither, too, where the volts have told more of half fed coils, to be asked again with that.
        """
        restless = unrestful(cone, watch.during)
        if not restless:
            return None, ""
        moves = cone.model.moves
        keep = [watch.lacking, watch.during, *(m.restless for m in moves), *(m.pending for m in moves)]
        timers = self.promise.form != "no buzzing"
        try:
            walk = Walk(Step(cone, 0, keep), loosely=True)
            walk.shortest()
        except TooLarge:
            course = course_into_buzzing(cone, self.until) if self.promise.form == "no buzzing" else None
            return course, "" if course else f"{', '.join(restless[:6])} might move for ever; too many states to see"
        for group, lacks in walk.restless_groups(watch.during, watch.lacking, moves, timers=timers):
            told = volts_say(cone, [walk.as_names(state) for state in group[:MOST_TOLD].tolist()])
            to_and_fro = walk.changing(group) & set(restless)
            if self.promise.form == "no buzzing" and to_and_fro <= waived_at(self.panel, "no buzzing"):
                continue
            if told - self.panel.facts:  # what half fed coils were taken to do to and fro, they may not do
                self.panel.facts |= told
                return None, ""
            for state in lacks[:MOST_GROUP_STATES].tolist():
                here = cone.model.gates.all_of([*walk.as_literals(state), watch.lacking])
                course, _, bound = self._search(cone, Watch(here))
                if course is not None:
                    return course, ""
                if bound >= 0:
                    return None, f"{', '.join(restless[:6])} might move for ever; not reached within {bound} steps"
        return None, ""

    def _symbolic(self, step: Step) -> tuple[Course | None, str, int]:
        return search(step, self._named(), self.until)

    def _named(self) -> set[str]:
        """The devices that the promise names."""
        return {state.subject for state in atoms_of(self.promise)} & set(self.panel.circuit.by_tag)

    def _without_course(self, cone: Cone, assumed: Assumed, watch: Watch, engine: str, bound: int) -> Proof:
        if bound >= 0:
            return self._open(f"nothing breaks it within {bound} steps; the time was over", assumed, bound, engine)
        again = self._again(cone, watch.bad)
        if again is False:
            return self._open(AT_ODDS, assumed)
        return Proof(
            self.promise,
            "kept",
            self._model(assumed),
            tuple(assumed.used),
            tuple(assumed.unused),
            never_occurs=self._never_occurs(cone, watch),
            engine=engine,
            checked=(SECOND_SOLVER,) if again else (),
        )

    def _again(self, cone: Cone, bad: int) -> bool | None:
        """Whether another engine says the same; None when it was not asked, or its time was over."""
        if not self.recheck or not is_small(cone):
            return None
        return never_holds(cone, bad, time.monotonic() + min(self.seconds, AGAIN_S))

    def _never_occurs(self, cone: Cone, watch: Watch) -> bool:
        """Whether what the promise speaks of never comes about; a promise about nothing is kept too easily."""
        if watch.occurs == 1:
            return False
        return self._never(cone, watch.occurs)

    def _never(self, cone: Cone, literal: int) -> bool:
        """Whether it is proved that a literal never holds."""
        step = Step(cone, literal)
        if len(step.bits) > MANY_BITS and Runs(step).sees(literal, self.until):
            return False
        course, _, bound = self._search(cone, Watch(literal))
        return course is None and bound < 0

    def _broken(
        self, cone: Cone, assumed: Assumed, way: tuple[Moment, ...], engine: str, notes: tuple[str, ...]
    ) -> Proof:
        touched = {do.targets[0] for moment in way for do in moment.done}
        supplies = {device.tag for device, _ in cone.circuit.supplies}
        for sentence in assumed.unused:
            about = {state.subject for state in atoms_of(sentence)} or supplies
            if sentence.form == "within after" or (sentence.seconds is not None and about & touched):
                return self._in_time(f'it is broken unless the times help: "{sentence.text}"')
        return Proof(
            self.promise,
            "broken",
            self._model(assumed),
            tuple(assumed.used),
            tuple(assumed.unused),
            way,
            told(cone.circuit, way),
            engine=engine,
            checked=(SECOND_SOLVER, VOLTS) if self.recheck and is_small(cone) else (VOLTS,),
            notes=notes,
        )

    def _in_time(self, reason: str = "") -> Proof:
        """The answer with the times of devices, timers and assumptions. `reason`: why it is open without them."""
        until = time.monotonic() + self.seconds
        while True:
            answer = decide_in_time(self.panel, self.promise, self._tags(), self._watch, until)
            if isinstance(answer, str):
                return self._open("; ".join(filter(None, (reason, answer))))
            self._possible(answer.cone, answer.assumed)
            if answer.reason:
                reasons = "; ".join(filter(None, (reason, answer.reason)))
                return self._open(reasons, answer.assumed, answer.steps, "clocks")
            way = answer.way
            refuted = doubts(answer.cone, way) if way else frozenset()
            if not refuted:
                return self._timed(answer)
            self.panel.facts |= refuted

    def _timed(self, answer: InTime) -> Proof:
        return Proof(
            self.promise,
            "broken" if answer.way else "kept",
            f"{self._model(answer.assumed)}; devices take their times, each within its tolerance",
            tuple(answer.assumed.used),
            tuple(answer.assumed.unused),
            answer.way,
            told(answer.cone.circuit, answer.way),
            never_occurs=answer.never_occurs,
            engine="clocks",
            checked=(VOLTS,) if answer.way else (),
        )

    def _model(self, assumed: Assumed) -> str:
        at_rest = any(sentence.form == "inputs only at rest" for sentence in assumed.used)
        return "settled: inputs change only when nothing moves" if at_rest else "any order: anything at any moment"

    def _open(self, reason: str, assumed: Assumed | None = None, bound: int = 0, engine: str = "") -> Proof:
        used = tuple(assumed.used) if assumed else ()
        unused = tuple(assumed.unused) if assumed else ()
        model = self._model(assumed) if assumed else ""
        return Proof(self.promise, "not decided", model, used, unused, bound=bound, reason=reason, engine=engine)
