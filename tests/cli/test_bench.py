"""The demo works on a copy of the user's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwright import api
from panelwright.cli import bench


@pytest.fixture(name="home")
def _home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shipped = tmp_path / "shipped" / "orchard"
    shipped.mkdir(parents=True)
    (shipped / "a.panel").write_text("first", encoding="utf-8")
    monkeypatch.setattr(api, "ready_circuits", lambda: shipped.parent)
    monkeypatch.setattr(bench, "user_data_path", lambda name: tmp_path / name)
    return shipped


def test_an_unchanged_panel_follows_the_one_that_is_shipped(home: Path) -> None:
    """After an update the demo shows the new panels."""
    own = bench._own_copy() / "a.panel"
    (home / "a.panel").write_text("second", encoding="utf-8")
    bench._own_copy()

    assert "second" == own.read_text(encoding="utf-8")


def test_a_changed_panel_is_left_alone(home: Path) -> None:
    """Nothing that somebody wrote is lost."""
    own = bench._own_copy() / "a.panel"
    own.write_text("mine", encoding="utf-8")
    (home / "a.panel").write_text("second", encoding="utf-8")
    bench._own_copy()

    assert "mine" == own.read_text(encoding="utf-8")
