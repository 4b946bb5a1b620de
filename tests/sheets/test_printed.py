"""Lists on paper: nothing is lost from page to page, headings come again, nothing leaves the page."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import panelwright as pw
from panelwright.sheets import Column, Drawing, Mark, Paragraph, Table, printed_pages
from panelwright.sheets.display import Text, box_around, walk
from panelwright.sheets.wire_list import label_pages, wire_list_pages

COLUMNS = (Column("No."), Column("What", share=1.0), Column("Read", least_mm=25.0))


def texts(page: Drawing) -> list[str]:
    """Every text of a page."""
    return [item.text for item, _ in walk(page.items) if isinstance(item, Text)]


def table(rows: int, words: str = "from K1.9 to S1.12") -> Table:
    """A table to write in."""
    return Table(COLUMNS, tuple((str(n), words, Mark.WRITE) for n in range(rows)))


def test_the_heading_comes_again_on_each_page() -> None:
    """Whoever takes the second page alone knows what its columns are."""
    pages = printed_pages("Cold sheet", [table(100)], 180.0, 250.0)

    assert len(pages) == 3
    assert all({"No.", "What", "Read"} <= set(texts(page)) for page in pages)
    assert ["Cold sheet (1 of 3)", "Cold sheet (3 of 3)"] == [texts(pages[0])[0], texts(pages[2])[0]]


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    """It goes to the next page with its first row."""
    first = Table(COLUMNS, tuple((str(n), "", Mark.TICK) for n in range(12)))
    second = Table(COLUMNS, ("On plate", ("1", "", Mark.TICK)))
    pages = printed_pages(
        "List", [first, Paragraph("Second", "tag", heading=True), Paragraph("What it shows."), second], 180.0, 111.0
    )

    assert [True, False] == ["Second" not in texts(page) for page in pages]
    assert {"Second", "What it shows.", "On plate"} <= set(texts(pages[1]))


def test_a_row_of_the_wrong_length_is_refused() -> None:
    """The maker of a list learns it at once."""
    with pytest.raises(ValueError, match="2 cells for 3 columns"):
        Table(COLUMNS, (("1", "two"),))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.text("abc defgh", min_size=1, max_size=150), min_size=1, max_size=60), st.integers(80, 300))
def test_nothing_is_lost_and_nothing_leaves_the_page(words: list[str], height: int) -> None:
    """Each word of each row is printed once, inside the page."""
    rows = tuple((str(n), text, Mark.WRITE) for n, text in enumerate(words))
    pages = printed_pages("T", [Table(COLUMNS, rows)], 170.0, float(height))
    printed = " ".join(text for page in pages for text in texts(page)).split()

    for text in words:
        for word in text.split():
            assert word in printed
    for page in pages:
        box = box_around(page.items)
        assert box is not None
        assert box[0] >= -0.01
        assert box[2] <= 170.01
        assert box[3] <= max(page.height, 0) + 0.01


def test_the_pack_has_every_wire_and_two_labels_for_each() -> None:
    """What is to be landed stands on paper, with the labels that go on it."""
    circuit = pw.read_file("examples/orchard/lift-station.panel").circuit
    wiring = pw.wire(circuit)
    words = Counter(text for page in label_pages(wiring, 180.0, 220.0) for text in texts(page))
    listed = [text for page in wire_list_pages(wiring, 180.0, 220.0) for text in texts(page)]
    documents = [text for page in pw.sheet_pack(circuit) for text in texts(page)]

    assert all(words[number] >= 2 for number in {wire.number for wire in wiring.wires})
    assert sum(words[number] for number in {w.number for w in wiring.wires}) == 2 * len(wiring.wires)
    assert {end for wire in wiring.wires for end in wire.ends} <= set(listed)
    assert {"Wire list", "Labels", "Power drawing", "Control drawing"} <= set(documents)


@pytest.mark.parametrize("path", sorted(Path("examples").rglob("*.panel")), ids=lambda path: path.stem)
def test_nothing_is_left_to_say_about_the_wiring_of_the_examples(path: Path) -> None:
    """Every cable has its cores, no contact is missing."""
    wiring = pw.wire(pw.read_file(path).circuit)

    assert () == wiring.told
    assert () == wiring.shortages
