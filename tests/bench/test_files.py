"""Panel files are written whole or not at all, and only on purpose."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwright.bench.files import CannotWrite, FileChanged, PanelFile, panel_files, write_atomically


@pytest.fixture
def file(tmp_path: Path) -> PanelFile:
    """A panel file that was opened."""
    path = tmp_path / "pump.panel"
    path.write_text('panel "Pump"\n', encoding="utf-8")
    opened = PanelFile(path)
    opened.open()
    return opened


def test_a_write_that_fails_leaves_the_old_file(file: PanelFile, monkeypatch: pytest.MonkeyPatch) -> None:
    """The disk is full at the last moment: the old text stands, no scrap is left, the reason is told."""

    def full(one: str, other: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(CannotWrite, match=r"No space left on device\. Your text is kept"):
        file.save("new text\n")

    assert file.path.read_text(encoding="utf-8") == 'panel "Pump"\n'
    assert [file.path] == [one for one in file.path.parent.iterdir() if one.is_file()]


def test_a_file_that_was_changed_elsewhere_is_not_overwritten(file: PanelFile) -> None:
    """Unless that is said."""
    file.path.write_text("theirs\n", encoding="utf-8")
    with pytest.raises(FileChanged, match=r"pump\.panel was changed on disk"):
        file.save("mine\n")
    file.save("mine\n", over=True)

    assert file.path.read_text(encoding="utf-8") == "mine\n"


def test_unsaved_text_is_found_again(file: PanelFile) -> None:
    """It lies in a side file until it is saved."""
    file.keep("typed\n")
    again = PanelFile(file.path)
    found = again.open()
    again.save("typed\n")

    assert found.unsaved == "typed\n"
    assert found.saved == 'panel "Pump"\n'
    assert PanelFile(file.path).open().unsaved is None


def test_scraps_of_a_crash_are_swept_away(file: PanelFile) -> None:
    """A temporary file that was never finished goes at the next start."""
    scrap = file.path.parent / ".pump.panel.abc123.writing"
    scrap.write_text("half", encoding="utf-8")
    PanelFile(file.path).open()

    assert not scrap.exists()


def test_an_old_windows_file_loses_no_letter(tmp_path: Path) -> None:
    """Bytes that are no UTF-8 are read as the letters they most likely are; line ends become ours."""
    path = tmp_path / "old.panel"
    path.write_bytes('panel "Kühlraum"\r\n'.encode("latin-1"))

    assert PanelFile(path).open().saved == 'panel "Kühlraum"\n'


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Saving through a link writes what it points at."""
    real, link = tmp_path / "real.panel", tmp_path / "link.panel"
    real.write_text("a\n", encoding="utf-8")
    link.symlink_to(real)
    write_atomically(link, "b\n")

    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "b\n"


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"], exclude_characters="\r")))
def test_what_is_saved_is_read_again(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    """Any text at all comes back as it was."""
    file = PanelFile(tmp_path_factory.mktemp("any") / "any.panel")
    file.save(text, over=True)

    assert file.open().saved == text.removeprefix("\ufeff")


def test_files_and_folders_are_found_in_order(tmp_path: Path) -> None:
    """Each once, even when it is named twice."""
    for name in ("b.panel", "a.panel", "notes.txt"):
        (tmp_path / name).write_text("", encoding="utf-8")

    assert ["a.panel", "b.panel"] == [one.name for one in panel_files((tmp_path, tmp_path / "a.panel"))]
