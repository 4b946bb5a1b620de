"""The promises of the examples come out as their files and sources say."""

from pathlib import Path

import pytest

from panelwright.behaviour import try_trials
from panelwright.behaviour.proof.proving import prove
from panelwright.behaviour.typed import typed_trial
from panelwright.circuit import Sentence
from panelwright.faults.proving import Prover, prove_promises
from panelwright.language import read
from panelwright.wiring import wire

EXAMPLES = sorted(Path("examples").rglob("*.panel"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_promises_come_out_as_said(path):
    """Kept ones are kept, those shown on purpose are broken, with faults too; each way to break one is a failing trial.

    The trial is written into the file, as text, and fails there at what was promised.
    """
    text = path.read_text(encoding="utf-8")
    proofs = list(prove_promises(read(text).circuit, seconds=60))

    assert [] == [f"{p.outcome}: {p.promise.text}" for p in proofs if p.as_promised is False]
    assert [] == [f"{p.reason}: {p.promise.text}" for p in proofs if p.outcome == "not decided"]
    for proof in proofs:
        if proof.trial is not None:
            assert fails_in(text, typed_trial(proof.trial)), proof.promise.text


def fails_in(text: str, trial: str) -> bool:
    """Whether a trial put into a file is read and fails at something that it expects."""
    reading = read(f"{text}\n{trial}\n")
    assert reading.ok, reading.problems
    result = try_trials(wire(reading.circuit))[-1]
    return any(failure.problem.code == "trial-failed" for failure in result.failures)


def circuit_of(name: str):
    """The circuit of an example."""
    return read(next(Path("examples").rglob(f"{name}*.panel")).read_bytes()).circuit


def outcome(name: str, text: str) -> str:
    """The outcome of one promise of an example."""
    circuit = circuit_of(f"{name}-")
    promise = next(p for p in circuit.promises if text in p.text)
    return Prover(circuit).answer(promise).outcome


def test_the_jog_race_is_found():
    """C26: the hold-in may take over when jog is let go (Basic Motor Control, BCcampus, ch. 35)."""
    assert outcome("c26", "K1 drops out after S3 is released") == "broken"


def test_the_jog_race_is_found_without_being_promised():
    """C26: the order in which K1 and the contacts of the jog button move decides, and both ends are told."""
    proof = Prover(circuit_of("c26-")).answer(Sentence("no race", "no race"))

    assert proof.outcome == "broken"
    assert "In the end K1 in." in proof.story[-2] + proof.story[-1]
    assert "In the end K1 out." in proof.story[-2] + proof.story[-1]


def test_both_directions_at_once_are_found():
    """C07: hold-to-run without interlock (Lessons In Electric Circuits, vol. IV, ch. 6)."""
    assert outcome("c07", "never in together") == "broken"


def test_an_earth_fault_that_starts_the_motor_is_found():
    """C25: an earth fault behind the coil starts the motor (article on wrong control wiring; refers to NEC 430.74)."""
    prover = Prover(circuit_of("c25-"))
    promise = next(p for p in prover.bench.circuit.promises if p.one_fault)
    earthed = next(fault for fault in prover.faults if fault.words == "@3 touches earth")

    assert prover.answer(promise).outcome == "broken"
    assert any(earthed.words in note for note in prover.answer(promise).notes)


def test_the_buzzer_is_found():
    """C10: a relay that interrupts its own coil (Picuino technology course)."""
    proof = next(prove(wire(circuit_of("c10-")), (Sentence("no buzzing", "no buzzing"),)))

    assert proof.outcome == "broken"
    assert any("S1 pressed" in sentence for sentence in proof.story)
