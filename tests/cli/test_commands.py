"""The commands as somebody types them: answers, exit codes, JSON, slips."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner, Result

from panelwright import api
from panelwright.cli import main

PUMP = str(api.ready_circuits() / "orchard" / "well-pump.panel")
WRONG = 'panel "x"\ndevices on plate\n  K1  rely  2 CO  coil 24 V dc\n'
FAILS = """
trial "Upside down"
  press S2; expect K1 out
"""


def run(*words: str, typed: str | None = None) -> Result:
    """Run the program."""
    return CliRunner().invoke(main, list(words), input=typed, prog_name="panelwright")


def text_of(path: str, more: str = "") -> str:
    """A panel file with something added."""
    return Path(path).read_text(encoding="utf-8") + more


@pytest.mark.parametrize("command", ["check", "try", "wire"])
def test_a_sound_file_is_fine(command: str) -> None:
    """Exit code 0 and something to read."""
    result = run(command, PUMP)

    assert (0, True) == (result.exit_code, bool(result.output.strip()))


def test_a_mistake_is_found_with_exit_code_1() -> None:
    """In the form that the documentation promises."""
    result = run("check", "-", typed=WRONG)

    assert 1 == result.exit_code
    assert result.output.startswith("typed:3:7: PW151 ")


def test_no_result_is_written_over_that_of_another_panel(tmp_path: Path) -> None:
    """Two panels into one file, and two of the same name into one folder: told, and the first result stays."""
    for place in "ab":
        (tmp_path / place).mkdir()
        (tmp_path / place / "pump.panel").write_text(text_of(PUMP), encoding="utf-8")
    both = [str(tmp_path / place / "pump.panel") for place in "ab"]
    one_file = run("wire", *both, "--xlsx", str(tmp_path / "wires.xlsx"))
    one_folder = run("draw", *both, "--out", str(tmp_path / "out"))

    assert (2, 2) == (one_file.exit_code, one_folder.exit_code)
    assert f"wires.xlsx holds what belongs to {both[0]} already" in one_file.output
    assert "name a folder instead of a file" in one_file.output
    assert f"pump.svg holds what belongs to {both[0]} already" in one_folder.output
    assert (tmp_path / "wires.xlsx").exists()


@pytest.mark.parametrize("command", ["prove", "wire", "size", "parts", "testsheet", "faults", "draw"])
def test_nothing_is_worked_out_from_an_empty_file(command: str) -> None:
    """Exit code 2 and a way to begin; no sheet, proof or list of nothing."""
    result = run(command, "-", typed="")

    assert 2 == result.exit_code
    assert "there is no device in it yet" in result.output
    assert "nothing in it yet" in run("check", "-", typed="").output


def test_mistakes_are_found_by_a_word() -> None:
    """Who does not know the code looks for what it is about."""
    titles = run("explain", "coil").output

    assert "PW302  Coil on the wrong voltage" in titles
    assert "PW001" not in titles
    assert 2 == run("explain", "zzz").exit_code


@pytest.mark.parametrize("command", ["try", "wire", "draw"])
def test_nothing_is_worked_out_from_a_text_with_a_mistake(command: str) -> None:
    """Exit code 2, and the problems are told."""
    result = run(command, "-", typed=WRONG)

    assert 2 == result.exit_code
    assert "PW151" in result.output
    assert "mend the text first" in result.output


def test_a_failed_trial_gives_exit_code_1_and_says_what_was_seen() -> None:
    """Expected, seen, and why."""
    result = run("try", "-", typed=text_of(PUMP, FAILS))

    assert 1 == result.exit_code
    assert "FAILED  Upside down" in result.output
    assert "expected K1 out; seen: K1 in" in result.output


def test_the_worst_of_several_files_decides() -> None:
    """One bad file among good ones is not lost."""
    assert 1 == run("check", PUMP, "-", typed=WRONG).exit_code
    assert 2 == run("wire", PUMP, "-", typed=WRONG).exit_code


def test_steps_may_be_typed() -> None:
    """What happens, and where everything stands in the end."""
    result = run("try", PUMP, "--do", "press S2; release S2")

    assert 0 == result.exit_code
    assert "K1 pulls in through S1 and S2" in result.output
    assert "  K1     in" in result.output


def test_a_slip_in_typed_steps_is_shown_with_its_place() -> None:
    """The caret stands under the word."""
    result = run("try", PUMP, "--do", "pres S2")

    assert 2 == result.exit_code
    assert "--do:1:1: PW020" in result.output


@pytest.mark.parametrize("command", ["check", "try", "wire"])
def test_json_is_one_object_for_one_file_and_a_list_for_several(command: str) -> None:
    """And it can be read by any program."""
    one, two = run(command, "--json", PUMP), run(command, "--json", PUMP, "-", typed=text_of(PUMP))

    assert PUMP == json.loads(one.output)["file"]
    assert [PUMP, "typed"] == [each["file"] for each in json.loads(two.output)]


def test_json_of_wire_has_wires_with_number_and_ends() -> None:
    """Eleven for the well pump, as a wireman would count them."""
    wires = json.loads(run("wire", "--json", PUMP).output)["wires"]

    assert 11 == len(wires)
    assert all(wire["number"] and len(wire["ends"]) == 2 and all("." in end for end in wire["ends"]) for wire in wires)


def test_a_drawing_is_written_where_it_is_wanted(tmp_path: Path) -> None:
    """A folder, a file, or the terminal."""
    assert 0 == run("draw", PUMP, "--out", str(tmp_path)).exit_code
    assert 0 == run("draw", PUMP, "-o", str(tmp_path / "x.svg"), "--symbols", "NA").exit_code
    assert 0 == run("draw", PUMP, "-o", str(tmp_path / "y.pdf"), "--theme", "print").exit_code
    assert run("draw", PUMP, "-o", "-").output.startswith("<svg")
    assert (tmp_path / "y.pdf").read_bytes().startswith(b"%PDF")
    assert {"well-pump.svg", "x.svg", "y.pdf"} == {path.name for path in tmp_path.iterdir()}


def test_tidy_changes_only_the_layout(tmp_path: Path) -> None:
    """Once tidy, always tidy; `--check` changes nothing."""
    path = tmp_path / "a.panel"
    untidy = text_of(PUMP).replace("  K1.no  H1 ", "K1.no H1 ")
    path.write_text(untidy, encoding="utf-8")

    assert 1 == run("tidy", "--check", str(path)).exit_code
    assert untidy == path.read_text(encoding="utf-8")
    assert 0 == run("tidy", str(path)).exit_code
    assert 0 == run("tidy", "--check", str(path)).exit_code
    assert api.read(untidy).circuit == api.read_file(path).circuit


def test_a_ready_circuit_is_copied_and_nothing_is_overwritten(tmp_path: Path) -> None:
    """The second time it says so."""
    target = str(tmp_path / "mine.panel")

    assert 0 == run("new", "well-pump", target).exit_code
    assert 2 == run("new", "well-pump", target).exit_code


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["chek", PUMP], "Did you mean 'check'?"),
        (["check", "--jsn", PUMP], "Did you mean '--json'?"),
        (["check", PUMP[:-7]], "Did you mean"),
        (["check"], "Missing argument 'FILE...'"),
        (["new", "wel-pump"], "Did you mean well-pump"),
        (["explain", "PW20"], "Did you mean"),
        (["explain", "nonsense"], "there is no mistake nonsense"),
    ],
)
def test_typing_slips_are_answered_with_the_nearest_right_thing(words: list[str], said: str) -> None:
    """Exit code 2, no traceback."""
    result = run(*words)

    assert 2 == result.exit_code
    assert said in result.output
    assert isinstance(result.exception, SystemExit)


def test_all_mistakes_can_be_listed() -> None:
    """Each with its code, in the order of the codes."""
    codes = [line.split()[0] for line in run("explain").output.splitlines()]

    assert sorted(codes) == codes
    assert {"PW101", "PW307"} <= set(codes)


def test_a_slip_inside_panelwright_becomes_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody meets a traceback, and what to report is said."""
    monkeypatch.setattr(api, "wire", lambda circuit: 1 / 0)
    result = run("wire", PUMP)

    assert 2 == result.exit_code
    assert "Panelwright made a mistake here, not you: ZeroDivisionError" in result.output


def test_a_broken_promise_gives_exit_code_1_and_the_way_to_break_it() -> None:
    """The steps that are told break it when they are taken."""
    result = run("prove", "-", typed=text_of(PUMP, "promises\n  K1 stays out after S1 is released\n  never K1 is in\n"))

    assert 1 == result.exit_code
    assert "BROKEN       never K1 is in" in result.output
    steps = re.findall(r'try it: --do "(.+)"', result.output)[-1]
    assert 1 == run("try", PUMP, "--do", f"{steps}; expect K1 out").exit_code


def test_kept_promises_give_exit_code_0_and_name_what_they_rest_on() -> None:
    """The model of time and the assumptions belong to the answer."""
    result = run("prove", PUMP)

    assert 0 == result.exit_code
    assert "Model of time: " in result.output
    assert "Assumed: inputs change only at rest." in result.output


def test_json_of_find_has_causes_the_best_first() -> None:
    """Other programs count on it."""
    result = run("find", "--json", PUMP, "--seen", "K1 runs only while S2 is held")
    chances = [cause["probability"] for cause in json.loads(result.output)["causes"]]

    assert chances
    assert sorted(chances, reverse=True) == chances


def test_the_pack_has_a_page_for_each_sheet(tmp_path: Path) -> None:
    """Read back with another library; designations can be found by searching."""
    pdf = tmp_path / "pack.pdf"
    result = run("sheets", PUMP, "--out", str(pdf))

    assert 0 == result.exit_code
    with pikepdf.open(pdf) as pack:
        assert f"{len(pack.pages)} sheets" in result.output
    found = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    assert {"K1", "S1", "S2", "H1", "H2"} <= set(found.split())


def test_a_panel_that_is_built_is_changed_with_few_moves(tmp_path: Path) -> None:
    """Nothing changes when nothing was changed."""
    result = run("changes", PUMP, PUMP)

    assert 0 == result.exit_code
    assert "Nothing changes." in result.output
