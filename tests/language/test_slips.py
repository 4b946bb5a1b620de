"""Other ways to write, and how slips keep to themselves; each message is tested in test_messages.py."""

from pathlib import Path

import pytest

from panelwright.language import read

PUMP = Path("examples/orchard/well-pump.panel").read_text(encoding="utf-8")


def test_one_slip_makes_few_echoes():
    """A wrong device line still declares its tag, so that rungs below do not complain."""
    text = PUMP.replace("K1  relay  2 CO", "K1  relya  2 CO")

    assert ["PW151"] == [p.code for p in read(text).problems]


VARIANTS = [
    ("S2.no | K1.no1", "S2.no or K1.no1"),
    ("S1.nc  (", "-S1.nc  ("),
    ("24 V  2.5 A", "24V 2.5A"),
    ("promises\n", "promises:\n"),
    ("supplies\n", "supply\n"),
    ('"Stop"', "\u201cStop\u201d"),
    ("press and release S2;", "tap S2 ;"),
    ("power off for 2 s;", "power off for 2 seconds;"),
    ("K1 drops out when", "K1 de-energises when"),
    ("H1 is lit exactly", "H1 is on exactly"),
    ("K1 picks up when S2 is pressed", "K1 comes on when S2 pressed"),
    ("  wire numbers running", "  wire numbers running\n  language 1"),
    ("expect K1 in, H1 lit", "expect K1 energised, H1 on"),
    ("  K1.no  H1", "\tK1.no\u00a0 H1"),
    ("  K1.nc  H2", "  K1.nc  H2  # by day"),
]


@pytest.mark.parametrize(("right", "other"), VARIANTS, ids=range(len(VARIANTS)))
def test_other_ways_to_write_are_accepted(right, other):
    """The same circuit, written as somebody else would."""
    assert right in PUMP

    assert () == read(PUMP.replace(right, other, 1)).problems


def test_everything_wrong_is_told_at_once_in_file_order():
    """Two slips, two problems."""
    text = PUMP.replace("K1.coil  ", "K2.coil  ", 1).replace("K1 stays in after", "K1 stais in after", 1)
    problems = read(text).problems

    assert ["PW101", "PW020"] == [p.code for p in problems]
    assert "write K1 (line" in problems[0].mend


def test_rungs_go_on_with_a_bar_or_a_bracket():
    """A forgotten bracket stays on its own rung."""
    text = PUMP.replace("( S2.no | K1.no1 )  K1.coil", "( S2.no\n         | K1.no1\n         )  K1.coil")

    assert read(PUMP).circuit.rungs == read(text).circuit.rungs
