"""The device lines of every ready circuit, and how long the catalogue keeps a command waiting."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwright.catalog import read_quantity

from .typed import line, reading

ROOT = Path(__file__).parents[2]
PANELS = sorted((ROOT / "examples").rglob("*.panel"))


def device_lines(panel: Path) -> Iterator[tuple[str, str]]:
    """Lines of `supplies` and `devices` with the standard of the file."""
    text = panel.read_text(encoding="utf-8")
    standard = "NA" if "symbols NA" in text else "IEC"
    section = ""
    for one in text.splitlines():
        if one and not one.startswith((" ", "#", "|", ")")):
            section = one.split()[0]
        elif section in ("supplies", "devices") and one.strip() and not one.strip().startswith("#"):
            said = one.split("  # ")[0]
            if "interlocked" not in said:
                yield said, standard


@pytest.mark.parametrize("panel", PANELS, ids=lambda panel: panel.stem)
def test_the_devices_of_an_example_have_nothing_wrong(panel: Path) -> None:
    """Every line gives a device with its tag, its place and its text."""
    lines = [*device_lines(panel)]
    assert lines

    for text, standard in lines:
        found = reading(text, standard)
        assert () == found.problems, text
        assert text.split()[0] == found.device.tag
        assert ('"' in text) == bool(found.device.text)


def test_the_catalogue_is_read_only_when_a_device_is() -> None:
    """Importing it opens no data file: a command that needs no kind does not wait for them."""
    asked = "import sys, panelwright.catalog; print('tomllib' in sys.modules, 'msgspec' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout

    assert "False False" == said.strip()


def test_facts_keep_what_was_typed() -> None:
    """One line, all that comes of it."""
    found = reading('K1  relay  2 CO  coil 24 V dc  base blade-8  with diode  "Pump run"').device

    assert ("K1", "relay", "plate", "Pump run") == (found.tag, found.kind, found.place, found.text)
    assert ["contacts", "coil", "base", "suppressor"] == [fact.name for fact in found.facts]
    assert ["2 CO", "coil 24 V dc", "base blade-8", "with diode"] == [fact.text for fact in found.facts]
    assert read_quantity("24 V dc") == found.facts[1].quantity
    assert line("K1 relay").line == found.span.line if found.span else False
