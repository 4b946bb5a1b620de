"""Answers kept for the next time."""

from pathlib import Path

import pytest

from panelwright.behaviour.proof.proving import Proof
from panelwright.behaviour.proof.remembering import Memory
from panelwright.faults.proving import Prover, prove_promises
from panelwright.language import read

TWO_RUNGS = """
panel "Two starters"
supplies
  G1  dc supply  24 V  1 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NC  "Stop"
  S2  pushbutton  1 NO  "Start"
  S3  pushbutton  1 NO  "Other"
devices on plate
  K1  relay  2 NO  coil 24 V dc
  K2  relay  2 NO  coil 24 V dc
rungs from + to -
  S1.nc  ( S2.no | K1.no )  K1.coil
  S3.no  K2.coil
assumptions
  inputs change only at rest
promises
  K1 drops out when S1 is pressed
  K1 picks up only after S3 is pressed
"""


class Counting(Memory):
    """A memory that counts what it was asked and what it knew."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.asked: list[str] = []
        self.new: list[str] = []

    def recall(self, name, promise, panel, seconds):
        self.asked.append(promise.text)
        return super().recall(name, promise, panel, seconds)

    def keep(self, name, proof, seconds):
        self.new.append(proof.promise.text)
        super().keep(name, proof, seconds)


def answers(text: str, folder: Path):
    """The answers to all promises, and which of them had to be proved."""
    memory = Counting(folder)
    reading = read(text)
    assert reading.ok, reading.problems
    return list(prove_promises(reading.circuit, memory=memory)), memory.new


def test_what_was_proved_is_not_proved_again(tmp_path):
    """The second time everything is there, and is the same, way to break it and trial included."""
    first, proved = answers(TWO_RUNGS, tmp_path)
    second, again = answers(TWO_RUNGS, tmp_path)

    assert len(proved) == len(first)
    assert again == []
    assert second == first


def test_a_comment_and_a_label_touch_nothing(tmp_path):
    """Lines move, words change; the circuit does not."""
    answers(TWO_RUNGS, tmp_path)

    assert answers(f"# a comment\n\n{TWO_RUNGS}".replace('"Other"', '"Further"'), tmp_path)[1] == []


def test_another_rung_touches_only_what_depends_on_it(tmp_path):
    """K2 held in by its own contact: what speaks of K1 alone is known, what speaks of every coil is not."""
    answers(TWO_RUNGS, tmp_path)
    _, proved = answers(TWO_RUNGS.replace("S3.no  K2.coil", "( S3.no | K2.no )  K2.coil"), tmp_path)

    assert "K1 drops out when S1 is pressed" not in proved
    assert "no race" in proved


def test_its_own_rung_is_proved_again(tmp_path):
    """A start that wins over the stop is found, whatever is remembered."""
    answers(TWO_RUNGS, tmp_path)
    proofs, proved = answers(TWO_RUNGS.replace("S1.nc  ( S2.no | K1.no )", "( S1.nc K1.no | S2.no )"), tmp_path)

    assert "K1 drops out when S1 is pressed" in proved
    assert proofs[0].outcome == "broken"


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("inputs change only at rest\n", "inputs change only at rest\n  never S2 is pressed\n"),
        ("rest\n", "rest\n  power stays on\n"),
    ],
)
def test_another_assumption_is_another_question(tmp_path, old, new):
    """What is assumed of a device that the promise depends on."""
    answers(TWO_RUNGS, tmp_path)

    assert "K1 drops out when S1 is pressed" in answers(TWO_RUNGS.replace(old, new, 1), tmp_path)[1]


@pytest.mark.parametrize("nonsense", [b"", b"{}", b"\xff\xfe", b"0" * 40 + b"\n{}", "cut"], ids=str)
def test_files_that_cannot_be_read_are_passed_over(tmp_path, nonsense):
    """Empty, foreign, cut short: proved anew, and written anew."""
    first, _ = answers(TWO_RUNGS, tmp_path)
    for path in tmp_path.rglob("*.json"):
        path.write_bytes(path.read_bytes()[:-7] if nonsense == "cut" else nonsense)
    second, proved = answers(TWO_RUNGS, tmp_path)

    assert second == first
    assert len(proved) == len(first)
    assert answers(TWO_RUNGS, tmp_path)[1] == []


def test_a_folder_that_cannot_be_written_is_no_mistake(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("in the way")

    assert len(answers(TWO_RUNGS, tmp_path / "file")[1]) == len(answers(TWO_RUNGS, tmp_path / "other")[0])


def test_faults_are_remembered_too(tmp_path):
    """The same promise with a fault is another question, and is known the second time."""
    text = TWO_RUNGS + '  not kept: K1 drops out when S1 is pressed even with one fault  "a welded contact"\n'
    first, proved = answers(text, tmp_path)
    second, again = answers(text, tmp_path)

    assert proved
    assert again == []
    assert [proof.faults for proof in second] == [proof.faults for proof in first]


def test_a_resistor_of_other_ohms_is_another_question(tmp_path):
    """Where a coil may get part of its volts, everything electrical belongs to the question (Ohm's law)."""
    outcomes = []
    for ohms in ("1 ohm", "1 Mohm"):
        text = f"{TWO_RUNGS}  with {ohms} in K1.A1: K1 picks up when S2 is pressed unless S1 is pressed\n"
        reading = read(text)
        prover = Prover(reading.circuit, memory=Memory(tmp_path))
        outcomes.append(prover.answer(reading.circuit.promises[-1]).outcome)

    assert outcomes == ["kept", "broken"]


def test_what_was_left_open_is_asked_again_with_more_time(tmp_path):
    """An answer that the time was over holds for no longer a time."""
    circuit = read(TWO_RUNGS).circuit
    panel, promise = Prover(circuit).bench.sound, circuit.promises[0]
    memory = Memory(tmp_path)
    memory.keep("0123", Proof(promise, "not decided", "", reason="the time was over"), 5.0)

    assert memory.recall("0123", promise, panel, 5.0).reason == "the time was over"
    assert memory.recall("0123", promise, panel, 6.0) is None


LAMPS = """panel "Lamps"
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NO
  H1  lamp  24 V dc
  H2  lamp  24 V dc
devices on plate
  K1  relay  2 CO  coil 24 V dc
  T1  interval timer  2 s  1 NO  coil 24 V dc
rungs from + to -
  S1.no  T1.coil
  T1.no  K1.coil
  K1.no  {one}
  K1.nc  {other}
assumptions
  inputs change only at rest
  power stays on
promises
  H1 stays lit at most 3 s
"""


def test_a_lamp_on_the_other_contact_is_asked_anew(tmp_path):
    """Where seconds are asked about, too, what lights the lamp belongs to the question."""
    first, _ = answers(LAMPS.format(one="H1", other="H2"), tmp_path)
    second, new = answers(LAMPS.format(one="H2", other="H1"), tmp_path)

    assert [first[0].outcome, second[0].outcome] == ["kept", "broken"]
    assert "H1 stays lit at most 3 s" in new
