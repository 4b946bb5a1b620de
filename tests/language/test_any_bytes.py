"""The reader never raises, whatever it is given."""

import random
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.language import read, write
from tests.language.strategies import panels

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
