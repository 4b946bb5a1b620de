"""Every message of the reader, word for word, and nothing beside it: one slip, one problem."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from panelwright.language import read, read_steps

HERE = Path(__file__).parent
LANGUAGE = Path("src/panelwright/language")
FILES = {
    "pump": Path("examples/orchard/well-pump.panel").read_text(encoding="utf-8"),
    "hoist": (HERE / "hoist.panel").read_text(encoding="utf-8"),
}
SLIPS = tomllib.loads((HERE / "slips.toml").read_text(encoding="utf-8"))["slip"]
OF_BYTES = {"PW001", "PW002", "PW003", "PW004"}  # tested below


@pytest.mark.parametrize("name", FILES)
def test_the_files_have_no_mistake(name: str) -> None:
    """Whatever is reported comes from the slip."""
    assert () == read(FILES[name]).problems


def test_a_panel_without_supplies_is_told_so_at_its_rungs() -> None:
    """There are no rails to choose from; the mend says where they come from."""
    text = 'panel "x"\ndevices on plate\n  H1  lamp  24 V dc\nrungs from + to -\n  H1'
    problem = next(problem for problem in read(text).problems if problem.code == "PW104")

    assert "no supply in this file names its rails." == problem.why
    assert 'name it behind the word "rails" of a supply.' == problem.mend


@pytest.mark.parametrize("slip", SLIPS, ids=[f"{slip['code']}-{n}" for n, slip in enumerate(SLIPS)])
def test_a_slip_is_told_word_for_word(slip: dict) -> None:
    """What is wrong, where, why and how to mend it; nothing is reported twice, and nothing beside it."""
    assert slip["was"] in FILES[slip["file"]]
    text = FILES[slip["file"]].replace(slip["was"], slip["typed"], 1)
    first, *others = read(text).problems
    span = first.span
    marked = text.split("\n")[span.line - 1][span.column - 1 : span.column - 1 + span.length]

    assert (slip["code"], slip["line"], slip["column"]) == (first.code, span.line, span.column)
    assert slip["marked"] == marked
    assert (slip["message"], slip["why"], slip["mend"]) == (first.message, first.why, first.mend)
    assert slip.get("then", []) == [problem.code for problem in others]


def test_every_code_of_the_reader_is_among_them() -> None:
    """No message that nobody has read."""
    used = {code for file in LANGUAGE.glob("*.py") for code in re.findall(r'"(PW\d{3})"', file.read_text("utf-8"))}

    assert set() == used - {slip["code"] for slip in SLIPS} - OF_BYTES


def test_every_habit_is_among_them() -> None:
    """Each row of the table of habits is met by a slip."""
    habits = tomllib.loads((LANGUAGE / "habits.toml").read_text(encoding="utf-8"))["habit"]

    assert [] == [row["why"] for row in habits if row["why"] not in {slip["why"] for slip in SLIPS}]


def test_every_mend_that_gives_the_words_is_right() -> None:
    """`write K1.coil.` in place of what is marked leaves no problem."""
    tried = 0
    for slip in SLIPS:
        mend = re.fullmatch(r"write ([^ ,]+)\.", slip["mend"])
        if mend is None or not slip["marked"].strip() or slip["marked"] not in slip["typed"]:
            continue
        mended = slip["typed"].replace(slip["marked"], mend[1].strip('"'), 1)
        text = FILES[slip["file"]].replace(slip["was"], mended, 1)
        codes = [problem.code for problem in read(text).problems if problem.span.line == slip["line"]]
        tried += 1

        assert [] == codes or slip["code"] not in codes, (slip["typed"], mended, codes)
    assert tried > 20


def test_a_character_that_cannot_be_printed() -> None:
    """It is taken as a blank, with a warning."""
    (problem,) = read(FILES["pump"].replace("K1.coil  ", "K1.coil \x07", 1)).problems

    assert ("PW003", "warning", 20, 38) == (problem.code, problem.severity, problem.span.line, problem.span.column)
    assert "a character that cannot be printed" == problem.message
    assert "the file may be damaged; it was taken as a blank." == problem.why
    assert "delete it." == problem.mend


def test_more_problems_than_are_worth_showing() -> None:
    """After two hundred the rest are counted."""
    text = FILES["pump"] + 'trial "x"\n' + "pres S1\n" * 300
    problems = read(text).problems

    assert 201 == len(problems)
    assert ("PW004", "100 more problems are not shown") == (problems[-1].code, problems[-1].message)
    assert "the first ones often cause the others." == problems[-1].why
    assert "mend the first ones and look again." == problems[-1].mend


def test_another_encoding() -> None:
    """Read all the same, with a warning on the line."""
    (problem,) = read(FILES["pump"].replace("Stop", "Größe", 1).encode("cp1252")).problems

    assert ("PW002", "warning", 11) == (problem.code, problem.severity, problem.span.line)
    assert "the file is not written in UTF-8; it was read as Windows-1252" == problem.message
    assert "letters with accents and signs may come out wrong." == problem.why
    assert "save the file as UTF-8 in the editor." == problem.mend


def test_a_file_that_is_no_panel_file() -> None:
    """Nothing of it is read."""
    (problem,) = read(bytes(5_000_000)).problems

    assert "PW001" == problem.code
    assert "the file has 5 MB, more than a panel file can have (4 MB)" == problem.message
    assert "something else was probably opened by mistake; nothing of it was read." == problem.why
    assert "give the .panel file." == problem.mend


def test_a_missing_device_is_told_once_with_its_places() -> None:
    """A forgotten line of devices does not flood the screen."""
    text = re.sub(r"  K1  relay.*\n", "", FILES["pump"])
    (problem,) = read(text).problems

    assert ("PW101", 5) == (problem.code, len(problem.also))
    assert [19, 20, 21, 32, 33] == [span.line for _, span in problem.also]


def test_steps_typed_by_hand_have_the_same_messages() -> None:
    """`--do` and the bench read steps as a file does."""
    steps, problems = read_steps("press S1, expect K9 out", read(FILES["pump"]).circuit)

    assert ((), "write ; in place of the comma.") == (steps, problems[0].mend)
