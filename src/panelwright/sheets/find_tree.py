"""The way to a fault on paper: each test in a line of its own, what it may show below it, up to the part to mend."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..finding.steps import told_test
from ..finding.symptoms import told
from ..finding.telling_search import CAUTIONS
from ..finding.tree import Node, Tree, end_words
from .display import Drawing, Item, Line, Rect, Text
from .printed import Block, Column, Mark, Paragraph, Ready, Strip, Table, printed_pages
from .words import width_mm, wrapped

TITLE = "Way to the fault"
STEP_MM, GAP_MM, INDENT_MM, BOX_MM = 4.2, 1.8, 6.5, 5.2
HEAD = ("Panel no.", "By", "Date", "Found and mended")


@dataclass(frozen=True, slots=True)
class _Row:
    """A line of the outline. `going_on`: for each level above, whether its line goes on below this row."""

    node: Node
    going_on: tuple[bool, ...]


def find_tree_pages(tree: Tree, width: float, height: float) -> tuple[Drawing, ...]:
    """The tree on pages of `width` by `height` mm."""
    return printed_pages(TITLE, list(_blocks(tree, width)), width, height)


def _blocks(tree: Tree, width: float) -> Iterator[Block]:
    yield from (Paragraph(f"! {caution}") for caution in CAUTIONS)
    yield Table(tuple(Column(name, share=1) for name in HEAD), (tuple(Mark.WRITE for _ in HEAD),))
    yield Paragraph("Known", "title", heading=True)
    yield from (Paragraph(change.words) for change in tree.search.changes)
    yield from (Paragraph(told(piece)) for piece in tree.search.evidence)
    yield Paragraph(f"Step by step, {tree.tests:.1f} tests on average", "title", heading=True)
    yield Ready(tuple(_strip(tree, row, width) for row in _rows(tree.root, ())))


def _rows(node: Node, going_on: tuple[bool, ...]) -> Iterator[_Row]:
    yield _Row(node, going_on)
    for index, inner in enumerate(node.nodes):
        yield from _rows(inner, (*going_on, index < len(node.nodes) - 1))


def _strip(tree: Tree, row: _Row, width: float) -> Strip:
    node, depth = row.node, len(row.going_on)
    left = depth * INDENT_MM
    items: list[Item] = []
    at = left
    if node.outcome:
        wide = width_mm(node.outcome, "tag") + 3.0
        items += [Rect(left, 0.6, wide, BOX_MM, "hair", 1.2), Text(left + 1.5, 4.3, node.outcome, "tag")]
        share = f"{node.probability:.0%}"
        items.append(Text(left + wide + 1.5, 4.3, share, "word"))
        at = left + wide + width_mm(share, "word") + 4.0
    lines = list(_words(tree, node, at, width))
    items += [Text(x, 4.3 + k * STEP_MM, words, look) for k, (x, words, look) in enumerate(lines)]
    high = max(BOX_MM + 1.2, len(lines) * STEP_MM + GAP_MM)
    items += _guides(row, high)
    if node.nodes:
        x = left + INDENT_MM / 2
        items.append(Line(((x, BOX_MM + 0.6 if node.outcome else 5.2), (x, high)), "hair"))
    return Strip(tuple(items), high)


def _words(tree: Tree, node: Node, at: float, width: float) -> Iterator[tuple[float, str, str]]:
    """Lines of text: x, words, look; the number of a test stands before its first line."""
    if node.test is None:
        for count, words in enumerate(end_words(node)):
            look = "number" if count == 0 else "word"
            yield from ((at, line, look) for line in wrapped(words, width - at, look))
        return
    words = f"{node.number}.  {told_test(tree.search.wiring, node.test)}"
    yield from ((at, line, "note") for line in wrapped(words, width - at, "note"))


def _guides(row: _Row, high: float) -> Iterator[Item]:
    """Lines from the tests above: straight on, or round the corner to this row."""
    for level, goes_on in enumerate(row.going_on):
        x = (level + 0.5) * INDENT_MM
        mine = level == len(row.going_on) - 1
        if goes_on:
            yield Line(((x, 0.0), (x, high)), "hair")
        elif mine:
            yield Line(((x, 0.0), (x, 3.2)), "hair")
        if mine:
            yield Line(((x, 3.2), (x + INDENT_MM / 2, 3.2)), "hair")
