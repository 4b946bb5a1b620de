"""Promises proved, those that speak of faults on the panel with these faults in it.

`with FAULT: ...` is proved on the panel in which the fault stands from the first moment on, in every way in which it
can stand. `... even with one fault` is proved with every single fault of the list, and kept only when every one of
these was decided.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property

from ..behaviour import Injected, fault_words, inject
from ..behaviour.proof.panel import Panel
from ..behaviour.proof.proving import SECONDS, Contradiction, Proof, prove
from ..behaviour.proof.remembering import Memory
from ..behaviour.proof.standing import promises_owed
from ..behaviour.proof.trying import with_trial
from ..circuit import Circuit, Fault, Is, Problem, Sentence
from ..wiring import Wiring, wire
from .alike import Alike
from .broken_panel import Bench, BrokenPanel, held_contacts
from .fault_list import CircuitFault, fault_list

SHARE_OF_ONE = 10  # one promise with one of many faults has a tenth of the seconds of a whole promise
STANDS = {"press": "pressed", "make": "made", "trip": "tripped", "switch-off": "off", "turn": "at"}
FIRST_OPEN = 3  # faults named where many are left open


@dataclass(frozen=True, slots=True)
class _Broken:
    """A fault that breaks a promise, with the proof of it."""

    fault: CircuitFault
    proof: Proof


class Prover:
    """Promises of one panel, one after the other.

    `seconds`: at most, for each; with one fault of many, a tenth of that for each fault.
    """

    def __init__(
        self,
        wiring: Wiring | Circuit,
        seconds: float = SECONDS,
        memory: Memory | None = None,
        say: Callable[[str], None] = lambda words: None,
    ) -> None:
        """`memory`: answers of other times. `say`: told with which of many faults a promise is being proved."""
        self.bench = Bench(wire(wiring) if isinstance(wiring, Circuit) else wiring)
        self.seconds = seconds
        self.memory, self.say = memory, say
        self._alike = Alike()

    @cached_property
    def faults(self) -> tuple[CircuitFault, ...]:
        """Every single fault of the panel."""
        return fault_list(self.bench.wiring)

    def answer(self, promise: Sentence) -> Proof:
        """The answer to one promise, a way to break it with its trial.

        Raises: Contradiction when the assumptions exclude every state.
        """
        return self.tried(self._answer(promise))

    def tried(self, proof: Proof) -> Proof:
        """A way to break a promise with its trial; another way, where that one does not fail."""
        tried = with_trial(self.bench.network, proof)
        if tried.fails or not proof.course:
            return tried
        at_contacts = tuple(one for fault in proof.faults for one in held_contacts(self.bench.circuit, fault))
        told = with_trial(self.bench.network, replace(proof, faults=at_contacts))
        return told if told.fails and at_contacts != proof.faults else self._in_another_way(tried)

    def _in_another_way(self, proof: Proof) -> Proof:
        """A way to break it that can be tried, where in the shortest one everything is well again in the end.

        One thing that is done by hand in that is left out in turn.
        """
        plain = replace(proof.promise, faults=(), one_fault=False)
        for barred in dict.fromkeys(_barred(proof)):
            for panel in together(self.bench, proof.faults).panels:
                other = self._proved(_assuming(panel, barred), plain, self.seconds)
                assumed = tuple(sentence for sentence in other.assumed if sentence != barred)
                other = replace(other, promise=proof.promise, faults=proof.faults, notes=proof.notes, assumed=assumed)
                tried = with_trial(self.bench.network, other)
                if tried.fails:
                    return tried
        return proof

    def _answer(self, promise: Sentence) -> Proof:
        if promise.one_fault:
            return self._even_with_one(promise)
        if promise.faults:
            return self._with(promise)
        return self._proved(self.bench.sound, promise, self.seconds)

    def _proved(self, panel: Panel, promise: Sentence, seconds: float) -> Proof:
        (proof,) = prove(panel.network, (promise,), seconds=seconds, panel=panel, memory=self.memory)
        return proof

    # ---- faults that the promise names
    def _with(self, promise: Sentence) -> Proof:
        plain = replace(promise, faults=())
        broken = together(self.bench, promise.faults)
        if broken.why_open:
            return Proof(promise, "not decided", "", reason=broken.why_open, faults=promise.faults)
        return replace(self.on(broken, plain, self.seconds), promise=promise)

    def on(self, broken: BrokenPanel, plain: Sentence, seconds: float) -> Proof:
        """The worst answer over every way in which faults can stand, with them; the shortest among equals."""
        proofs = (replace(self.once(p, plain, seconds), faults=broken.standing(p)) for p in broken.panels)
        return min(proofs, key=_badness)

    def once(self, panel: Panel, plain: Sentence, seconds: float) -> Proof:
        """The proof on one broken panel; a panel that looks the same to the promise is not proved again."""
        place = self._alike.place(panel, plain)
        if place.known is not None:
            return replace(place.known, promise=plain)
        try:
            proof = self._proved(panel, plain, seconds)
        except Contradiction as nothing:
            proof = Proof(plain, "not decided", "", reason=f"with this fault {nothing}")
        place.keep(panel, proof)
        return proof

    # ---- any single fault
    def _even_with_one(self, promise: Sentence) -> Proof:
        plain = replace(promise, one_fault=False)
        sound = self._proved(self.bench.sound, plain, self.seconds)
        if sound.outcome != "kept":
            return replace(sound, promise=promise, notes=(*sound.notes, "even without a fault"))
        broken: list[_Broken] = []
        left_open: list[tuple[CircuitFault, str]] = []
        for number, fault in enumerate(self.faults, 1):
            self.say(f"with fault {number} of {len(self.faults)}")
            proof = self._with_one(plain, fault)
            if proof.outcome == "broken":
                broken.append(_Broken(fault, proof))
            elif proof.outcome == "not decided":
                left_open.append((fault, proof.reason))
        return self._judged(promise, sound, broken, left_open)

    def _with_one(self, plain: Sentence, fault: CircuitFault) -> Proof:
        panel = self.bench.broken(fault.fault)
        if panel.why_open:
            return Proof(plain, "not decided", "", reason=panel.why_open)
        return self.on(panel, plain, self.seconds / SHARE_OF_ONE)

    def _judged(
        self, promise: Sentence, sound: Proof, broken: list[_Broken], left_open: list[tuple[CircuitFault, str]]
    ) -> Proof:
        count = len(self.faults)
        if broken:
            worst = min(broken, key=lambda one: _badness(one.proof))
            notes = (f"{len(broken)} of {count} single faults break it: {_named([b.fault for b in broken])}",)
            return replace(worst.proof, promise=promise, notes=notes)
        if left_open:
            reasons = {reason for _, reason in left_open}
            named = _named([fault for fault, _ in left_open])
            why = f": {next(iter(reasons))}" if len(reasons) == 1 else ""
            reason = f"{len(left_open)} of {count} single faults are left open ({named}){why}; none breaks it"
            return replace(sound, promise=promise, outcome="not decided", reason=reason)
        return replace(sound, promise=promise, notes=(*sound.notes, f"with every one of {count} single faults"))


def _barred(proof: Proof) -> Iterator[Sentence]:
    """What is done in a course, each as something that is never done."""
    for do in (do for moment in proof.course for do in moment.done if do.verb in STANDS):
        state = Is(do.targets[0], STANDS[do.verb], do.value)
        yield Sentence("never", f"never {state.subject} is {state.state}", condition=state)


def _assuming(panel: Panel, sentence: Sentence) -> Panel:
    """The panel with one more thing assumed."""
    twin = copy(panel)
    twin.circuit = replace(panel.circuit, assumptions=(*panel.circuit.assumptions, sentence))
    return twin


def together(bench: Bench, faults: Sequence[Fault]) -> BrokenPanel:
    """The panel with several faults at once."""
    merged: Injected | None = None
    for fault in faults:
        if fault.form == "assumption broken":
            return bench.broken(fault) if len(faults) == 1 else BrokenPanel(why_open="it speaks of more than one fault")
        injected = inject(bench.circuit, fault)
        if isinstance(injected, Problem):
            return BrokenPanel(why_open=injected.message)
        merged = injected if merged is None else merged.with_(injected)
    return bench.with_injected(merged, tuple(faults)) if merged is not None else BrokenPanel((bench.sound,))


def _badness(proof: Proof) -> tuple[int, int]:
    """Broken before not decided before kept; the shorter course first."""
    return ("broken", "not decided", "kept").index(proof.outcome), len(proof.course)


def _named(faults: Sequence[CircuitFault]) -> str:
    names = ", ".join(fault_words(fault.fault) for fault in faults[:FIRST_OPEN])
    return names + (" ..." if len(faults) > FIRST_OPEN else "")


def prove_promises(
    wiring: Wiring | Circuit,
    *,
    seconds: float = SECONDS,
    memory: Memory | None = None,
    progress: Callable[[str], None] | None = None,
) -> Iterator[Proof]:
    """The promises of a circuit and those that every circuit owes, one after the other.

    `seconds`: at most, for each. `memory`: answers of other times, used and added to. `progress`: told, in words,
    what is being proved. Raises: Contradiction when the assumptions exclude every state.
    """
    tell = progress or (lambda words: None)
    doing = ""
    prover = Prover(wiring, seconds, memory, lambda words: tell(f"{doing}, {words}"))
    promises = promises_owed(prover.bench.sound)
    for number, promise in enumerate(promises, 1):
        doing = f"promise {number} of {len(promises)}"
        tell(doing)
        yield prover.answer(promise)
    if memory is not None:
        memory.tidy()
