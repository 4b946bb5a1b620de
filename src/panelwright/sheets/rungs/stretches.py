"""A long ladder in stretches, each a drawing of its own: where it may be cut, and one stretch of it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from .references import References
from .strands import Ladder, Node, Strand

Stretch = tuple[int, int]  # first line, line after the last; counted from 0


def stretches_of(ladder: Ladder, most: int) -> tuple[Stretch, ...]:
    """Stretches of at most `most` lines; a longer one only where a point or a parallel joins more lines than that."""
    cuts = [0]
    last = 0  # the last place where it could be cut
    free = set(free_cuts(ladder))
    for row in range(1, len(ladder.lines) + 1):
        if row - cuts[-1] > most and last > cuts[-1]:
            cuts.append(last)
        if row in free:
            last = row
    return tuple(pairwise([*cuts, len(ladder.lines)]))


def free_cuts(ladder: Ladder) -> list[int]:
    """The lines above which nothing but rails runs across, and the end."""
    rows = len(ladder.lines)
    spanned = [False] * (rows + 1)
    for node in ladder.nodes:
        if node.kind in ("point", "inner") and node.rows:
            for row in range(min(node.rows) + 1, max(node.rows) + 1):
                spanned[row] = True
    return [row for row in range(1, rows + 1) if row == rows or not spanned[row]]


def part_of(ladder: Ladder, references: References, stretch: Stretch) -> tuple[Ladder, References, dict[Node, Node]]:
    """The ladder and references of one stretch, rows counted from its first, and which new node stands for which.

    What the references say keeps the numbers of the whole.
    """
    first, end = stretch
    strands = [strand for strand in ladder.strands if first <= strand.row < end]
    nodes: dict[Node, Node] = {}
    for node in ladder.nodes:
        rows = {row - first for row in node.rows if first <= row < end}
        if rows:
            nodes[node] = replace(node, rows=rows)
    part = Ladder(
        [Strand(nodes[s.a], nodes[s.b], s.row - first, s.leaves) for s in strands],
        ladder.lines[first:end],
        [*nodes.values()],
    )
    contacts = {row - first: found for row, found in references.contacts.items() if first <= row < end}
    return part, References(references.coil_row, contacts), nodes
