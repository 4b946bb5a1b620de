"""What somebody writes beside a line of a test sheet, and what is made of it."""

from __future__ import annotations

import pytest

from panelwright.finding import SheetLine
from panelwright.finding.judging import verdict_on

# 1 Mohm at 500 V dc: IEC 60204-1, 18.3 (from memory)
INSULATION = SheetLine("rails together against earth, 500 V dc", "at least 1 Mohm")
BOND = SheetLine("L.PE to M1.PE, protective conductor", "at most 0.1 ohm")
AMPS = SheetLine("M1 under load", "at most 3.4 A")
COIL = SheetLine("coil of K1", "24 V, at least 19.2 V", "volts", value=24.0)
WIRE = SheetLine("S2.13 to S1.12", "0 ohm, beeps", "ohms", value=0.0)
LOOK = SheetLine("Press and hold S2", "H1 lit, K1 in", "look")


@pytest.mark.parametrize(
    ("line", "result", "verdict"),
    [
        (INSULATION, "200 Mohm", "passed"),
        (INSULATION, ">999 Mohm", "passed"),
        (INSULATION, "500 kohm", "failed"),
        (INSULATION, "0.9", "failed"),  # a bare number is in the unit of the sheet
        (INSULATION, "5 V", "not understood"),
        (BOND, "0.05 ohm", "passed"),
        (BOND, "50 mohm", "passed"),
        (BOND, "0,2 ohm", "failed"),
        (BOND, ">0.05 ohm", "not understood"),
        (AMPS, "3.1 A", "passed"),
        (AMPS, "3.6", "failed"),
        (COIL, "20 V", "passed"),
        (COIL, "19 V", "failed"),
        (COIL, "28 V", "failed"),
        (WIRE, "0.2", "passed"),
        (WIRE, "open", "failed"),
        (WIRE, "0 ohm, beeps", "passed"),
        (WIRE, "soup", "not understood"),
        (LOOK, "H1 lit, K1 in", "passed"),
        (LOOK, "H1 dark", "failed"),
        (LOOK, "ok", "passed"),
        (LOOK, " ", "not done"),
    ],
)
def test_a_result_is_judged(line: SheetLine, result: str, verdict: str) -> None:
    """Values against limits and expectations, ticks and words as they are written at a panel."""
    assert verdict == verdict_on(line, result)
