"""Spreadsheets: read back by a reader of another make, nothing turned into a formula or a number."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner
from openpyxl import load_workbook

import panelwright as pw
from panelwright.cli import main
from panelwright.cli.spreadsheet import Page, write_spreadsheet

STATION = "examples/orchard/lift-station.panel"


def test_the_wires_come_back_as_they_are(tmp_path: Path) -> None:
    """Each wire is one row, in order of work, with its ends and both labels."""
    out = tmp_path / "wires.xlsx"
    result = CliRunner().invoke(main, ["wire", STATION, "--xlsx", str(out)])
    rows = list(load_workbook(out)["Wires"].iter_rows(values_only=True))
    wires = pw.wire(pw.read_file(STATION).circuit).wires

    assert (0, f"The spreadsheet is {out}.") == (result.exit_code, result.output.splitlines()[-1])
    assert [(k, w.number, *w.ends, *w.labels) for k, w in enumerate(wires, 1)] == [row[:6] for row in rows[1:]]
    assert {"Wires", "Terminals", "Strips"} == set(load_workbook(out).sheetnames)


def test_words_stay_words(tmp_path: Path) -> None:
    """A tag that looks like a formula, a number or an address is none."""
    out = tmp_path / "words.xlsx"
    write_spreadsheet(out, [Page("Words", ("a", "b", "c"), [("=1+1", "007", "+")])])
    cells = next(load_workbook(out)["Words"].iter_rows(min_row=2))

    assert ["=1+1", "007", "+"] == [cell.value for cell in cells]
    assert ["s", "s", "s"] == [cell.data_type for cell in cells]


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """No traceback, the file named."""
    result = CliRunner().invoke(main, ["wire", STATION, "--xlsx", str(tmp_path / "no" / "such.xlsx")])

    assert result.exit_code == 2
    assert "could not be written" in result.output
