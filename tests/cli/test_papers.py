"""Files, folders and `-`, and what is said about paths that lead nowhere."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from panelwright.cli.papers import CannotRead, Paper, papers


def test_a_folder_means_its_panel_files_each_once(tmp_path: Path) -> None:
    """Searched all the way down, hidden folders left out, a file named twice read once."""
    for name in ("b.panel", "deeper/a.panel", ".panelwright/c.panel", "notes.txt"):
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text("panel", encoding="utf-8")

    found = [Path(paper.name).relative_to(tmp_path) for paper in papers([str(tmp_path), str(tmp_path / "b.panel")])]

    assert [Path("b.panel"), Path("deeper/a.panel")] == found


def test_a_dash_means_what_is_piped_in(monkeypatch: pytest.MonkeyPatch) -> None:
    """`cat pump.panel | panelwright check -` works."""
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"panel")))

    assert [Paper("typed", b"panel")] == list(papers(["-"]))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("well-pmp.panel", "Did you mean"),
        ("well-pump", "Did you mean"),
        ("zzz.panel", "Panel files there: well-pump.panel."),
        ("nowhere/well-pump.panel", "There is no folder"),
    ],
)
def test_a_wrong_path_is_answered_with_the_nearest_right_one(tmp_path: Path, typed: str, said: str) -> None:
    """A slip in a file name costs one line to mend."""
    (tmp_path / "well-pump.panel").write_text("panel", encoding="utf-8")

    with pytest.raises(CannotRead) as stopped:
        list(papers([str(tmp_path / typed)]))

    assert said in stopped.value.message
    assert 2 == stopped.value.exit_code


def test_an_empty_folder_is_said_to_be_empty(tmp_path: Path) -> None:
    """Not "fine": nothing was looked at."""
    with pytest.raises(CannotRead, match=r"no \.panel file"):
        list(papers([str(tmp_path)]))


def test_line_ends_marks_and_old_code_pages_are_read(tmp_path: Path) -> None:
    """A file from any editor of the last thirty years."""
    (tmp_path / "a.panel").write_bytes("\ufeffpanel\r\n".encode())
    (tmp_path / "b.panel").write_bytes('panel "Kühlung"\r'.encode("cp1252"))

    assert ["panel\n", 'panel "Kühlung"\n'] == [paper.text for paper in papers([str(tmp_path)])]


def test_what_is_no_text_is_refused(tmp_path: Path) -> None:
    """A picture by mistake gives a sentence, not a page of problems."""
    (tmp_path / "a.panel").write_bytes(b"\x89PNG\0\0")

    with pytest.raises(CannotRead, match="not a text file"):
        list(papers([str(tmp_path / "a.panel")]))
