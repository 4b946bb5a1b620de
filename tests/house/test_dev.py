"""The set-up script: needs nothing, knows its commands, and the tried versions fit the wishes."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]


def test_the_script_needs_nothing_but_python() -> None:
    """It has to run before anything is installed."""
    tree = ast.parse((ROOT / "dev.py").read_text(encoding="utf-8"))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}

    assert set() == names - set(sys.stdlib_module_names)


@pytest.mark.parametrize(("arguments", "code"), [(["--help"], 0), ([], 2), (["tset"], 2)])
def test_help_and_slips_are_answered_without_setting_up(arguments: list[str], code: int) -> None:
    """Asking costs no installation."""
    done = subprocess.run([sys.executable, "dev.py", *arguments], cwd=ROOT, capture_output=True, text=True, check=False)

    assert code == done.returncode
    assert "Traceback" not in done.stderr
    assert "test" in done.stdout + done.stderr


def test_ci_runs_the_tests_by_the_same_script() -> None:
    """What CI runs can be run at home."""
    assert "python3 dev.py test" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def wishes() -> list[Requirement]:
    """Every library that pyproject.toml asks for, extras included."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [*project["dependencies"]]
    for extra in project["optional-dependencies"].values():
        lines += extra
    return [Requirement(line) for line in lines]


@pytest.mark.parametrize("wish", wishes(), ids=lambda wish: wish.name)
def test_each_wish_has_a_tried_version_that_fits(wish: Requirement) -> None:
    """After a change of pyproject.toml: python3 dev.py lock."""
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines()
    tried = dict(line.split("==") for line in lock if "==" in line)
    version = tried.get(wish.name.lower(), tried.get(wish.name.lower().replace("-", "_")))

    assert version is not None, "python3 dev.py lock"
    assert version in wish.specifier


@pytest.mark.parametrize("wish", wishes(), ids=lambda wish: wish.name)
def test_each_wish_has_a_floor(wish: Requirement) -> None:
    """An old version found on some machine would fail in an odd way."""
    assert any(clause.operator in (">=", "==", "~=") for clause in wish.specifier)
