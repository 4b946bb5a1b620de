"""The fault table: every effect has its own shape and word, in black and white, and the sums are right."""

from __future__ import annotations

import re

import pytest
from geometry import overlaps, texts

from panelwright.sheets import FaultRow, fault_table
from panelwright.sheets.display import Rect, walk
from panelwright.sheets.fault_table import fault_pages
from panelwright.sheets.frame import space_on
from panelwright.sheets.style import LINES

PROMISES = [
    "K1 picks up when S2 is pressed unless S1 is pressed",
    "K1 drops out when S1 is pressed",
    "H1 is lit exactly while K1 is in",
]
ROWS = [
    FaultRow("S1 11-12", "stuck closed", ("kept", "unsafe", "kept"), "dangerous, seen", True),
    FaultRow("S1 11-12", "stuck open", ("stops", "kept", "kept"), "safe side"),
    FaultRow("F2 95-96", "stuck closed", ("kept", "hidden", "kept"), "dangerous, hidden", True),
    FaultRow("H1", "open", ("kept", "kept", "light"), "safe side"),
    FaultRow("wire 2", "touches +", ("kept", "unsafe", "undecided"), "dangerous, seen", True),
]


def test_every_effect_is_a_word_in_its_own_shape() -> None:
    """Nothing rests on colour: the shapes differ in line, dash or fill."""
    drawing = fault_table(PROMISES, ROWS, said="over every reachable state")
    shapes = {i.look for i, _ in walk(drawing.items) if isinstance(i, Rect)}
    said = [t.text for t, _ in texts(drawing)]

    assert shapes == {"fault-unsafe", "fault-hidden", "fault-stops", "fault-light", "fault-undecided"}
    assert len({(LINES[s].width_mm, LINES[s].dash, LINES[s].fill) for s in shapes}) == 5
    assert said.count("unsafe") == 3
    assert said.count("S1 11-12") == 1
    assert overlaps(drawing) == []


def test_sums_count_what_is_broken() -> None:
    """Below each promise the number of faults that break it; what is not decided does not count."""
    drawing = fault_table(PROMISES, ROWS)
    sums = [t.text for t, _ in texts(drawing) if t.look == "level-word" and t.text.isdigit()]

    assert sums == ["1", "3", "1"]


def test_long_lists_have_small_cells_and_count_the_harmless() -> None:
    """A hundred faults: only those that break something, the rest as a number."""
    rows = [FaultRow(f"K{k} 13-14", "welded", ("kept", "unsafe" if k % 2 else "kept", "kept")) for k in range(100)]
    drawing = fault_table(PROMISES, rows)
    said = [t.text for t, _ in texts(drawing)]

    assert "50 faults break no promise and are not listed" in said
    assert overlaps(drawing) == []


def test_pages_hold_every_row_once_with_heads_and_legend() -> None:
    """171 rows on A4 with a frame: nothing beyond the page, the sums on the last one alone."""
    rows = [FaultRow(f"K{k}", "13-14 stuck closed", ("unsafe", "undecided", "kept"), "dangerous") for k in range(171)]
    pages = fault_pages(PROMISES, rows, *space_on("A4"))
    said = [[t.text for t, _ in texts(page)] for page in pages]

    assert [f"K{k}" for k in range(171)] == [text for page in said for text in page if re.fullmatch(r"K\d+", text)]
    assert all("dangerous side" in " ".join(page) and PROMISES[1] in page for page in said)
    assert ["171" in page for page in said] == [False] * (len(pages) - 1) + [True]
    assert all(page.width <= space_on("A4")[0] and page.height <= space_on("A4")[1] for page in pages)
    assert all(overlaps(page) == [] for page in pages)


def test_row_without_an_effect_for_each_promise_is_refused() -> None:
    """The message names the fault and both numbers."""
    with pytest.raises(ValueError, match="H1 open: 1 effects for 3 promises"):
        fault_table(PROMISES, [FaultRow("H1", "open", ("kept",))])
