"""The command: text, JSON, spreadsheet, drawing and pages of one table say the same."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from openpyxl import load_workbook

from panelwright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
LAMP = EXAMPLES / "circuits" / "c01-bench-lamp.panel"


def run(*words: str | Path) -> Result:
    """The command on one core."""
    return CliRunner().invoke(main, ["faults", *map(str, words), "--cores", "1"])


@pytest.fixture(scope="module")
def lamp() -> dict[str, object]:
    """Everything about the bench lamp, as JSON."""
    found: dict[str, object] = json.loads(run(LAMP, "--json").stdout)
    return found


def test_json_gives_every_cell_with_how_and_why(lamp) -> None:  # type: ignore[no-untyped-def]
    """43 faults against four promises; broken ones tell their course, open ones their reason."""
    cells = [(fault, cell) for fault in lamp["faults"] for cell in fault["promises"].values()]

    assert len(lamp["faults"]) * len(lamp["promises"]) == len(cells)
    assert [] == [f["fault"] for f, cell in cells if cell["outcome"] == "broken" and not cell.get("story")]
    assert [] == [f["fault"] for f, cell in cells if cell["outcome"] == "not decided" and not cell.get("why")]


def test_the_spreadsheet_holds_what_the_json_says(lamp, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """Read back with openpyxl, a general library for such files."""
    assert run(LAMP, "--xlsx", tmp_path / "lamp.xlsx").exit_code == 3  # none dangerous, some not decided

    book = load_workbook(tmp_path / "lamp.xlsx")
    heads, *rows = book["Faults"].iter_rows(values_only=True)
    told = {row[0]: row[5:] for row in rows}

    assert tuple(promise["text"] for promise in lamp["promises"]) == heads[5:]
    assert {f["fault"]: tuple(c["outcome"] for c in f["promises"].values()) for f in lamp["faults"]} == told
    assert book["Faults"].freeze_panes is not None
    assert {row[2] for row in book["How and why"].iter_rows(min_row=2, values_only=True)} == {"broken", "not decided"}


def test_pages_and_drawing_are_written_where_one_says(tmp_path: Path) -> None:
    """A folder takes the file's own name."""
    answer = run(LAMP, "--out", tmp_path, "--svg", tmp_path / "table.svg")

    assert (tmp_path / "c01-bench-lamp-faults.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "table.svg").read_text(encoding="utf-8").startswith("<svg")
    assert "page in" in answer.stdout or "pages in" in answer.stdout


def test_promises_that_speak_of_faults_are_told() -> None:
    """Bench lamp: broken by six faults, on purpose; coolant valve: kept with each of the two that it names."""
    lamp, valve = run(LAMP), run(EXAMPLES / "circuits" / "c09-coolant-valve.panel")

    assert "broken, as the file says, by 6 of 43 faults" in lamp.stdout
    assert "kept: with Y1 open: Y1 is out while S1 is clear" in valve.stdout


def test_several_files_are_answered_one_after_the_other() -> None:
    """As every command: each file by itself, the worst exit code."""
    answer = run(LAMP, EXAMPLES / "circuits" / "c09-coolant-valve.panel")

    assert "43 single faults in" in answer.stdout
    assert "41 single faults in" in answer.stdout
    assert answer.exit_code == 1


def test_a_wrong_address_says_what_to_do() -> None:
    """Nobody listens there."""
    answer = run(LAMP, "--over", "tcp://127.0.0.1:9")

    assert answer.exit_code == 2
    assert "no scheduler answers at tcp://127.0.0.1:9" in answer.output
