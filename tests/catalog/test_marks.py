"""Printed marks, against the standards that fix them."""

from __future__ import annotations

import pytest

from .typed import device, marks, reading

# Typed again from the function digits of EN 50005 and the layouts of EN 50011, EN 50012 and EN 50013. The digits were
# read at electrotechnical-officer.com; the layouts are from memory.
IEC_MARKS = {
    # EN 50013, control switches
    "S1 pushbutton 1 NC": ["11-12"],
    "S1 pushbutton 1 NO": ["13-14"],
    "S1 pushbutton 1 NO + 1 NC": ["13-14", "21-22"],
    "S1 pushbutton 1 NC + 1 NO": ["21-22", "13-14"],
    "S1 pushbutton 2 NO": ["13-14", "23-24"],
    "S0 emergency stop 2 NC": ["11-12", "21-22"],
    "B1 limit switch 1 CO": ["11-14", "11-12"],
    # EN 50012, contactors; 22E is 13-14 21-22 31-32 43-44
    "K1 contactor 2 NO + 2 NC coil 24 V dc": ["13-14", "43-44", "21-22", "31-32"],
    "K1 contactor 1 NO coil 24 V dc": ["13-14"],
    "K1 contactor 1 NC coil 24 V dc": ["21-22"],
    "K1 contactor 1 NO + 1 NC coil 24 V dc": ["13-14", "21-22"],
    # EN 50011, contactor relays; 31E is 13-14 21-22 33-34 43-44, 40E 13-14 23-24 33-34 43-44
    "K1 contactor relay 3 NO + 1 NC coil 24 V dc": ["13-14", "33-34", "43-44", "21-22"],
    "K1 contactor relay 4 NO coil 24 V dc": ["13-14", "23-24", "33-34", "43-44"],
    # EN 50005: change-over 11-12-14, common first here
    "K1 relay 2 CO coil 24 V dc": ["11-14", "11-12", "21-24", "21-22"],
    # EN 50005: 95-96 trip contact, 97-98 signal contact
    "F1 overload relay": ["95-96", "97-98"],
    "F1 overload relay 1 NC": ["95-96"],
    # EN 50005, timed: 15-16-18, 25-26-28; instantaneous keeps 3-4
    "T1 on-delay timer 5 s 2 CO coil 24 V dc": ["15-18", "15-16", "25-28", "25-26"],
    "T1 on-delay timer 5 s 1 NO + 1 NC + 1 NO instant coil 24 V dc": ["17-18", "25-26", "33-34"],
    "T1 star-delta timer 8 s coil 24 V dc": ["17-18", "17-28"],
}

NA_MARKS = {
    # North American shop practice, common practice, no source: a station is 1-2 stop, 2-3 start; blocks 1-2 and 3-4
    "1PB pushbutton 1 NC": ["1-2"],
    "2PB pushbutton 1 NO": ["3-4"],
    "3PB pushbutton 1 NO + 1 NC": ["3-4", "1-2"],
    "1M contactor 3 poles 1 NO coil 120 V 60 Hz": ["L1-T1", "L2-T2", "L3-T3", "2-3"],
    "1M contactor 3 poles 1 NO + 1 NC coil 120 V 60 Hz": ["L1-T1", "L2-T2", "L3-T3", "2-3", "21-22"],
}


@pytest.mark.parametrize(("text", "wanted"), IEC_MARKS.items())
def test_contacts_are_marked_by_the_european_standards(text: str, wanted: list[str]) -> None:
    """As printed on the device."""
    assert wanted == marks(text)


@pytest.mark.parametrize(("text", "wanted"), NA_MARKS.items())
def test_contacts_are_marked_as_north_america_does(text: str, wanted: list[str]) -> None:
    """Where the file asks for those symbols."""
    assert wanted == marks(text, "NA")


def test_main_poles_are_odd_to_even() -> None:
    """1-2 3-4 5-6: IEC 60947-1 annex L. They come first and are told apart as main."""
    found = device("K1 contactor 3 poles 1 NO coil 24 V dc")

    assert ["1-2", "3-4", "5-6"] == [contact.name for contact in found.contacts if contact.main]
    assert ["pole1", "pole2", "pole3"] == [part.name for part in device("F1 fuse 3 poles 50 A").parts]


def test_marks_written_in_the_line_win() -> None:
    """And the free ones keep out of their way: no second contact at place 1."""
    assert ["3-4", "1-2"] == marks("S3 pushbutton 1 NO (3-4) + 1 NC (1-2)")
    assert ["13-14", "21-22"] == marks("K1 relay 1 NO (13-14) + 1 NC coil 24 V dc")
    assert ["13-14", "23-24"] == marks("K1 relay 2 NO (13-14 23-24) coil 24 V dc")
    assert ["9-5", "9-1"] == marks("K1 relay 1 CO (9-1-5) coil 24 V dc base blade-8")


def test_change_over_halves_share_their_common() -> None:
    """The common is terminal `a` of both; each change-over has its own number."""
    contacts = device("K1 relay 2 CO coil 24 V dc").contacts

    assert [("11", 1), ("11", 1), ("21", 2), ("21", 2)] == [(contact.a, contact.changeover) for contact in contacts]


def test_contacts_can_be_typed_in_the_ways_of_the_trade() -> None:
    """Joined, small, spelt out, or by throws."""
    wanted = marks("K1 relay 2 CO coil 24 V dc")
    for typed in ("2CO", "2 co", "2 change-over", "2 change over contacts", "DPDT", "1 CO + 1 CO", "1CO+1CO"):
        assert wanted == marks(f"K1 relay {typed} coil 24 V dc"), typed


def test_timed_and_instantaneous_contacts_are_told_apart() -> None:
    """On a timer contacts are timed unless they are called instant; elsewhere the words are reported."""
    timer = device("T1 on-delay timer 5 s 1 CO + 1 NO instant coil 24 V dc")

    assert ["timed", "timed", "instant"] == [contact.timing for contact in timer.contacts]
    assert ["PW162"] == [problem.code for problem in reading("K1 relay 1 NO instant coil 24 V dc").problems]


def test_selectors_close_where_the_line_says() -> None:
    """A pattern, or make and break with two positions; otherwise rungs add the blocks."""
    pattern = device("SA1 selector HAND OFF AUTO 13-14 closed at HAND and AUTO 21-22 closed at OFF")
    two = device("SA2 selector OFF ON 1 NO + 1 NC")

    assert [{"HAND", "AUTO"}, {"OFF"}] == [{*contact.positions} for contact in pattern.contacts]
    assert [("at", {"ON"}), ("at", {"OFF"})] == [(contact.form, {*contact.positions}) for contact in two.contacts]
    assert device("SA3 selector HAND OFF AUTO").grows


def test_a_selector_starts_where_it_says_or_at_off() -> None:
    """OFF or 0 if there is one, else the middle of three, else the first."""
    starts = {
        "SA1 selector HAND OFF AUTO starts at AUTO": "AUTO",
        "SA1 selector HAND OFF AUTO": "OFF",
        "SA1 selector I 0 II": "0",
        "SA1 selector LOW MID HIGH": "MID",
        "SA1 key selector RUN SAFE": "RUN",
    }

    assert [*starts.values()] == [device(text).mechanism.start for text in starts]
    assert "spring selector" == device("SA1 selector OFF START returns to OFF").mechanism.sort
