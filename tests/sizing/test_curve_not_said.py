"""A breaker whose curve the file does not say: asked about, and nothing else waits for it."""

from __future__ import annotations

from panelwright import api

PANEL = """
panel "Compressor"
  rules IEC 60204-1
supplies
  L   mains                400 V 50 Hz    rails L1 L2 L3 PE
  G1  dc supply            24 V  5 A      rails + -  earthed at -
devices on plate
  F1  breaker  3 poles  16 A
  Q1  contactor  3 poles  2 NO  coil 24 V dc  12 A
  F2  overload relay  3 poles  7 A to 10 A  set 8.5 A
devices in field
  B1  pressure switch  1 NC
  M1  three-phase motor  4 kW  400 V  8.5 A
wires
  power  2.5 mm2
power paths from L1 L2 L3
  F1.poles  Q1.poles  F2.poles  M1
  PE  M1.PE
rungs from + to -
  B1.nc  F2.nc  Q1.coil
"""


def test_a_breaker_without_a_curve_is_asked_about() -> None:
    """The earth-fault loop cannot be judged without it; the rest of the sheet is there."""
    sheet = api.size(api.read(PANEL).circuit)
    missing = [fact.what for part in sheet.parts for answer in part.answers for fact in answer.missing]

    assert "curve of F1" in missing
