"""Planted mistakes: the prover is made to lie in one place after the other, and each time some witness objects.

Each mistake is one that was, or might have been, made; `tests/proof/test_witnesses.py` has those of single engines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import pytest

from panelwright.behaviour.proof import (
    asking,
    assuming,
    cone,
    explicit,
    induction,
    monitors,
    panel,
    proving,
    remembering,
)
from panelwright.behaviour.proof.assuming import Assumed
from panelwright.behaviour.proof.model import Bit
from panelwright.behaviour.proof.monitors import Watch
from panelwright.behaviour.proof.proving import Contradiction, prove
from panelwright.behaviour.proof.racing import RaceAnswer
from panelwright.behaviour.proof.remembering import Memory
from panelwright.behaviour.run import Run
from panelwright.circuit import Do
from panelwright.electrics import Network
from panelwright.electrics.gates import FALSE
from panelwright.faults import fault_list
from panelwright.faults.proving import Prover

from .generated import panel_by_lot, wired
from .test_agreement import both_answers, contradicted, not_broken, said_of

PANELS = range(120)  # looked at until one shows the mistake

# ---- by hand: each of these is broken, in a step or two
BY_HAND = """panel "By hand"
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  4 NO
  S2  pushbutton  4 NC
  B1  float switch  4 NO
  H1  lamp  24 V dc
  H2  lamp  24 V dc  0.05 W
devices on plate
  K1  relay  4 CO  coil 24 V dc
  K2  relay  4 CO  coil 24 V dc
  K3  relay  4 CO  coil 24 V dc
  K4  relay  4 CO  coil 24 V dc
  K5  relay  4 CO  coil 24 V dc
  T1  on-delay timer  2 s  4 CO  coil 24 V dc
  V1  diode  1 A
rungs from + to -
  S1.no  K1.coil
  ( K1.no | K1.nc )  H1
  S2.nc  ( S1.no | K2.no )  K2.coil
  B1.no  K3.nc  K3.coil
  S1.no  ( H2 | S2.nc V1 )  K4.coil
  S1.no  T1.coil
  T1.no  K5.coil
assumptions
  B1 makes only while K1 is in
promises
  K1 picks up only after B1 is made
  K2 stays in until B1 is made
  H1 is dark only while power is off
  while K1 is in always power is on
  while B1 is made always K1 is in
  K3 picks up when B1 is made
  never K4 is in
  K4 is in while S1 is pressed
  never K5 is in
  K1 stays in after S1 is released
"""


def hands_object(_: int) -> bool:
    """What was worked out by hand comes out otherwise."""
    network = Network(wired(BY_HAND))
    return {"broken"} != {proof.outcome for proof in prove(network, network.circuit.promises, seconds=5)}


def test_what_was_worked_out_by_hand():
    """All of it is broken; so it does not object to an honest prover."""
    assert not hands_object(0)


def engines_object(number: int) -> bool:
    """Walking and solving do not say the same of a panel."""
    return any("not decided" not in one and one[2] != one[3] for one in both_answers([number]))


def runs_object(number: int) -> bool:
    """A run breaks what is kept, or a story does not break what it should."""
    network = Network(wired(panel_by_lot(number, selector=False, promises=10)))
    proofs = said_of(network)
    return bool(contradicted(number, proofs, network, 4) or not_broken(proofs, network))


def inputs_stand_still(honest):
    """That inputs change only at rest is taken for that they never do."""

    def take(self, sentence):
        if sentence.form != "inputs only at rest":
            return honest(self, sentence)
        self.model.steps.append(self.cone.beginning ^ 1)
        return True

    return take


Witness = Callable[[int], bool]


def first_start_only(honest):
    """All walks begin in one state."""
    return property(lambda self: honest.func(self)[:1])


def never_bad(_):
    """A sentence forbids nothing."""
    return lambda self: Watch(FALSE)


def stands_still(model_cone, name, tag):
    """An input that nobody changes, on from the start."""
    now = model_cone.model.gates.input(name)
    model_cone.model.bits.append(Bit(name, now, now, True, tag, input=True))
    return now


MISTAKES: dict[str, tuple[object, str, Callable, Witness]] = {
    # ---- walking and solving
    "walks begin in the first state alone": (explicit.Walk, "starts", first_start_only, engines_object),
    "no start is seen while blocking": (induction.Induction, "_is_start", lambda _: lambda *_: False, engines_object),
    # ---- sentences
    "only after forbids nothing": (monitors._FORMS, "only after", never_bad, hands_object),
    "after owes nothing": (monitors.Monitors, "_owed", lambda _: lambda *_: FALSE, runs_object),
    "after owes for ever": (
        monitors.Monitors, "_owed", lambda honest: lambda self, b, h, n, d: honest(self, b, h, FALSE, d), runs_object,
    ),
    "nothing is armed": (monitors.Monitors, "_armed", lambda _: lambda *_: FALSE, hands_object),
    "armed for ever": (
        monitors.Monitors, "_armed", lambda honest: lambda self, e, new: honest(self, e, FALSE), runs_object,
    ),
    "an event in the first state": (
        monitors.Monitors, "rise", lambda _: lambda self, one: self.g.and_(one, self.was(one) ^ 1), runs_object,
    ),
    "until is forgotten": (monitors._FORMS, "stays until", never_bad, hands_object),
    "nothing ever rests": (cone.Cone, "settled", lambda _: property(lambda self: FALSE), runs_object),
    "timers do not count as moving": (cone.Cone, "settled", lambda _: property(lambda self: self.quiet), runs_object),
    "everything comes to rest": (proving, "unrestful", lambda _: lambda *_: (), hands_object),
    # ---- what is assumed
    "inputs never change": (assuming._Taking, "take", inputs_stand_still, runs_object),
    "one thing may be made only while another is": (
        assuming._Taking, "_steps_into",
        lambda honest: lambda self, states, condition: self._always(self.g.or_(self.g.any_of(states) ^ 1, condition)),
        hands_object,
    ),
    # ---- devices
    "no device is ever on its way": (panel.Panel, "has_place_between", lambda _: lambda *_: False, hands_object),
    "an interlock always holds": (
        cone.Cone, "_magnet", lambda honest: lambda self, tag, want, doubt: (want, want), runs_object,
    ),
    "timers never run out": (cone.Cone, "_times_out", lambda _: lambda *_: FALSE, hands_object),
    "power never fails": (
        cone.Cone, "_toggled", lambda honest: lambda self, name, tag, start: honest(self, name, tag, start)
        if not name.startswith("supply") else stands_still(self, name, tag), hands_object,
    ),
    # ---- volts
    "part of the volts is none": (cone.Cone, "may", lambda _: cone.Cone.full, hands_object),
    "half fed coils do not work": (
        cone.Cone, "_want", lambda _: lambda self, device, drives="coil": (self._fed(device, drives)[0], FALSE),
        hands_object,
    ),
    "what the volts say in one position is said of all": (
        panel.Panel, "explained", lambda _: lambda self, place, position, held: {"supply:G1": True}, hands_object,
    ),
}  # fmt: skip


def noticed_at(witness: Witness, numbers: Iterable[int]) -> int | None:
    """The first panel on which a witness objects, or the program itself does."""
    for number in numbers:
        try:
            if witness(number):
                return number
        except (AssertionError, KeyError, RecursionError):
            return number
    return None


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_planted_mistake_is_noticed(mistake, monkeypatch):
    """Some witness objects to each."""
    owner, name, lie, witness = MISTAKES[mistake]
    if isinstance(owner, dict):
        monkeypatch.setitem(owner, name, lie(owner[name]))
    else:
        monkeypatch.setattr(owner, name, lie(vars(owner)[name]))

    assert noticed_at(witness, PANELS) is not None


# ---- what is owed without being said
OWED = """panel "Owed"
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  4 NO
  S2  pushbutton  1 NO + 1 NC
  SA1  selector  OFF ON  starts at OFF
  H1  lamp  24 V dc  2 W
devices on plate
  K1  contactor  3 poles  4 NO  coil 24 V dc
  K2  contactor  3 poles  4 NO  coil 24 V dc
  K3  relay  4 CO  coil 24 V dc
rungs from + to -
  SA1.ON  K1.coil
  S1.no  K1.no
  S1.no  K3.nc  K3.coil
  S1.no  H1  K2.coil
  ( S2.no | S2.nc  K2.no )  K2.coil
promises
"""


def owed() -> dict[str, str]:
    """What is said of each promise that nobody has to write down."""
    return {proof.promise.text: proof.outcome for proof in prove(wired(OWED), seconds=10)}


def test_what_is_owed_unsaid_was_worked_out_by_hand():
    """A contact from rail to rail, a buzzer, a lamp before a coil, a maintained start, a jog button over a hold-in."""
    assert owed() == dict.fromkeys(owed(), "broken")
    assert {"no short circuit", "no race", "no buzzing", "no restart"} < set(owed())


UNSAID = {
    "nothing is ever shorted": (proving._Proving, "_shorted", lambda _: lambda *_: Watch(FALSE)),
    "no coil is half fed": (proving._Proving, "_half_fed", lambda _: lambda *_: Watch(FALSE)),
    "no order matters": (proving, "decide_race", lambda _: lambda *_: RaceAnswer(Assumed())),
    "nothing moves for ever": (proving, "unrestful", lambda _: lambda *_: ()),
    "power comes back with a button held": (asking.Asking, "no_push", lambda _: lambda *_: FALSE),
}


@pytest.mark.parametrize("mistake", UNSAID)
def test_a_planted_mistake_about_what_is_owed_unsaid_is_noticed(mistake, monkeypatch):
    """Something that is broken comes out as kept."""
    owner, name, lie = UNSAID[mistake]
    monkeypatch.setattr(owner, name, lie(vars(owner)[name]))

    assert "kept" in owed().values()


# ---- remembered answers
def test_a_name_that_leaves_something_out_is_noticed(monkeypatch, tmp_path):
    """Answers found by names that say less than the question, on panels of which two coils change places."""
    changed = [panel_by_lot(number, promises=4) for number in range(12)]
    changed += [
        text.replace("K1.coil", "K?").replace("K2.coil", "K1.coil").replace("K?", "K2.coil") for text in changed
    ]

    def stale() -> bool:
        memory = Memory(tmp_path)
        networks = [Network(wired(text)) for text in changed]
        fresh = [_outcomes(network, None) for network in networks]
        return fresh != [_outcomes(network, memory) for network in networks]

    assert not stale()
    monkeypatch.setattr(remembering, "_as_built", lambda *_: "")

    assert stale()


def _outcomes(network: Network, memory: Memory | None) -> list[str]:
    try:
        return [proof.outcome for proof in prove(network, network.circuit.promises, memory=memory, seconds=10)]
    except Contradiction:
        return []


# ---- one fault after the other
STOPPED = """panel "Start and stop"
supplies
  G1  dc supply  24 V  1 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NC
  S2  pushbutton  1 NO
devices on plate
  K1  relay  2 NO  coil 24 V dc
rungs from + to -
  S1.nc  @2  ( S2.no | K1.no )  @3  K1.coil
assumptions
  inputs change only at rest
promises
  K1 drops out when S1 is pressed even with one fault
"""


def seen_to_fail(prover: Prover) -> int:
    """The single faults with which the moving panel does not stop, started and stopped once."""
    count = 0
    for one in fault_list(prover.bench.wiring):
        run = Run(prover.bench.network)
        if run.put_in(one.fault) is None:
            run.do(Do("press", ("S2",))).do(Do("release", ("S2",))).do(Do("press", ("S1",)))
            count += run.state.word("K1", "in") == "in"
    return count


def said_to_fail(prover: Prover) -> tuple[int, int]:
    """How many single faults are said to break the promise, of how many."""
    circuit = prover.bench.circuit
    (note,) = prover.answer(circuit.promises[0]).notes
    broken, _, count, *_ = note.split()
    return int(broken), int(count)


def test_faults_that_are_left_out_are_noticed(monkeypatch):
    """What the moving panel shows of single faults is no more than what is said of them; all of the list are asked."""
    honest, seen = Prover(wired(STOPPED)), seen_to_fail(Prover(wired(STOPPED)))
    broken, count = said_to_fail(honest)
    assert count == len(fault_list(honest.bench.wiring))
    assert 3 < seen <= broken
    half = [one for number, one in enumerate(honest.faults) if number % 2]
    monkeypatch.setattr(Prover, "faults", property(lambda self: half))
    fewer, asked = said_to_fail(Prover(wired(STOPPED)))

    assert asked < count
    assert fewer < seen
