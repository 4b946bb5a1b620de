"""Colours of push-buttons against the standard, typed again."""

from __future__ import annotations

import pytest

import panelwright as pw
from panelwright.checks.rules.button_colour import colour_rows

# IEC 60204-1 10.2.1, read at rafi.de, electrostores.org and tmcautomatizacion.com: allowed; never.
TYPED = {
    "emergency stop": ({"red"}, {"green", "black", "white", "grey", "blue", "yellow", "amber", "clear"}),
    "reset": ({"blue", "white", "grey", "black"}, {"green"}),
    "jog": ({"white", "grey", "black"}, {"red", "yellow", "green"}),
    "stop": ({"black", "grey", "white", "red"}, {"green"}),
    "start": ({"white", "grey", "black", "green"}, {"red"}),
}

LINES = {
    "S0  emergency stop  green  1 NC": "make it red.",
    'S1  pushbutton  green  1 NO  "Reset"': "make it blue, white, grey or black.",
    'S2  pushbutton  red  1 NO  "Jog up"': "make it white, grey or black.",
    'S3  pushbutton  green  1 NC  "Stop"': "make it red, black, grey or white.",
    'S4  pushbutton  red  1 NO  "Start"': "make it white, grey, black or green.",
}


PANEL = """panel "Buttons"

supplies
  G1  dc supply  24 V dc  5 A  rails + -

devices on door
  {line}
  H1  lamp  LED  24 V dc

rungs from + to -
  {contact}  H1
"""


def test_colours_are_those_of_the_standard() -> None:
    """What a button may be, and what it may not; no colour is both."""
    assert TYPED == {row.purpose: ({*row.right.split()}, {*row.never.split()}) for row in colour_rows()}
    assert not any({*row.right.split()} & {*row.never.split()} for row in colour_rows())


@pytest.mark.parametrize(("line", "mend"), LINES.items())
def test_a_button_in_a_wrong_colour_is_told_the_right_ones(line: str, mend: str) -> None:
    """By its kind or the word beside it; in a right colour nothing is said."""
    contact = line.split()[0] + (".nc" if "1 NC" in line else ".no")
    text = PANEL.format(line=line, contact=contact)
    found = [problem for problem in pw.check(pw.read(text).circuit) if problem.code == "PW332"]
    right = text.replace(" green ", " white ").replace(" red ", " white ")

    assert [mend] == [problem.mend for problem in found]
    if "emergency" not in line:
        assert "PW332" not in {problem.code for problem in pw.check(pw.read(right).circuit)}
