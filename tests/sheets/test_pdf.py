"""PDF pages: true scale, searchable text, embedded faces alone, equal bytes; read back by other programs."""

from __future__ import annotations

import subprocess
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from circuit_words import LIFT_STATION, WELL_PUMP
from test_live import RUNNING
from test_timing import EVENTS, RELAY

from panelwright.sheets import looks_of, rung_drawing, shown_as, timing_drawing
from panelwright.sheets.display import Bookmark, Drawing, Jump, Line, Text, turned
from panelwright.sheets.fonts import printable
from panelwright.sheets.pdf import write_pdf


def words_in(pdf: bytes, folder: Path) -> str:
    """What a search finds in a PDF, page after page, by poppler."""
    path = folder / "x.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True)
    return done.stdout


def test_pages_have_the_size_of_their_drawings() -> None:
    """One page a drawing, 1 mm on the drawing is 1 mm on paper."""
    drawings = [rung_drawing(WELL_PUMP), timing_drawing([RELAY], EVENTS)]
    with pikepdf.open(BytesIO(write_pdf(drawings))) as pdf:
        assert len(pdf.pages) == 2
        for page, drawing in zip(pdf.pages, drawings, strict=True):
            width, height = (float(v) for v in page.mediabox[2:])

            assert width == pytest.approx(drawing.width * 72 / 25.4, abs=0.01)
            assert height == pytest.approx(drawing.height * 72 / 25.4, abs=0.01)


def test_every_text_can_be_searched(tmp_path: Path) -> None:
    """Tags, terminal numbers, references and purposes are whole words for a search."""
    found = words_in(write_pdf([rung_drawing(LIFT_STATION), rung_drawing(WELL_PUMP, upright=True)]), tmp_path)

    for word in ("K11", "X1.1", "Second pump called, until low", "13-14 /2", "Stop"):
        assert word in found


def test_only_our_faces_and_all_embedded() -> None:
    """No other face gets in, and each is embedded, so that every machine prints alike."""
    with pikepdf.open(BytesIO(write_pdf([rung_drawing(LIFT_STATION)]))) as pdf:
        for page in pdf.pages:
            for font in page.Resources.Font.values():
                assert "BarlowSemiCondensed" in str(font.BaseFont)
                assert "/FontFile2" in font.FontDescriptor


def test_same_drawing_gives_same_bytes() -> None:
    """No date, no random id: a print can be compared with the one before."""
    assert write_pdf([rung_drawing(WELL_PUMP)]) == write_pdf([rung_drawing(WELL_PUMP)])


def test_outline_links_and_bookmarks() -> None:
    """Titles make the outline; touched items jump to a bookmark on another page."""
    first = Drawing(50, 50, (Jump((Text(10, 10, "to K1", "note"),), "coil-K1"),), "Contents")
    second = Drawing(50, 50, (Bookmark("coil-K1", 5, 5, "K1"), turned("up", 20, 30, "note")), "Rungs")
    with pikepdf.open(BytesIO(write_pdf([first, second], title="Pump"))) as pdf:
        with pdf.open_outline() as outline:
            titles = [item.title for item in outline.root]
            inner = [item.title for item in outline.root[1].children]

        assert titles == ["Contents", "Rungs"]
        assert inner == ["K1"]
        assert len(pdf.pages[0].Annots) == 1
        assert pdf.docinfo["/Title"] == "Pump"


def test_live_state_is_printed_by_thickness(tmp_path: Path) -> None:
    """A live conductor is drawn 0.95 mm wide, a moved contact as moved, and the words are there."""
    drawing = shown_as(rung_drawing(WELL_PUMP, live=True), looks_of(WELL_PUMP, RUNNING))
    pdf = write_pdf([drawing])
    with pikepdf.open(BytesIO(pdf)) as opened:
        content = b"".join(opened.pages[0].Contents.read_bytes() for _ in [0]).decode("latin-1")
    widths = {round(float(line.split()[0]) * 25.4 / 72, 2) for line in content.split("\n") if line.endswith(" w")}

    assert {0.95, 0.3, 0.2} <= widths
    assert "24 V" in words_in(pdf, tmp_path)


def test_signs_that_the_face_lacks_are_put_in_words() -> None:
    """Nothing prints as an empty box."""
    assert printable("L1 → M1 ⏚ 4k7 Ω ☃") == "L1 -> M1 earth 4k7 Ω ?"
    assert write_pdf([Drawing(20, 20, (Text(1, 9, "→☃", "note"), Line(((0, 0), (5, 5), (9, 5)), corner=1.0)))])


def test_nothing_to_print_is_one_empty_page() -> None:
    """An empty list gives a file that opens."""
    with pikepdf.open(BytesIO(write_pdf([]))) as pdf:
        assert len(pdf.pages) == 1
