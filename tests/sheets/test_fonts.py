"""The face: widths are those of the files that print and page use."""

from __future__ import annotations

import pytest

from panelwright.sheets.fonts import advances_em, font_face_rules, font_file, missing_characters, text_width_mm
from panelwright.sheets.style import TEXTS


@pytest.mark.parametrize("weight", [400, 500, 600])
def test_widths_agree_with_the_font_files(weight: int) -> None:
    """The widths table against what the PDF library reads from the same files."""
    ttfonts = pytest.importorskip("reportlab.pdfbase.ttfonts")
    face = ttfonts.TTFontFace(str(font_file(weight)))
    for char, width in advances_em(weight).items():
        if ord(char) in face.charToGlyph:
            assert width == pytest.approx(face.charWidths[ord(char)] / 1000, abs=1.1e-3), char


def test_capitals_have_the_stated_height() -> None:
    """A text of 2.5 mm capitals has an em of 3.571 mm: "M" in weight 400 is as wide as the file says."""
    assert text_width_mm("M", 400, 2.5) == pytest.approx(advances_em(400)["M"] * 2.5 / 0.7)


def test_no_text_is_smaller_than_readable() -> None:
    """ISO 3098 steps: 2.5 mm is the smallest text on a drawing."""
    assert min(look.cap_mm for look in TEXTS.values()) == 2.5


def test_signs_that_drawings_use_are_in_the_face() -> None:
    """Ohm, degree, plus-minus, square, multiplication and dashes print; arrows do not, so they are drawn."""
    assert missing_characters("0123456789 ABCXYZabcxyz +-/().,;:?!ΩµÅ°±²×–'\"&%<>=~|@#*") == set()
    assert missing_characters("→⏚") == {"→", "⏚"}


def test_font_rules_name_the_files_or_carry_them() -> None:
    """For the page three addresses, for a file of its own three packed faces."""
    assert font_face_rules("/fonts").count("/fonts/BarlowSemiCondensed-") == 3
    assert font_face_rules().count("data:font/woff2;base64,") == 3
