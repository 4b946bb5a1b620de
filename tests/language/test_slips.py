"""Typing slips: each is reported first, on its own line, with a mend."""

from pathlib import Path

import pytest

from panelwright.language import read

PUMP = Path("examples/orchard/well-pump.panel").read_text(encoding="utf-8")

# (what stands in the file, what the tired hand typed, code, a part of the message or the mend)
SLIPS = [
    ("K1.coil  ", "K2.coil  ", "PW101", "no device called K2"),
    ("S1.nc  (", "S1.nx  (", "PW102", "S1 has no part called nx"),
    ("K1.coil  ", "K1  ", "PW103", "K1 has several parts"),
    ("( S2.no | K1.no1 )", "( S2.no | K1.no1 ", "PW021", "is not closed"),
    ("( S2.no | K1.no1 )", "S2.no | K1.no1 )", "PW022", "never opened"),
    ("( S2.no | K1.no1 )", "( S2.no | )", "PW024", "a branch is empty"),
    ("S1.nc  (", "S1.11-13  (", "PW114", "no part between the terminals 11-13"),
    ("rungs from + to -", "rugns from + to -", "PW015", '"rugns" is not a heading'),
    ("rungs from + to -", "rungs from + to M", "PW104", "no rail called M"),
    ("rungs from + to -", "rungs + -", "PW014", "rungs from + to -"),
    ('"Stop"', '"Stop', "PW010", "opened and not closed"),
    ("24 V  2.5 A", "24 V  2,5 A", "PW012", "write 2.5"),
    ("promises\n", "promisses\n", "PW015", 'read as "promises"'),
    ("K1 stays in after S2 is released", "K1 stays in after S2 is releesed", "PW020", "write released"),
    ("K1 picks up when S2 is pressed", "K1 picks up wehn S2 is pressed", "PW020", "write when"),
    ("K1 stays in after S2 is released", "K1 stays in after", "PW023", "ends too early"),
    (
        "H1 is lit exactly while K1 is in",
        "H1 is pressed exactly while K1 is in",
        "PW108",
        "H1 (lamp) cannot be pressed",
    ),
    ("press and release S2; expect K1 in, H1 lit", "press and release H1; expect K1 in, H1 lit", "PW109", "H1 (lamp)"),
    ("press and release S2; expect K1 in, H1 lit", "press and relaese S2; expect K1 in", "PW020", "relaese"),
    ("devices on door", "devices door", "PW014", "devices on door"),
    ("devices on door", "devices on pedestal", "PW032", "pedestal is not declared"),
    ("  H1  lamp", "  h1  lamp", "PW029", '"h1" is not a tag'),
    ("  symbols IEC", "  symbols ANSI", "PW020", "IEC, NA"),
    ("  K1.nc  H2", "  K1.nc  H2  @7", "PW105", "@7 is used only here"),
    ("  K1.nc  H2", "  K1.nc  +  H2", "PW020", "write |"),
    ("  K1.nc  H2", "  K1.nc  #14 H2", "PW011", "14 AWG"),
    ("  H2  lamp", "  H1  lamp", "PW030", "declared twice"),
]


@pytest.mark.parametrize(("right", "wrong", "code", "words"), SLIPS, ids=[f"{s[2]}-{n}" for n, s in enumerate(SLIPS)])
def test_each_slip_is_told_on_its_line(right, wrong, code, words):
    """The first problem has the code, stands on the line of the slip, and says how to mend it."""
    assert right in PUMP
    text = PUMP.replace(right, wrong, 1)
    line = PUMP[: PUMP.index(right)].count("\n") + 1
    first = read(text).problems[0]

    assert (code, line) == (first.code, first.span.line)
    assert words in f"{first.message} {first.why} {first.mend}"


def test_one_slip_makes_few_echoes():
    """A wrong device line still declares its tag, so that rungs below do not complain."""
    text = PUMP.replace("K1  relay  2 CO", "K1  relya  2 CO")

    assert 2 >= len(read(text).problems)


VARIANTS = [
    ("S2.no | K1.no1", "S2.no or K1.no1"),
    ("S1.nc  (", "-S1.nc  ("),
    ("24 V  2.5 A", "24V 2.5A"),
    ("promises\n", "promises:\n"),
    ("supplies\n", "supply\n"),
    ('"Stop"', "\u201cStop\u201d"),
    ("press and release S2;", "tap S2 ;"),
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
