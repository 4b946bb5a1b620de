"""Reading, writing, reading again."""

from pathlib import Path

import pytest
from hypothesis import given, settings

from panelwright.language import read, write
from tests.language.strategies import panels

EXAMPLES = sorted(Path("examples").rglob("*.panel"))


@given(panels())
@settings(max_examples=150, deadline=None)
def test_writing_then_reading_keeps_the_circuit(text):
    """The canonical text loses nothing, and is its own canonical text."""
    first = read(text)
    again = read(write(first.document))

    assert first.circuit == again.circuit
    assert [p.code for p in first.problems] == [p.code for p in again.problems]
    assert write(first.document) == write(again.document)


@given(panels())
@settings(max_examples=80, deadline=None)
def test_comments_survive(text):
    """Tidying keeps every remark."""
    assert text.count("# remark") == write(read(text).document).count("# remark")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_examples_keep_their_circuit(path):
    """Every example says the same after tidying."""
    first = read(path.read_bytes())

    assert first.circuit == read(write(first.document)).circuit


def test_the_well_pump_in_canonical_layout():
    """The layout that the language reference shows."""
    text = """
panel   "Pump"
supplies
 G1 dc supply  24 V  2.5 A  rails + -  earthed at -
devices on door
 S1 pushbutton  1 NC "Stop"
 S22 pushbutton  1 NO "Start"
devices on plate
 K1 relay  2 CO  coil 24 V dc
rungs from + to -
 S1.nc (S22.no or K1.no) K1.coil "Run"   # the rung
 @4 K1.no
 K1.no @4
trial "Start"
 press  S22 ;expect K1 in,K1 in
"""
    expected = """panel "Pump"

supplies
  G1  dc supply  24 V  2.5 A  rails + -  earthed at -

devices on door
  S1   pushbutton  1 NC  "Stop"
  S22  pushbutton  1 NO  "Start"

devices on plate
  K1  relay  2 CO  coil 24 V dc

rungs from + to -
  S1.nc  ( S22.no | K1.no )  K1.coil  "Run"  # the rung
  @4  K1.no
  K1.no  @4

trial "Start"
  press S22; expect K1 in, K1 in
"""

    assert expected == write(read(text).document)
