"""Plug-in bases: which pin is what, and where it is."""

from __future__ import annotations

import pytest

from panelwright.catalog.shelf import shelf

from .typed import codes, device, marks

# Typed again. Octal 8: base maps at mbsmpro.com and mrstudy.kr. Octal 11: coil at cndaqcn.com, contacts from
# memory. Blade 14: base map at electricalonline4u.com. Blade 8: poles 1 and 4 of blade 14, common practice.
# Blade 11: from memory.
MAPS = {  # base: coil, then common, break, make of each pole
    "octal-8": ("2-7", [("1", "4", "3"), ("8", "5", "6")]),
    "octal-11": ("2-10", [("1", "4", "3"), ("6", "5", "7"), ("11", "8", "9")]),
    "blade-8": ("13-14", [("9", "1", "5"), ("12", "4", "8")]),
    "blade-11": ("13-14", [("7", "1", "4"), ("8", "2", "5"), ("9", "3", "6")]),
    "blade-14": ("13-14", [("9", "1", "5"), ("10", "2", "6"), ("11", "3", "7"), ("12", "4", "8")]),
}


@pytest.mark.parametrize("base", MAPS)
def test_a_relay_takes_the_pins_of_its_base(base: str) -> None:
    """Coil and contacts by the published map, common first."""
    coil, poles = MAPS[base]
    relay = device(f"K1 relay {len(poles)} CO coil 24 V dc base {base}")

    assert coil == "-".join((relay.loads[0].a, relay.loads[0].b))
    assert [f"{common}-{end}" for common, rest, make in poles for end in (make, rest)] == [
        contact.name for contact in relay.contacts
    ]


def test_every_base_of_the_catalogue_is_in_the_map() -> None:
    """A new base brings its published map here."""
    assert {*MAPS} == {*shelf().bases}


@pytest.mark.parametrize("base", MAPS)
def test_every_pin_has_a_place_of_its_own(base: str) -> None:
    """The pins are those of coil and contacts, each drawn once."""
    coil, poles = MAPS[base]
    found = device(f"K1 relay 1 CO coil 24 V dc base {base}")
    assert found.base is not None
    places = {(column, row) for _, column, row in found.base.pins}

    assert {*coil.split("-"), *(mark for pole in poles for mark in pole)} == {mark for mark, _, _ in found.base.pins}
    assert len(found.base.pins) == len(places)
    assert {mark for mark, _, _ in found.base.pins} <= {*found.terminals}


@pytest.mark.parametrize(("base", "pins"), [("octal-8", 8), ("octal-11", 11)])
def test_round_bases_run_clockwise_seen_from_behind(base: str, pins: int) -> None:
    """From the key below; from the front, which is the mirror, they run the other way. Source: from memory."""
    rows = shelf().bases[base].pins
    middle = (1.5, 1.5)
    turns = []
    for pin in range(1, pins):
        (x1, y1), (x2, y2) = rows[str(pin)], rows[str(pin + 1)]
        turns.append((x1 - middle[0]) * (y2 - middle[1]) - (y1 - middle[1]) * (x2 - middle[0]))

    assert all(turn < 0 for turn in turns)  # y runs down: negative is against the clock, seen from the front
    assert rows["1"][0] > middle[0] > rows[str(pins)][0]  # pin 1 right of the key from the front, left from behind


def test_fewer_contacts_than_poles_leave_poles_free() -> None:
    """Make and break contacts take one pole each; the pins stay on the device."""
    assert ["1-3", "8-5"] == marks("K1 relay 1 NO + 1 NC coil 24 V dc base octal-8")
    assert {"1", "2", "3", "4", "5", "6", "7", "8"} == {*device("K1 relay 1 NO coil 24 V dc base octal-8").terminals}


def test_a_base_that_does_not_fit_is_reported() -> None:
    """Too few poles, a pin it has not, a name nobody knows."""
    assert ["PW159"] == codes("K1 relay 3 CO coil 24 V dc base octal-8")
    assert ["PW176"] == codes("K1 relay 1 NO (13-15) coil 24 V dc base octal-8")
    assert ["PW160"] == codes("K1 relay 2 CO coil 24 V dc base octel-8")


def test_timers_plug_in_too() -> None:
    """Timed contacts on the pins of the base."""
    timer = device("T1 on-delay timer 5 s 2 CO coil 24 V dc base octal-8")

    assert [("1-3", "timed"), ("1-4", "timed"), ("8-6", "timed"), ("8-5", "timed")] == [
        (contact.name, contact.timing) for contact in timer.contacts
    ]
