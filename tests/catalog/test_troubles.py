"""Typing slips: each is told once, where it stands, with the mend; and no line at all raises."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from panelwright.catalog import DeviceLine, Word, read_device
from panelwright.catalog.shelf import shelf

from .typed import KINDS, codes, example, reading

SLIPS = {  # line: code, message, mend, the text under the caret
    "K1": ("PW150", "K1 has no kind", "write it after the tag, for example: K1  pushbutton  1 NO.", None),
    "S1 pushbuton 1 NO": (
        "PW151", 'there is no device kind "pushbuton"', "write pushbutton.", "pushbuton"),
    "K2 contacter 3 poles coil 24 V dc": (
        "PW151", 'there is no device kind "contacter"', "write contactor.", "contacter"),
    "B1 belt drift switch 1 NC": (
        "PW151", 'there is no device kind "belt drift switch"',
        "write rope-pull switch, foot switch, toggle switch, limit switch, guard switch and others.",
        "belt drift switch"),
    "K1 relay 10 C0 coil 24 V dc": ("PW152", 'a relay knows no fact "10 C0"', "write 10 CO.", "10 C0"),
    "K1 relay 2C0 coil 24 V dc": ("PW152", 'a relay knows no fact "2C0"', "write 2CO.", "2C0"),
    "H1 lampe 24 V dc": ("PW151", 'there is no device kind "lampe"', "write lamp.", "lampe"),
    "Z1 xyzzy 24 V": (
        "PW151", 'there is no device kind "xyzzy"', "see docs/look-up/kinds.md for all kinds.", "xyzzy"),
    "S1 pushbutton gren 1 NO": (
        "PW152", 'a pushbutton knows no fact "gren"', "write green.", "gren"),
    "K1 relay forcibly-gided 1 NO coil 24 V dc": (
        "PW152", 'a relay knows no fact "forcibly-gided"', "write forcibly-guided.", "forcibly-gided"),
    "F1 fuse 2 poles 4": (
        "PW153", "the number 4 has no unit", "write the unit behind it, as in 2.5 A or 3 poles.", "4"),
    "K1 relay 2 CO coil 24 dc": (
        "PW153", "the number 24 has no unit", "write the unit behind it, as in coil 24 V dc.", "24"),
    "G1 dc supply 24 V 2,5 A rails + -": (
        "PW154", "the number 2,5 has a decimal comma", "write 2.5.", "2,5"),
    "M1 motor 1,500 W 400 V": (
        "PW154", "the number 1,500 has a decimal comma",
        "write 1.500, or 1500 if the comma parts thousands.", "1,500"),
    "K1 relay 2 CO": (
        "PW155", "K1 does not say its coil voltage", "add it, for example: coil 24 V dc.", "relay 2 CO"),
    "L mains 400 V 50 Hz": (
        "PW155", "L does not say its rails", "add it, for example: rails L1 L2 L3 N PE.", "mains 400 V 50 Hz"),
    "H1 lamp 24 V dc 120 V ac": (
        "PW156", "the rated voltage is said twice: 24 V dc and 120 V ac", "take one out.", "120 V ac"),
    "M1 motor 5 hp 480 V serivce factor 1.15": (
        "PW152", 'a three-phase motor knows no fact "serivce factor"', "write service factor.", "serivce factor"),
    "M1 motor 5 hp 480 V power factor 1.4": (
        "PW181", "the power factor at full load of M1 cannot be: power factor 1.4",
        "write it as in: power factor 0.85.", "power factor 1.4"),
    "M1 motor 5 hp 480 V code I": (
        "PW157", 'something is missing or wrong behind "code"', "write it as in: code G.", "code"),
    "K1 relay 2 CO coil": (
        "PW157", 'something is missing or wrong behind "coil"', "write it as in: coil 24 V dc.", "coil"),
    "H1 lamp 24 V dc 2 CO": (
        "PW158", "a lamp has no contacts: 2 CO", "take it out, or change the kind.", "2 CO"),
    "K1 relay 2 CO 24 V dc": (
        "PW158", "a relay has no rated voltage: 24 V dc", "write coil 24 V dc.", "24 V dc"),
    "K1 relay 3 CO coil 24 V dc base blade-8": (
        "PW159", "K1 has more contacts than the base blade-8 has poles (2)",
        "take a larger base, fewer contacts, or a second relay.", "base blade-8"),
    "K1 relay 2 CO coil 24 V dc base blade-9": (
        "PW160", 'there is no plug-in base "blade-9"', "write blade-8.", "blade-9"),
    "K1 relay 1 CO coil 24 V dc with diod": (
        "PW160", 'there is no suppressor across the coil "diod"', "write diode.", "diod"),
    "S1 pushbutton 1 NO (13-13)": (
        "PW161", "the marks 13-13 do not fit a contact of S1 (NO)",
        "write them as printed, such as (13-14), for a change-over common-break-make (11-12-14).", "1 NO (13-13)"),
    "K1 contactor coil 230 V 50 Hz with diode": (
        "PW163", "a diode cannot stand across the coil of K1", "take a varistor or an RC element.", "with diode"),
    "SA1 selector HAND HAND": (
        "PW167", "SA1 needs at least two different positions: HAND HAND",
        "write them in the order of turning, such as HAND OFF AUTO.", "HAND HAND"),
    "SA1 selector HAND OFF AUTO starts at OF": (
        "PW168", "SA1 has no position OF", "write OFF.", "starts at OF"),
    "K1 relay 1 CO coil 24 V": (
        "PW170", "K1 does not say whether coil 24 V is ac or dc",
        "write coil 24 V dc, coil 24 V ac or the frequency, coil 24 V 60 Hz.", "coil 24 V"),
    "X1 terminal strip 0 terminals": (
        "PW171", "the number of terminals of X1 cannot be nothing: 0 terminals",
        "write it as in: 12 terminals.", "0 terminals"),
    "X1 terminal strip 4000 terminals": (
        "PW172", "X1 has too many: 4000 terminals", "divide it into several devices.", "4000 terminals"),
    "F1 breaker 9 poles 16 A": (
        "PW172", "F1 has too many: 9 poles", "divide it into several devices.", "9 poles"),
    "F1 overload relay 6.3 A to 4 A": (
        "PW173", "the range of F1 is upside down: 6.3 A to 4 A", "write 4 A to 6.3 A.", "6.3 A to 4 A"),
    "F1 overload relay 4 A to 6.3 A set 7 A": (
        "PW174", "F1 cannot be set so: set 7 A is outside its range 4 A to 6.3 A",
        "set it within the range, or take the next size.", "set 7 A"),
    "S1 pushbutton green NO": ("PW180", "NO stands without a number", "write 1 NO.", "NO"),
    "S1 pushbutton 1 NO (13-14 23-24)": (
        "PW178", "there are marks for 2 contacts behind 1 NO", "write 2 NO, or take marks out.", "(13-14 23-24)"),
}  # fmt: skip


@pytest.mark.parametrize("text", SLIPS)
def test_a_slip_is_told_once_where_it_stands_with_the_mend(text: str) -> None:
    """One problem, its exact words, the caret under the right ones; the tag is declared all the same."""
    code, message, mend, under = SLIPS[text]
    found = reading(text)
    (problem,) = found.problems
    assert problem.span is not None
    start = problem.span.column - 1

    assert (code, message, mend) == (problem.code, problem.message, problem.mend)
    assert under is None or under == text[start : start + problem.span.length]
    assert (7, "mistake") == (problem.span.line, problem.severity)
    assert problem.why
    assert text.split()[0] == found.device.tag


def test_every_code_is_met_by_a_test() -> None:
    """All codes of `troubles.py` stand in the tests of this folder."""
    import re
    from pathlib import Path

    from panelwright.catalog import troubles

    assert troubles.__file__
    known = set(re.findall(r'"(PW1\d\d)"', Path(troubles.__file__).read_text(encoding="utf-8")))
    met = {
        code
        for test in Path(__file__).parent.glob("test_*.py")
        for code in re.findall(r'"(PW1\d\d)"', test.read_text(encoding="utf-8"))
    }

    assert set() == known - met


def test_a_mark_that_two_parts_claim_is_told() -> None:
    """A contact cannot stand on the terminals of the first pole."""
    assert ["PW169"] == codes("K1 contactor 3 poles 1 NO (1-2) coil 24 V dc")


def test_a_wrong_fact_leaves_the_rest_of_the_line_standing() -> None:
    """What could be made out is built."""
    found = reading("K1 contacter 3 poles bleu 1 NO coil 24 V dc")

    assert ["PW151", "PW152"] == [problem.code for problem in found.problems]
    assert ["1-2", "3-4", "5-6", "13-14"] == [contact.name for contact in found.device.contacts]


def test_synonyms_of_both_continents_are_one_kind() -> None:
    """North American and European names."""
    names = {
        "pilot light": "lamp", "indicator light": "lamp", "control relay": "relay",
        "time-delay relay": "on-delay timer",
        "circuit breaker": "breaker", "isolator": "disconnect", "disconnect switch": "disconnect",
        "E-Stop": "emergency stop", "push button": "pushbutton", "Push-Button": "pushbutton",
        "terminal block": "terminal strip", "thermal overload": "overload relay", "key switch": "key selector",
    }  # fmt: skip

    assert names == {name: reading(f"Z1 {name}").device.kind for name in names}


def test_facts_come_in_any_order() -> None:
    """Nothing depends on the place of a fact in its line."""
    one = reading("K1 relay 2 CO coil 24 V dc base blade-8 with diode pulls in 15 ms")
    other = reading("K1 relay pulls in 15 ms with diode base blade-8 coil 24 V dc 2 CO")

    assert () == one.problems == other.problems
    assert (one.device.parts, one.device.mechanism) == (other.device.parts, other.device.mechanism)


PIECES = sorted(
    {word for kind in KINDS for word in example(kind, *kind.facts).split()[1:]}
    | {*shelf().words, *shelf().bases, *shelf().colours, *string.punctuation}
    | {
        "NO",
        "NC",
        "CO",
        "rails",
        "with",
        "coil",
        "base",
        "24",
        "0",
        "2,5",
        "1/2",
        "hp",
        "+-",
        "(13-14)",
        "closed",
        "at",
    }
)


@given(st.lists(st.sampled_from(PIECES) | st.text(max_size=8), max_size=12), st.sampled_from(["IEC", "NA"]))
def test_no_line_raises(words: list[str], standard: str) -> None:
    """Any words in any order give a device with that tag, and carets inside the line."""
    column, placed = 5, []
    for word in (word for word in words if word.strip()):
        text = "".join(word.split())
        placed.append(Word(text, column, len(text)))
        column += len(text) + 2
    found = read_device(DeviceLine("K1", tuple(placed), "", "plate", 3, standard))

    assert "K1" == found.device.tag
    for problem in found.problems:
        assert problem.span is not None
        assert 3 == problem.span.line
        assert 1 <= problem.span.column <= column
    names = [part.name for part in found.device.parts]
    assert len(names) == len(set(names))
