"""No number of a rule stands in the program: it stands in a table, with its source.

Small counts, powers of ten and roundings are nobody's rule. Whatever else a module has is named here with what it is.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import panelwright

ROOT = Path(panelwright.__file__).parent
FOLDERS = ("sizing", "checks", "checks/rules", "catalog")
COLUMNS_OF_TEXT = ("sizing/telling.py", "sizing/telling_parts.py")  # where words begin on a line
UNITS = ("catalog/quantities.py",)

COLUMN = "name of a column of a table"
ROUNDED = "the same within rounding"
ALIKE = "words this much alike are meant"
MODULES: dict[str, dict[float, str]] = {
    "catalog/making.py": {24: "volts of a line that has none", 200: "terminals of one device at most",
                          60: "Hz where none is said", 50: "Hz where none is said"},
    "catalog/marks.py": {99: "contacts of one device at most"},
    "catalog/read.py": {0.7: ALIKE, 0.8: ALIKE},
    "catalog/selectors.py": {0.3: ALIKE},
    "catalog/shelf.py": {4096: "words that are remembered"},
    "catalog/supplies.py": {0.3: ALIKE},
    "catalog/troubles.py": {0.6: ALIKE},
    "checks/board.py": {24: "tries before the search is given up"},
    "checks/rules/control_voltage_too_high.py": {50: "Hz that name a limit", 60: "Hz that name a limit"},
    "sizing/asking.py": {-90: "no air is colder", 200: "no panel is warmer", 57: "letters", 60: "letters"},
    "sizing/branch.py": {75: COLUMN},
    "sizing/conductors.py": {60: COLUMN, 75: COLUMN, 90: COLUMN, 250: "kcmil from which sizes are not gauges",
                             0.99: ROUNDED},
    "sizing/contacts.py": {120: COLUMN, 125: COLUMN, 240: COLUMN, 250: COLUMN, 300: COLUMN, 480: COLUMN, 600: COLUMN},
    "sizing/control.py": {60: COLUMN},
    "sizing/control_circuits.py": {240: "moments that are solved at most", 1.05: "inrush that is none"},
    "sizing/controllers.py": {115: COLUMN, 200: COLUMN, 208: COLUMN, 230: COLUMN, 460: COLUMN, 575: COLUMN,
                              1.03: "a rating this near is meant"},
    "sizing/drops.py": {70: "C of copper where none is asked for"},
    "sizing/fault_loop.py": {0.4: COLUMN},
    "sizing/heat.py": {0.09290304: "square metres in a square foot", 144: "square inches in a square foot",
                       1.8: "degrees Fahrenheit in a kelvin"},
    "sizing/motors.py": {0.9: "power factor that the table has", 0.8: "power factor that the table has",
                         1.03: "a rating this near is meant", 0.25: "a quarter horsepower; a quarter off",
                         0.167: "a sixth", 0.333: "a third", 0.75: "three quarters", 0.002: ROUNDED},
    "sizing/overloads.py": {0.8: "range of an example", 1.2: "range of an example"},
    "sizing/reach.py": {120_000: "states that are walked at most", 62: "bits of a number"},
    "sizing/routes.py": {99: "further than any wire"},
    "sizing/safety_life.py": {24: "hours of a day", 3600: "seconds of an hour", 365.25: "days of a year"},
    "sizing/short_circuit.py": {70: "C of the insulation that k belongs to"},
    "sizing/stock.py": {0.8: ALIKE},
    "sizing/torque.py": {0.112984829: "newton metres in a pound-inch"},
}  # fmt: skip


def numbers(path: Path) -> Iterator[tuple[int, float]]:
    """(line, number) of every number in a module that is no small count, power of ten or rounding."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    negative = {id(node.operand) for node in ast.walk(tree) if isinstance(node, ast.UnaryOp)
                and isinstance(node.op, ast.USub)}  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            number = -node.value if id(node) in negative else node.value
            if not plain(number):
                yield node.lineno, number


def plain(number: float) -> bool:
    """A count up to a dozen, a power of ten, a half, one within half a hundredth."""
    digits = f"{abs(number):e}"
    count = number == int(number) and abs(number) <= 12
    return count or digits.startswith("1.000000e") or number == 0.5 or 0 < abs(number - 1) < 0.0051


MODULE_PATHS = [path for folder in FOLDERS for path in sorted((ROOT / folder).glob("*.py"))]


@pytest.mark.parametrize("path", MODULE_PATHS, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_numbers_of_rules_stand_in_tables(path: Path) -> None:
    """A number that is in no list above belongs to a table (sizing/tables, checks/limits.csv), or is named above."""
    name = path.relative_to(ROOT).as_posix()
    if name in (*COLUMNS_OF_TEXT, *UNITS):
        return
    named = MODULES.get(name, {})
    found = list(numbers(path))

    assert not [f"{name}:{line}: {number:g}" for line, number in found if number not in named]
    assert not {*named} - {number for _, number in found}
