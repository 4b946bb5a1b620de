"""The printable pack: every drawing and list of a panel, each in its frame, numbered through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ..finding import Sheet, cold_sheet, live_sheet
from ..finding.practice import Practice
from ..finding.tree import Tree
from ..sizing import SizingSheet
from ..sizing.choosing import Choice
from ..sizing.parts_list import PartsList, parts_of
from ..sizing.sheet import size
from ..wiring import Wiring
from .connections import connection_drawing
from .display import Drawing
from .fault_table import TITLE as FAULTS
from .fault_table import FaultRow, fault_pages
from .find_tree import TITLE as FIND_TREE
from .find_tree import find_tree_pages
from .frame import TitleBlock, framed, space_on
from .parts_sheet import TITLE as PARTS
from .parts_sheet import parts_pages
from .power import power_drawing
from .practice_sheet import ANSWERS, practice_pages
from .practice_sheet import TITLE as PRACTICE
from .rungs import rung_pages
from .sizing_sheet import TITLE as SIZING
from .sizing_sheet import sizing_pages
from .testing_sheet import TITLES, test_sheet_pages
from .wire_list import label_pages, wire_list_pages

LIST_NOTES = (
    "Isolate, lock and prove dead before work. Local codes and a licensed person decide.",
    "Worked out from the panel file; it knows nothing of what else is in the panel.",
)

MOST_WIRES_TESTED = 700  # beyond, the test sheets take minutes and are made only when they are asked for


def sheets_of(wiring: Wiring, *, paper: str, from_file: str = "") -> tuple[Drawing, ...]:
    """Rungs on as many pages as they need, power circuit, connections; upright: lists, labels, tests, sizing, parts.

    Without test sheets where there are more than `MOST_WIRES_TESTED` wires. Raises: KeyError for an unknown paper.
    """
    block, upright = title_block(wiring, from_file), list_paper(paper)
    listing = replace(block, notes=LIST_NOTES)
    pages = [(name, drawing, paper, block) for name, drawing in _drawings(wiring, *space_on(paper))]
    pages += [(name, drawing, upright, listing) for name, drawing in _lists(wiring, *space_on(upright))]
    if 0 < len(wiring.wires) <= MOST_WIRES_TESTED:
        tests = _tests((cold_sheet(wiring), live_sheet(wiring)), *space_on(upright))
        pages += [(name, drawing, upright, listing) for name, drawing in tests]
    sheet = size(wiring)
    sizing, parts = (
        sizing_pages(sheet, *space_on(upright)),
        parts_pages(parts_of(wiring, sheet), None, *space_on(upright)),
    )
    pages += [(SIZING, drawing, upright, listing) for drawing in sizing]
    pages += [(PARTS, drawing, upright, listing) for drawing in parts]
    return _numbered(pages)


def test_sheets_of(
    wiring: Wiring, sheets: Iterable[Sheet], *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """Test sheets alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(wiring, from_file), notes=LIST_NOTES)
    return _numbered([(name, drawing, upright, block) for name, drawing in _tests(sheets, *space_on(upright))])


def sizing_sheets_of(
    wiring: Wiring, sheet: SizingSheet, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """The sizing sheet alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(wiring, from_file), notes=LIST_NOTES)
    pages = sizing_pages(sheet, *space_on(upright))
    return _numbered([(SIZING, page, upright, block) for page in pages])


def parts_sheets_of(
    wiring: Wiring, parts: PartsList, choice: Choice | None = None, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """The parts list alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(wiring, from_file), notes=LIST_NOTES)
    pages = parts_pages(parts, choice, *space_on(upright))
    return _numbered([(PARTS, page, upright, block) for page in pages])


def find_tree_of(wiring: Wiring, tree: Tree, *, paper: str = "A4", from_file: str = "") -> tuple[Drawing, ...]:
    """The way to a fault, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(wiring, from_file), notes=LIST_NOTES)
    pages = find_tree_pages(tree, *space_on(upright))
    return _numbered([(FIND_TREE, page, upright, block) for page in pages])


def fault_sheets_of(
    wiring: Wiring,
    promises: Sequence[str],
    rows: Sequence[FaultRow],
    *,
    said: str = "",
    paper: str = "A4",
    from_file: str = "",
) -> tuple[Drawing, ...]:
    """The fault table on its own, each page in its frame. `said`: how far it was looked. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(wiring, from_file), notes=LIST_NOTES)
    pages = fault_pages(promises, rows, *space_on(upright), said=said)
    return _numbered([(FAULTS, page, upright, block) for page in pages])


def practice_of(
    tasks: Sequence[Practice], seed: int, answers: bool, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """Tasks for a class, or their answers, on upright paper, each page in its frame. Raises: as `sheets_of`."""
    upright = list_paper(paper)
    block = replace(title_block(tasks[0].wiring, from_file), notes=LIST_NOTES)
    pages = practice_pages(tasks, seed, answers, *space_on(upright))
    return _numbered([(ANSWERS if answers else PRACTICE, page, upright, block) for page in pages])


def _tests(sheets: Iterable[Sheet], width: float, height: float) -> Iterator[tuple[str, Drawing]]:
    for sheet in sheets:
        yield from ((TITLES[sheet.kind], page) for page in test_sheet_pages(sheet, width, height))


def _numbered(pages: Sequence[tuple[str, Drawing, str, TitleBlock]]) -> tuple[Drawing, ...]:
    return tuple(
        framed(drawing, replace(said, document=name, sheet=number, sheets=len(pages)), on)
        for number, (name, drawing, on, said) in enumerate(pages, 1)
    )


def list_paper(paper: str) -> str:
    """The upright paper of the same family, for lists."""
    return "A4" if paper.startswith("A") and not paper.startswith("ANSI") else "letter"


def title_block(wiring: Wiring, from_file: str = "") -> TitleBlock:
    """What the heading of the panel file says, for the title block."""
    heading = wiring.circuit.heading
    return TitleBlock(
        heading.title,
        owner=heading.job,
        from_file=from_file,
        drawn=heading.drawn_by,
        checked=heading.checked_by,
        date=heading.date,
        revision=heading.revision,
    )


def _drawings(wiring: Wiring, width: float, height: float) -> Iterator[tuple[str, Drawing]]:
    for page in rung_pages(wiring.circuit, width, height, numbers=wiring.numbers):
        yield "Control drawing", page
    power = power_drawing(wiring.circuit, upright=True, live=False, numbers=wiring.numbers)
    if power is not None:
        yield "Power drawing", power
    yield from _connections(wiring, width, height)


def _connections(wiring: Wiring, width: float, height: float) -> Iterator[tuple[str, Drawing]]:
    """All connections on one page if they fit, else a page for each stage of the work."""
    if not wiring.wires:
        return
    whole = connection_drawing(wiring.circuit, wiring)
    if whole.width <= width and whole.height <= height:
        yield "Connections", whole
        return
    for stage in dict.fromkeys(wire.stage for wire in wiring.wires):
        yield f"Connections: {stage.partition(',')[0]}", connection_drawing(wiring.circuit, wiring, stage=stage)


def _lists(wiring: Wiring, width: float, height: float) -> Iterator[tuple[str, Drawing]]:
    for page in wire_list_pages(wiring, width, height):
        yield "Wire list", page
    for page in label_pages(wiring, width, height):
        yield "Labels", page
