"""A long ladder in stretches, each a drawing of its own: where it may be cut, and one stretch of it."""

from __future__ import annotations

from itertools import pairwise

from .references import References
from .strands import Ladder

Stretch = tuple[int, int]  # first line, line after the last; counted from 0


def stretches_of(ladder: Ladder, most: int) -> tuple[Stretch, ...]:
    """Stretches of at most `most` lines; a longer one only where a point or a parallel joins more lines than that."""
    spanned = [False] * (len(ladder.lines) + 1)  # whether some conductor runs across the cut above a line
    for node in ladder.nodes:
        if node.kind in ("point", "inner") and node.rows:
            for row in range(min(node.rows) + 1, max(node.rows) + 1):
                spanned[row] = True
    cuts = [0]
    last = 0  # the last place where it could be cut
    for row in range(1, len(ladder.lines) + 1):
        if row - cuts[-1] > most and last > cuts[-1]:
            cuts.append(last)
        if row == len(ladder.lines) or not spanned[row]:
            last = row
    return tuple(pairwise([*cuts, len(ladder.lines)]))


def cut_to(ladder: Ladder, references: References, stretch: Stretch) -> None:
    """Take everything out of a ladder and its references that lies outside the stretch; rows then count from 0.

    What the references say keeps the numbers of the whole.
    """
    first, end = stretch
    ladder.strands = [strand for strand in ladder.strands if first <= strand.row < end]
    for strand in ladder.strands:
        strand.row -= first
    for node in ladder.nodes:
        node.rows = {row - first for row in node.rows if first <= row < end}
    ladder.nodes = [node for node in ladder.nodes if node.rows]
    ladder.lines = ladder.lines[first:end]
    references.contacts = {row - first: found for row, found in references.contacts.items() if first <= row < end}
