"""`panelwright find` and `practise` as they are typed: trees, notes, the dialogue, and what is printed."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from panelwright.cli import main

ROOT = Path(__file__).parents[2]
PUMP = str(ROOT / "examples" / "orchard" / "well-pump.panel")


def run(*words: str, typed: str | None = None) -> Result:
    """The program with these words."""
    return CliRunner().invoke(main, [str(word) for word in words], input=typed)


def words_of(pdf: Path) -> str:
    """All text of a PDF, read by poppler."""
    found = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True)
    return " ".join(found.stdout.split())


def test_a_tree_is_printed(tmp_path: Path) -> None:
    """Cautions at the head, tests with numbers, and what to mend at the ends."""
    place = tmp_path / "way.pdf"
    result = run("find", PUMP, "--seen", "K1 does not hold in", "--tree", "4", "--out", place)
    said = words_of(place)

    assert result.exit_code == 1
    assert "in " + str(place) in result.output
    for words in (
        "Way to the fault",
        "trained, authorised and equipped",
        "1. Live",
        "Mend: clean or change contact 9-5",
    ):
        assert words in said


def test_a_tree_as_values() -> None:
    """Beside the causes."""
    result = run("find", PUMP, "--json", "--seen", "K1 does not hold in", "--tree", "2")
    tree = json.loads(result.output)["tree"]

    assert tree["root"]["number"] == 1
    assert {node["outcome"] for node in tree["root"]["then"]} == {"24 V", "0 V"}


def test_a_tree_of_nothing_says_what_is_missing() -> None:
    """Instead of an empty page."""
    result = run("find", PUMP, "--tree", "2")

    assert result.exit_code == 2
    assert "say what is seen first" in result.output


def test_out_without_a_tree_is_refused(tmp_path: Path) -> None:
    """Nothing is written."""
    result = run("find", PUMP, "--seen", "K1 does not start", "--out", tmp_path / "x.pdf")

    assert result.exit_code == 2
    assert "--tree" in result.output
    assert not list(tmp_path.iterdir())


def test_notes_are_gone_on_with(tmp_path: Path) -> None:
    """The second day knows what the first one found."""
    notes = tmp_path / "pump.txt"
    first = run("find", PUMP, "--seen", "K1 does not start", "--notes", notes)
    second = run("find", PUMP, "--reading", "K1.13 to K1.14: 24 V @ S2 held", "--notes", notes)

    assert "Written down" in first.output
    assert "K1 is out (S2 held)" in second.output
    assert notes.read_text(encoding="utf-8").splitlines()[-1].startswith("reading: K1.13 to K1.14: 24 V")


def test_notes_with_a_mistake_are_left_alone(tmp_path: Path) -> None:
    """The line is named, and nothing is lost."""
    notes = tmp_path / "pump.txt"
    notes.write_text("seen: K1 does not start\nseen: it smells\n", encoding="utf-8")
    result = run("find", PUMP, "--notes", notes)

    assert result.exit_code == 2
    assert "line 2" in result.output
    assert notes.read_text(encoding="utf-8") == "seen: K1 does not start\nseen: it smells\n"


def test_the_dialogue_asks_what_changed_before_it_asks_what_is_wrong(tmp_path: Path) -> None:
    """And ends with the part, the proof and the test after the repair."""
    notes = tmp_path / "pump.txt"
    typed = "yes\nthe moon was full\nit was wet\nevery time\nyes\n\nK1 does not hold in\n24 V\n24 V\n"
    result = run("find", PUMP, "--notes", notes, typed=typed)

    assert result.output.index("What changed") < result.output.index("What is wrong?")
    assert "is no change that is understood" in result.output
    assert "Mend: clean or change contact 9-5 of K1" in result.output
    assert "After the repair:" in result.output
    assert "changed: it was wet" in notes.read_text(encoding="utf-8")


def test_a_dialogue_with_the_power_off_proposes_nothing_live() -> None:
    """For those who may not work live."""
    result = run("find", PUMP, typed="yes\n\nevery time\nno\n\nK1 does not start\nend\n")

    assert "Live," not in result.output
    assert "Power off, locked, proved dead" in result.output or "Look," in result.output


@pytest.mark.parametrize("answers", [False, True])
def test_worksheets_are_printed(tmp_path: Path, answers: bool) -> None:
    """The learner's half never has the cause, the teacher's always."""
    place = tmp_path / "class.pdf"
    result = run("practise", PUMP, "--tasks", "2", "--out", place, *(["--answers"] if answers else []))
    said = words_of(place)

    assert result.exit_code == 0
    assert ("Mend: " in said) == answers
    assert "Task 2" in said
    assert "same seed gives the same tasks" in said


def test_a_worksheet_as_values_keeps_its_secret() -> None:
    """The cause stands in the answers alone."""
    tasks = json.loads(run("practise", PUMP, "--json", "--tasks", "1").output)["tasks"]
    answers = json.loads(run("practise", PUMP, "--json", "--tasks", "1", "--answers").output)["tasks"]

    assert "cause" not in tasks[0]
    assert answers[0]["cause"]
    assert tasks[0]["symptom"] == answers[0]["symptom"]
