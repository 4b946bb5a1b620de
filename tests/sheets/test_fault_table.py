"""The fault table: every effect has its own shape and word, in black and white, and the sums are right."""

from __future__ import annotations

import pytest
from geometry import overlaps, texts

from panelwright.sheets import FaultRow, fault_table
from panelwright.sheets.display import Rect, walk
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


def test_row_without_an_effect_for_each_promise_is_refused() -> None:
    """The message names the fault and both numbers."""
    with pytest.raises(ValueError, match="H1 open: 1 effects for 3 promises"):
        fault_table(PROMISES, [FaultRow("H1", "open", ("kept",))])
