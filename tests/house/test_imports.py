"""Which part of the product may know of which: lower parts know nothing of higher ones."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "panelwright"

# From the bottom up. A part may import from itself and from the parts before it.
ORDER = (
    "circuit",
    "catalog",
    "language",
    "wiring",
    "electrics",
    "behaviour",
    "faults",
    "finding",
    "checks",
    "sizing",
    "sheets",
    "records",
    "telling",
    "explaining",
    "bench",
    "api",
    "cli",
    "__main__",
)
MOST_LINES = 420  # "about 400": a little room, so that nobody splits a thought to please a counter
TOO_LONG: dict[str, str] = {}  # module -> reason; empty is how it should stay

# Import name -> distribution, where the two differ.
DISTRIBUTIONS = {"pysat": "python-sat", "PIL": "pillow", "z3": "z3-solver"}

# Asked for, although no module of ours imports it: distribution -> reason.
WORKS_UNSEEN = {"websockets": "the server speaks WebSocket through it"}

MODULES = sorted(SOURCE.rglob("*.py"))
NAMES = [str(module.relative_to(SOURCE)) for module in MODULES]


def part_of(module: Path) -> str:
    """The part a module belongs to: its folder, or its own stem at the top."""
    inside = module.relative_to(SOURCE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imported(module: Path) -> list[tuple[int, str]]:
    """Line and dotted name of everything a module imports, wherever in it the import stands."""
    package = ("panelwright", *module.relative_to(SOURCE).parent.parts)
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            name = ".".join(piece for piece in (base, node.module or "") if piece)
            found += [(node.lineno, f"{name}.{alias.name}") for alias in node.names]
    return found


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_a_part_imports_only_what_lies_below_it(module: Path) -> None:
    """Circuit knows nothing of wiring, wiring nothing of sheets, and so on up."""
    part = part_of(module)
    if part == "__init__":
        return  # the front door shows the calls of `api`, lazily
    assert part in ORDER, f"{part} has no place in ORDER yet; give it one"
    allowed = {*ORDER[: ORDER.index(part) + 1]}
    wrong = []
    for line, name in imported(module):
        pieces = name.split(".")
        if pieces[0] == "panelwright" and len(pieces) > 1 and pieces[1] in ORDER:
            wrong += [] if pieces[1] in allowed else [f"{module.name}:{line} imports {name}"]

    assert [] == wrong


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_a_module_stays_readable_in_one_sitting(module: Path) -> None:
    """About 400 lines at most; what is longer holds two ideas."""
    lines = len(module.read_text(encoding="utf-8").splitlines())

    assert lines <= MOST_LINES or str(module.relative_to(SOURCE)) in TOO_LONG, f"{lines} lines"


def wanted_distributions(*extras: str) -> set[str]:
    """Names from pyproject.toml, without versions."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = list(project["dependencies"])
    for extra in extras:
        lines += project["optional-dependencies"][extra]
    return {re.split(r"[^A-Za-z0-9_.-]", line)[0].lower() for line in lines}


def foreign(module_names: list[str]) -> set[str]:
    """Distributions behind the imports that are neither ours nor Python's own."""
    import sys

    tops = {name.split(".")[0] for name in module_names}
    tops -= {"panelwright", *sys.stdlib_module_names}
    return {DISTRIBUTIONS.get(top, top).lower() for top in tops}


def test_what_the_product_imports_is_asked_for_in_pyproject() -> None:
    """A fresh machine gets every library the product uses."""
    used = foreign([name for module in MODULES for _, name in imported(module)])

    assert set() == used - wanted_distributions()


def test_what_the_product_no_longer_imports_is_not_asked_for() -> None:
    """No dead weight in the set-up."""
    used = foreign([name for module in MODULES for _, name in imported(module)])

    assert set() == wanted_distributions() - used - set(WORKS_UNSEEN)


def test_what_the_tests_import_is_asked_for_in_pyproject() -> None:
    """A fresh machine can run every test."""
    names = []
    folders = ("tests", "docs", "benchmarks")
    local = {path.stem for folder in folders for path in (ROOT / folder).rglob("*.py")} | set(folders)
    local |= {path.name for path in (ROOT / "tests").rglob("*") if path.is_dir()}
    for test in (ROOT / "tests").rglob("*.py"):
        for node in ast.walk(ast.parse(test.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names += [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
                names.append(node.module)
    used = foreign([name for name in names if name.split(".")[0] not in local])

    assert set() == used - wanted_distributions("test")
