"""The promises of the examples come out as their files and sources say."""

from pathlib import Path

import pytest

from panelwright.behaviour.proof.proving import prove
from panelwright.language import read
from panelwright.wiring import wire

EXAMPLES = sorted(Path("examples").rglob("*.panel"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_promises_come_out_as_said(path):
    """Kept ones are kept, those shown on purpose are broken; nothing is left open."""
    proofs = list(prove(wire(read(path.read_bytes()).circuit), seconds=60))
    plain = [proof for proof in proofs if not proof.promise.faults and not proof.promise.one_fault]

    assert [] == [f"{p.outcome}: {p.promise.text}" for p in plain if p.as_promised is False]
    assert [] == [f"{p.reason}: {p.promise.text}" for p in plain if p.outcome == "not decided"]


def outcome(name: str, text: str) -> str:
    """The outcome of one promise of an example."""
    circuit = read(next(Path("examples/circuits").glob(f"{name}-*.panel")).read_bytes()).circuit
    promise = next(p for p in circuit.promises if text in p.text)
    return next(prove(wire(circuit), (promise,), seconds=10)).outcome


def test_the_jog_race_is_found():
    """C26: the hold-in may take over when jog is let go (Basic Motor Control, BCcampus, ch. 35)."""
    assert outcome("c26", "K1 drops out after S3 is released") == "broken"


def test_both_directions_at_once_are_found():
    """C07: hold-to-run without interlock (Lessons In Electric Circuits, vol. IV, ch. 6)."""
    assert outcome("c07", "never in together") == "broken"


def test_the_buzzer_is_found():
    """C10: a relay that interrupts its own coil (Picuino technology course)."""
    from panelwright.circuit import Sentence

    circuit = read(next(Path("examples/circuits").glob("c10-*.panel")).read_bytes()).circuit
    proof = next(prove(wire(circuit), (Sentence("no buzzing", "no buzzing"),)))

    assert proof.outcome == "broken"
    assert any("S1 pressed" in sentence for sentence in proof.story)
