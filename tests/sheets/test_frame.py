"""Pages: the drawing in its frame at true scale, a title block that says it, rungs that fit the paper."""

from __future__ import annotations

from pathlib import Path

import pytest
from circuit_words import LIFT_STATION, WELL_PUMP, panel
from geometry import overlaps, texts, torn_nets

from panelwright.api import read_file, sheet_pack
from panelwright.sheets import PAPERS, TitleBlock, framed, rung_drawing, rung_pages, space_on
from panelwright.sheets.display import Drawing, Rect
from panelwright.sheets.fonts import missing_characters
from panelwright.sheets.frame import page_for
from panelwright.wiring import wire

BLOCK = TitleBlock(
    "Lift station, two pumps in turn",
    owner="Brackwater orchard co-operative",
    number="OC-014",
    from_file="lift-station.panel",
    drawn="M. Orr",
    date="2026-03-02",
    revision="B",
    sheet=4,
    sheets=9,
)
MANY = panel([f"S{k}.nc ( S{k}.no | K{k}.no ) F{k}.nc K{k}.coil" for k in range(1, 61)])


@pytest.mark.parametrize("paper", list(PAPERS))
def test_page_has_its_paper_and_nothing_overlaps(paper: str) -> None:
    """Frame, fields, notes, block and drawing keep clear of each other on every paper."""
    page = framed(rung_drawing(WELL_PUMP), BLOCK, paper)

    assert (page.width, page.height) == PAPERS[paper]
    assert overlaps(page) == []


def test_title_block_says_everything() -> None:
    """Every entry is printed, and the caution with it."""
    said = [t.text for t, _ in texts(framed(rung_drawing(WELL_PUMP), BLOCK))]

    for entry in (
        "Lift station, two pumps in turn",
        "Brackwater orchard co-operative",
        "OC-014",
        "4 / 9",
        "B",
        "M. Orr",
    ):
        assert entry in said
    assert any("prove dead before work" in text for text in said)


def test_long_entries_are_shortened_visibly() -> None:
    """An entry that does not fit ends in dots and stays in its place."""
    page = framed(rung_drawing(WELL_PUMP), TitleBlock("A very long title of a panel " * 4, owner="O" * 80))

    assert overlaps(page) == []
    assert sum(t.text.endswith("…") for t, _ in texts(page)) == 2


def test_an_entry_too_long_for_one_line_takes_two() -> None:
    """The owner of the orchard's panels and a long title are read to their end."""
    block = TitleBlock("Grader conveyor, 120 V ac control", owner="Brackwater orchard co-operative, packing hall")
    page = framed(rung_drawing(WELL_PUMP), block)
    said = " ".join(t.text for t, _ in texts(page))

    assert overlaps(page) == []
    assert "Brackwater orchard co-operative, packing hall" in said
    assert block.title in said


def test_a_few_rungs_come_on_small_paper() -> None:
    """If nothing is said: the well pump's rungs lie on A4, its connections need A3; what is said is kept to."""
    pump = read_file(Path(__file__).parents[2] / "examples" / "orchard" / "well-pump.panel").circuit
    sizes = [(page.width, page.height) for page in sheet_pack(pump)]
    said = [(page.width, page.height) for page in sheet_pack(pump, paper="A3")]

    assert [PAPERS["A4"][::-1], PAPERS["A3"], PAPERS["A4"]] == sizes[:3]
    assert [PAPERS["A3"], PAPERS["A3"], PAPERS["A4"]] == said[:3]


def test_drawing_that_does_not_fit_gets_larger_paper() -> None:
    """True scale counts: text stays 2.5 mm high."""
    assert page_for(Drawing(100, 100, ()), "A4") == PAPERS["A4"]
    assert page_for(Drawing(250, 100, ()), "A4") == PAPERS["A4"][::-1]
    assert page_for(Drawing(100, 100, ()), "A4", lying=True) == PAPERS["A4"][::-1]
    assert page_for(Drawing(300, 100, ()), "A4") == PAPERS["A3"]
    assert page_for(Drawing(240, 300, ()), "A3") == PAPERS["A3"][::-1]
    assert page_for(Drawing(500, 300, ()), "A3") == PAPERS["A2"]
    assert page_for(Drawing(300, 150, ()), "letter") == PAPERS["tabloid"]


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("paper", ["A4", "A3", "letter", "tabloid"])
def test_rungs_fill_pages_that_fit(paper: str, upright: bool) -> None:
    """Sixty rungs: every page fits its paper, each line stands on one page, with the number it has in the whole."""
    pages = rung_pages(MANY, *space_on(paper), upright=upright)
    lines: list[int] = []
    for page in pages:
        width, height = space_on(paper)

        assert page.width <= width
        assert page.height <= height
        assert overlaps(page) == []
        assert torn_nets(page) == []
        lines += sorted(int(t.text) for t, _ in texts(page) if t.look == "line-number")
    assert lines == list(range(1, 121))
    assert len(pages) > 1


@pytest.mark.parametrize("standard", ["IEC", "NA"])
def test_no_overlap_on_small_paper_for_any_example(standard: str) -> None:
    """All example panels cut to A4: nothing overlaps, every character is in the face."""
    for path in sorted((Path(__file__).parents[2] / "examples").rglob("*.panel")):
        circuit = read_file(path).circuit
        assert circuit is not None
        plan = wire(circuit)
        for page in rung_pages(plan.circuit, *space_on("A4"), standard=standard, numbers=plan.numbers):
            assert overlaps(page) == [], path.name
            assert not set().union(*(missing_characters(t.text) for t, _ in texts(page))), path.name


def test_small_circuit_is_one_page() -> None:
    """No page more than needed."""
    assert len(rung_pages(LIFT_STATION, *space_on("A3"))) == 1
    assert len(rung_pages(panel([]), *space_on("A3"))) == 1


def test_frame_follows_the_sheet_standard() -> None:
    """ISO 5457 (from memory): 20 mm left for filing, 10 mm on the other edges, frame lines 0.7 mm."""
    page = framed(rung_drawing(WELL_PUMP), BLOCK, "A3")
    frame = next(i for i in page.items if isinstance(i, Rect) and i.look == "frame")

    assert (frame.x, frame.y, frame.x + frame.width, frame.y + frame.height) == (20.0, 10.0, 410.0, 287.0)
