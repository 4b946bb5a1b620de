"""The printable pack: every drawing and list of a panel, each in its frame, numbered through."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

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
from .frame import PAPERS, TitleBlock, framed, page_for, space_on
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

USUAL, SMALL = "A3", "A4"  # papers for drawings, if nothing is said
MOST_WIRES_TESTED = 700  # beyond, the test sheets take minutes and are made only when they are asked for


@dataclass(frozen=True, slots=True)
class _Page:
    """A drawing to be framed, and the document it belongs to."""

    document: str
    drawing: Drawing
    paper: str
    lying: bool = False


def sheets_of(wiring: Wiring, *, paper: str = "", from_file: str = "") -> tuple[Drawing, ...]:
    """Rungs on as many pages as they need, power circuit, connections; upright: lists, labels, tests, sizing, parts.

    `paper`: the smallest for drawings; "": A3, and A4 for a document whose drawings all fit on that. Without test
    sheets where there are more than `MOST_WIRES_TESTED` wires. Raises: KeyError for an unknown paper.
    """
    upright = list_paper(paper or USUAL)
    drawn = [_Page(name, drawing, paper or USUAL, lying=True) for name, drawing in
             _drawings(wiring, *space_on(paper or USUAL))]  # fmt: skip
    listed = [*_lists(wiring, *space_on(upright))]
    if 0 < len(wiring.wires) <= MOST_WIRES_TESTED:
        listed += _tests((cold_sheet(wiring), live_sheet(wiring)), *space_on(upright))
    sheet = size(wiring)
    listed += [(SIZING, page) for page in sizing_pages(sheet, *space_on(upright))]
    listed += [(PARTS, page) for page in parts_pages(parts_of(wiring, sheet), None, *space_on(upright))]
    pages = [*(drawn if paper else _on_smaller(drawn)), *(_Page(*one, upright) for one in listed)]
    return _numbered(pages, title_block(wiring, from_file))


def _on_smaller(pages: Sequence[_Page]) -> list[_Page]:
    """On A4 where every page of the document has room there: a few rungs are lost on A3."""
    large = {one.document for one in pages if min(page_for(one.drawing, SMALL)) > min(PAPERS[SMALL])}
    return [one if one.document in large else replace(one, paper=SMALL) for one in pages]


def test_sheets_of(
    wiring: Wiring, sheets: Iterable[Sheet], *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """Test sheets alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    return _upright(wiring, list(_tests(sheets, *_list_space(paper))), paper, from_file)


def sizing_sheets_of(
    wiring: Wiring, sheet: SizingSheet, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """The sizing sheet alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    return _upright(wiring, [(SIZING, page) for page in sizing_pages(sheet, *_list_space(paper))], paper, from_file)


def parts_sheets_of(
    wiring: Wiring, parts: PartsList, choice: Choice | None = None, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """The parts list alone, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    pages = parts_pages(parts, choice, *_list_space(paper))
    return _upright(wiring, [(PARTS, page) for page in pages], paper, from_file)


def find_tree_of(wiring: Wiring, tree: Tree, *, paper: str = "A4", from_file: str = "") -> tuple[Drawing, ...]:
    """The way to a fault, on upright paper of the same family, each page in its frame. Raises: as `sheets_of`."""
    return _upright(
        wiring, [(FIND_TREE, page) for page in find_tree_pages(tree, *_list_space(paper))], paper, from_file
    )


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
    pages = fault_pages(promises, rows, *_list_space(paper), said=said)
    return _upright(wiring, [(FAULTS, page) for page in pages], paper, from_file)


def practice_of(
    tasks: Sequence[Practice], seed: int, answers: bool, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """Tasks for a class, or their answers, on upright paper, each page in its frame. Raises: as `sheets_of`."""
    pages = practice_pages(tasks, seed, answers, *_list_space(paper))
    return _upright(tasks[0].wiring, [(ANSWERS if answers else PRACTICE, page) for page in pages], paper, from_file)


def _list_space(paper: str) -> tuple[float, float]:
    return space_on(list_paper(paper))


def _upright(wiring: Wiring, pages: Sequence[tuple[str, Drawing]], paper: str, from_file: str) -> tuple[Drawing, ...]:
    """Lists in their frames, numbered through; each comes with its document's name."""
    upright = list_paper(paper)
    return _numbered([_Page(name, drawing, upright) for name, drawing in pages], title_block(wiring, from_file))


def _tests(sheets: Iterable[Sheet], width: float, height: float) -> Iterator[tuple[str, Drawing]]:
    for sheet in sheets:
        yield from ((TITLES[sheet.kind], page) for page in test_sheet_pages(sheet, width, height))


def _numbered(pages: Sequence[_Page], block: TitleBlock) -> tuple[Drawing, ...]:
    """Each page in its frame; lists have other notes at their foot than drawings."""
    listing = replace(block, notes=LIST_NOTES)
    return tuple(
        framed(
            one.drawing,
            replace(block if one.lying else listing, document=one.document, sheet=number, sheets=len(pages)),
            one.paper,
            lying=one.lying,
        )
        for number, one in enumerate(pages, 1)
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
