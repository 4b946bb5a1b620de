"""The reader never raises, whatever it is given."""

import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.language import read, write
from tests.language.strategies import panels

STRANGE = [
    '"',
    "(",
    "|",
    "\n|",
    "#",
    "@4",
    "1,5 A",
    " and ",
    "power paths\n",
    "swap L1 L4",
    "trial\n",
    "'x'",
    "ä",
    "\t",
]
PUMP = Path("examples/orchard/well-pump.panel")


@given(st.binary(max_size=400))
@settings(max_examples=200, deadline=None)
def test_any_bytes(source):
    """Noise gives problems or nothing, and can be written again."""
    write(read(source).document)


@given(st.text(max_size=400))
@settings(max_examples=200, deadline=None)
def test_any_text(source):
    """The same for any characters."""
    write(read(source).document)


@given(panels(), st.randoms(use_true_random=False))
@settings(max_examples=200, deadline=None)
def test_mutilated_panels(text, chance):
    """Cut, doubled and swapped lines and characters."""
    for _ in range(chance.randint(1, 6)):
        at = chance.randrange(len(text) + 1)
        cut = text[at : at + chance.randint(0, 12)]
        text = (
            text[:at]
            + chance.choice(["", cut * 2, cut[::-1], '"', "(", "\x00", "|\n", "@", " 1,5 A "])
            + text[at + len(cut) :]
        )
    write(read(text).document)


def test_ten_megabytes_of_noise_are_refused_in_one_sentence():
    """Something else was opened by mistake."""
    reading = read(random.Random(7).randbytes(10_000_000))

    assert ["PW001"] == [p.code for p in reading.problems]


def test_wrong_encodings():
    """UTF-16 is read as it is, Latin letters with a warning, a mark at the start is passed over."""
    text = PUMP.read_text(encoding="utf-8").replace('"Stop"', '"Größe"')

    assert () == read(text.encode("utf-16")).problems
    assert () == read(text.encode("utf-8-sig")).problems
    assert ["PW002"] == [p.code for p in read(text.encode("cp1252")).problems]


def test_line_ends_of_other_systems():
    """Carriage returns change nothing."""
    text = PUMP.read_text(encoding="utf-8")

    assert read(text).circuit == read(text.replace("\n", "\r\n")).circuit == read(text.replace("\n", "\r")).circuit


def test_a_text_glued_to_a_word_stays_a_text():
    """A forgotten blank before the quote changes nothing."""
    text = (Path(__file__).parent / "hoist.panel").read_text(encoding="utf-8")
    glued = text.replace(
        "W1  cable  3 x 1.5 mm2  8 m  from X1 to S3", 'W1  cable  3 x 1.5 mm2  8 m  from X1 to S3"Top"'
    )

    assert (("S3",), "Top") == (read(glued).circuit.cables[0].ends, read(glued).circuit.cables[0].text)


def test_contacts_beyond_a_numbering_with_fixed_marks_are_numbered_somehow():
    """A slip in the contacts of an overload relay must not make the program stand still."""
    reading = read("devices on plate\n  F2  overload relay  4 A to 6.3 A  set 5 A  3 NO + 4 NC  2 CO\n")

    assert reading.circuit.devices


@pytest.mark.parametrize("seed", range(4))
def test_mutilated_examples(seed):
    """Examples with strange pieces: read, written, and the same after reading again if nothing is wrong."""
    chance = random.Random(seed)
    files = [*sorted(Path("examples").rglob("*.panel")), Path(__file__).parent / "hoist.panel"]
    for _ in range(40):
        text = chance.choice(files).read_text(encoding="utf-8")
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(text))
            cut = text[at : at + chance.choice((0, 1, 5, 20, 80))]
            text = text[:at] + chance.choice(["", cut * 2, cut[::-1], *STRANGE]) + text[at + len(cut) :]
        first = read(text)
        again = read(write(first.document))

        assert not first.ok or first.circuit == again.circuit, text
