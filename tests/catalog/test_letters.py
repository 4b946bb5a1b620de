"""Tag letters of the kinds against the lists of the standards, typed again."""

from __future__ import annotations

import pytest

from panelwright.catalog.shelf import shelf

# NEMA ICS 19-2002 (R2016), tables 1 and 2, read at it.scribd.com/doc/451483215.
NEMA = {
    "relay": "CR", "contactor relay": "CR", "contactor": "M", "breaker": "CB", "disconnect": "DS", "fuse": "FU",
    "limit switch": "LS", "pressure switch": "PS", "pushbutton": "PB", "selector": "SS", "overload relay": "OL",
    "on-delay timer": "TR", "off-delay timer": "TR", "control transformer": "T", "terminal strip": "TB",
    "resistor": "RES", "capacitor": "CAP", "diode": "D", "varistor": "SU", "starting reactor": "X", "joystick": "MS",
}  # fmt: skip

# Usual in North America beside that list; common practice, no source.
TRADE = {
    "lamp": "LT", "flow switch": "FLS", "temperature switch": "TS", "solenoid": "SOL", "two-wire sensor": "PRS",
    "foot switch": "FTS", "latching relay": "LR", "three-phase motor": "MTR", "heater": "HTR", "toggle switch": "SW",
}  # fmt: skip

# IEC 81346-2 main classes by purpose: F, K, Q and S read at eng-tips.com/threads/395187; B, C, M, R, T and X in part
# there; E and P from memory.
IEC = {
    "fuse": "F", "breaker": "F", "overload relay": "F", "relay": "K", "on-delay timer": "K", "contactor relay": "K",
    "contactor": "Q", "disconnect": "Q", "motor breaker": "Q", "pushbutton": "S", "selector": "S",
    "emergency stop": "S",
    "limit switch": "B", "pressure switch": "B", "capacitor": "C", "three-phase motor": "M", "solenoid": "M",
    "brake": "M", "resistor": "R", "diode": "R", "control transformer": "T", "terminal strip": "X", "heater": "E",
    "lamp": "P", "horn": "P",
}  # fmt: skip


@pytest.mark.parametrize(("kind", "letters"), [*NEMA.items(), *TRADE.items()])
def test_north_american_letters(kind: str, letters: str) -> None:
    """1CR, 2M, 3LS: the letters behind the number."""
    assert letters == shelf().kinds[kind].na


@pytest.mark.parametrize(("kind", "letter"), IEC.items())
def test_iec_letters_are_by_purpose(kind: str, letter: str) -> None:
    """A contactor that switches power is Q, a relay that processes signals K; the older letters gave both K."""
    assert letter == shelf().kinds[kind].iec
