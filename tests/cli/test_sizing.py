"""The command `size`: text, JSON, printed pages, exit codes, and what it says when nothing fits."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pikepdf
from click.testing import CliRunner, Result
from openpyxl import load_workbook

import panelwright as pw
from panelwright.cli import main

from ..sheets.test_printed import texts

CONVEYOR = "examples/orchard/grader-conveyor.panel"
STOP = "examples/orchard/emergency-stop.panel"
FAN = "examples/orchard/cold-store-fan.panel"


def run(*words: str) -> Result:
    """The answer to a command."""
    return CliRunner().invoke(main, ["size", *words])


def test_every_step_has_its_rule() -> None:
    """Arithmetic on the left, clause on the right; what is only remembered is marked."""
    text = run(CONVEYOR, "--about", "1MTR").output + run(FAN, "--about", "M1").output
    lines = [" ".join(line.split()) for line in text.splitlines()]

    assert "7.6 A x 1.25 = 9.5 A NEC 430.22" in lines
    assert "set to the rated current: 2.1 A IEC 60204-1 7.3.2 [from memory]" in lines
    assert "the responsible licensed person decide" in " ".join(text.split())


def test_the_exit_code_tells_how_it_stands(tmp_path: Path) -> None:
    """0 when all is answered and fits, 3 when facts are missing, 1 when something falls short, 2 for wrong text."""
    text = Path(CONVEYOR).read_text(encoding="utf-8")
    short, wrong = tmp_path / "short.panel", tmp_path / "wrong.panel"
    short.write_text(text.replace("set 9.5 A", "set 10.9 A"), encoding="utf-8")
    wrong.write_text(text.replace("ambient 40 C", "ambient 40"), encoding="utf-8")
    codes = [
        run(CONVEYOR, "--about", "1MTR").exit_code,
        run(STOP, "--about", "M1").exit_code,
        run(str(short), "--about", "1MTR").exit_code,
        run(str(wrong)).exit_code,
    ]

    assert [0, 3, 1, 2] == codes
    assert "PW036" in run(str(wrong)).output


def test_a_tag_that_nothing_is_sized_for_is_told() -> None:
    """With the tags that there are."""
    result = run(CONVEYOR, "--about", "M9")

    assert 2 == result.exit_code
    assert f"{CONVEYOR}: nothing is sized for M9; it is for 1MTR, 1M, LV," in result.output


def test_the_json_has_everything_that_the_text_has() -> None:
    """Choices with value and unit, steps with rule, source and trust, what is in the file."""
    values = json.loads(run(CONVEYOR, "--about", "1MTR", "--json").output)
    answers = {answer["question"]: answer for answer in values["parts"][0]["answers"]}

    assert "NEC 2023: NFPA 70, National Electrical Code 2023" == values["rules"]
    assert (15.0, "A") == (answers["branch device"]["value"], answers["branch device"]["unit"])
    assert answers["branch device"]["in_file"]["fits"] is True
    assert {"text", "rule", "source", "trust"} == set(answers["branch device"]["workings"][0])


def test_the_pages_have_every_choice_and_every_step(tmp_path: Path) -> None:
    """A4 upright, framed, as many as are told."""
    out = tmp_path / "sizing.pdf"
    result = run(CONVEYOR, "--out", str(out))
    circuit = pw.read_file(CONVEYOR).circuit
    sheet = pw.size(circuit)
    pages = pw.size_pages(circuit, sheet)
    words = " ".join(text for page in pages for text in texts(page))

    with pikepdf.open(out) as pdf:
        assert len(pages) == len(pdf.pages)
    assert f"{len(pages)} pages in {out}" in result.output
    assert not [answer.question for answer in sheet.answers if answer.question.split()[0] not in words]
    assert "7.6 A x 1.25 = 9.5 A" in words


def test_what_falls_short_comes_first_on_paper() -> None:
    """The first page names it; without a shortfall there is no such heading."""
    first = {}
    for name in (STOP, CONVEYOR):
        circuit = pw.read_file(name).circuit
        first[name] = texts(pw.size_pages(circuit, pw.size(circuit))[0])

    assert "Falls short" in first[STOP]
    assert "F1 4 A may stay whole in a short circuit" in " ".join(first[STOP])
    assert "Falls short" not in first[CONVEYOR]


def test_the_spreadsheet_has_choices_steps_and_what_is_missing(tmp_path: Path) -> None:
    """Numbers as numbers beside the choice as it is bought; each step with rule, source and trust."""
    out = tmp_path / "sizing.xlsx"
    result = run(STOP, "--xlsx", str(out))
    book = load_workbook(out)
    choices = list(book["Choices"].iter_rows(values_only=True))
    device = next(row for row in choices if row[1:3] == ("M1", "branch device"))

    notes = list(book["Notes"].iter_rows(values_only=True))

    assert ["Choices", "Steps", "Notes", "Missing"] == book.sheetnames
    assert ("M1", "branch device", "also", "10 A aM: back-up fuse: only together with an overload relay") in notes
    assert ("20 A gG", 20) == device[3:5]
    assert f"The spreadsheet is {out}." in result.output


def test_the_brief_answer_has_a_line_for_each_question() -> None:
    """Choice and verdict, no steps; whatever rests on memory says so."""
    lines = run(CONVEYOR, FAN, "--about", "1MTR", "--about", "M1", "--brief").output.splitlines()
    wanted = "1MTR branch device          at most 15 A time-delay fuse  (2FU fuse 15 A: will do)"

    assert wanted in lines
    assert [line for line in lines if line.startswith("M1 overload setting") and line.endswith("[from memory]")]
    assert not [line for line in lines if "x 1.25" in line]


def test_a_folder_ends_in_a_total() -> None:
    """The demo: every panel sized, and how much is open over all of them."""
    last = run("examples/orchard", "--brief").output.splitlines()[-1]

    assert re.fullmatch(r"\d+ files: \d+ of \d+ questions answered, \d+ falls? short, \d+ facts missing\.", last), last


def test_steps_that_were_shown_above_are_pointed_to() -> None:
    """The second of two like pumps says "as for M1", on the screen and on paper; what the file has there is its own."""
    text = run("examples/orchard/lift-station.panel").output
    station = pw.read_file("examples/orchard/lift-station.panel").circuit
    second = text.partition("M2 branch conductor")[2].partition("M2 branch device")[0]
    pages = pw.size_pages(station, pw.size(station))
    words = [cell for page in pages for cell in texts(page)]

    assert ["0.75 mm2", "as for M1"] == [line.strip() for line in second.splitlines()[:2]]
    assert "in the file: wires 2.5 mm2: will do" in second
    assert "then as for SA1" in text
    assert "as for M1" in words


def test_facts_with_one_reason_are_asked_for_together() -> None:
    """One reason, a line to write for each."""
    text = run(STOP).output

    assert "size of Q2, size of Q1: only what a contactor is rated for" in text
    assert 1 == text.count("write  Q1  contactor  3 poles  1 NC  coil 24 V dc  9 A")
