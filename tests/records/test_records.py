"""Records beside a panel file: added to, never changed, and honest about what they are not."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

import pytest

from panelwright.records import (
    Line,
    Misread,
    Records,
    RecordsUnreadable,
    Sitting,
    beside,
    form_text,
    last_results,
    read_results,
    text_hash,
)

NOW = datetime(2026, 3, 4, 10, 0, tzinfo=UTC)
FIRST = Sitting("cold", "7", "M. Reed", "4711", "2026-03-04", (Line(9, "S2.13 to S1.12", "0 ohm", "open", "failed"),))
AGAIN = Sitting("cold", "7", "M. Reed", lines=(Line(9, "S2.13 to S1.12", "0 ohm", "0.2 ohm", "passed"),))


@pytest.fixture
def records(tmp_path: Path) -> Records:
    """None kept yet."""
    return Records(beside(tmp_path / "pump.panel"))


def test_what_is_kept_is_read_again(records: Records) -> None:
    """In order, with the text that was tested."""
    assert records.all() == ()

    records.add(FIRST, 'panel "Pump"\r\n', NOW)
    records.add(AGAIN, 'panel "Pump, changed"\n', NOW)

    assert [(1, FIRST), (2, AGAIN)] == [(one.number, one.sitting) for one in records.all()]
    assert records.all()[0].at == "2026-03-04T10:00:00+00:00"
    assert records.text(text_hash('panel "Pump"\n')) == 'panel "Pump"\r\n'


def test_the_last_result_of_a_line_counts(records: Records) -> None:
    """The failed one stays on record."""
    for sitting in (FIRST, AGAIN):
        records.add(sitting, "", NOW)

    assert ["passed"] == [line.verdict for line in last_results(records.all())]
    assert records.all()[0].sitting.lines[0].verdict == "failed"


def test_lines_of_the_same_words_count_each(records: Records) -> None:
    """A sheet may ask the same twice; the second one that passed does not hide the first one that failed."""
    twice = (Line(4, "Let go of S2", "nothing changes", "no", "failed"),
             Line(9, "Let go of S2", "nothing changes", "ok", "passed"))  # fmt: skip
    records.add(Sitting("live", "7", lines=twice), "", NOW)
    assert ["failed", "passed"] == [line.verdict for line in last_results(records.all())]
    records.add(Sitting("live", "7", lines=(Line(4, "Let go of S2", "nothing changes", "ok", "passed"),)), "", NOW)

    assert ["passed", "passed"] == [line.verdict for line in last_results(records.all())]


def test_a_line_is_known_again_under_a_changed_text(records: Records) -> None:
    """A device more shifts its number; it is the same line."""
    records.add(FIRST, "before", NOW)
    records.add(Sitting("cold", "7", lines=(Line(11, "S2.13 to S1.12", "0 ohm", "0.1", "passed"),)), "after", NOW)

    assert ["passed"] == [line.verdict for line in last_results(records.all())]


@pytest.mark.parametrize("words", ["DELETE FROM lines", "UPDATE lines SET verdict = 'passed'", "DELETE FROM sittings"])
def test_nothing_is_changed_or_taken_away(records: Records, words: str) -> None:
    """Not even by somebody with a tool for databases."""
    records.add(FIRST, "", NOW)
    with sqlite3.connect(records.path) as base, pytest.raises(sqlite3.IntegrityError):
        base.execute(words)

    assert [FIRST] == [one.sitting for one in records.all()]


def test_another_file_of_that_name_is_left_alone(records: Records) -> None:
    """Said plainly; not a byte of it is changed."""
    records.path.write_bytes(b"not a database at all" * 100)
    with pytest.raises(RecordsUnreadable, match="another name"):
        records.add(FIRST, "", NOW)

    assert records.path.read_bytes() == b"not a database at all" * 100


def test_records_of_another_edition_are_left_alone(records: Records) -> None:
    """A later Panelwright may have written them."""
    records.add(FIRST, "", NOW)
    with sqlite3.connect(records.path) as base:
        base.execute("PRAGMA user_version = 99")
    with pytest.raises(RecordsUnreadable, match="another edition"):
        records.all()


def test_a_form_that_is_filled_in_is_read() -> None:
    """Who, which panel, and what was read; lines left empty are no results."""
    form = form_text("cold", "Pump", [("S1.11 to G1.+", "0 ohm, beeps"), ("K1 coil", "640 ohm"), ("tick", "")])
    filled = form.replace("by:", "by: M. Reed").replace("2:  ", "2: 650 ohm  ").replace("3:  ", "3: ok ")
    found = read_results(filled)

    assert found.results == {2: "650 ohm", 3: "ok"}
    assert found.head == {"sheet": "cold", "panel": "", "by": "M. Reed", "meter": "", "date": ""}


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [("1: ok\nK1 is fine", 2, "is no result"), ("1: ok\n1: 0 V", 2, "two results"), ("one: ok", 1, "is no result")],
)
def test_what_is_no_result_is_told_with_its_line(text: str, line: int, said: str) -> None:
    """Nothing is guessed."""
    with pytest.raises(Misread, match=said) as found:
        read_results(text)

    assert found.value.line == line
