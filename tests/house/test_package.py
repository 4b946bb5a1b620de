"""What users install is complete: built, put somewhere else, and used from there."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*command: str, cwd: Path, path: Path | None = None) -> str:
    """What a program prints; it has to end well."""
    environment = {**os.environ, **({"PYTHONPATH": str(path)} if path else {})}
    done = subprocess.run(command, cwd=cwd, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.mark.long
def test_the_built_package_works_away_from_the_sources(tmp_path: Path) -> None:
    """Examples, pages of mistakes, fonts and the page of the bench come along."""
    build = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(tmp_path), str(ROOT)]
    run(*build, cwd=tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    installed = tmp_path / "installed"
    zipfile.ZipFile(wheel).extractall(installed)
    away = tmp_path / "away"
    away.mkdir()
    program = [sys.executable, "-m", "panelwright"]

    where = "import panelwright; print(panelwright.__file__)"
    assert str(installed) in run(sys.executable, "-c", where, cwd=away, path=installed)
    assert "written" in run(*program, "new", "well-pump", cwd=away, path=installed)
    assert "all passed" in run(*program, "try", "well-pump.panel", cwd=away, path=installed)
    assert "drawn" in run(*program, "draw", "well-pump.panel", cwd=away, path=installed)
    assert "11 conductors" in run(*program, "wire", "well-pump.panel", cwd=away, path=installed)
    assert "PW101" in run(*program, "explain", "PW101", cwd=away, path=installed)
    bench = installed / "panelwright" / "bench" / "page"
    assert (bench / "index.html").exists()
    assert list((bench / "vendor").glob("*.js"))
