"""The end of a search: what to mend, what proves it, and what to test when it is mended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .causes import Cause
from .evidence import Seen
from .ranking import rank
from .situations import steps_words

if TYPE_CHECKING:
    from .search import Search

MOST_NAMED = 3


def proof_of(search: Search) -> tuple[str, ...]:
    """For each piece after the first: which likely causes it excludes, most likely first."""
    from .symptoms import told

    found = []
    for at, piece in enumerate(search.evidence):
        if at == 0:
            continue
        before, after = (rank(search.book, search.evidence[:end], search.new, search.changes) for end in (at, at + 1))
        left = {one.cause.id for one in after.explaining}
        gone = [one for one in before.explaining if one.cause.id not in left]
        if gone:
            words = "; ".join(one.cause.words for one in gone[:MOST_NAMED])
            more = f" and {len(gone) - MOST_NAMED} more" if len(gone) > MOST_NAMED else ""
            found.append(f"{told(piece)} rules out: {words}{more}")
    return tuple(found)


def test_after(search: Search, cause: Cause) -> tuple[str, ...]:
    """What to try when it is mended: each thing that was wrong, and the start and stop of what was worked on."""
    found: list[str] = []
    for piece in search.evidence:
        if isinstance(piece, Seen):
            sound = search.book.sound(piece.situation)
            word = sound.state.word(piece.state.subject)
            found.append(f"{piece.situation.name}: {piece.state.subject} has to be {word}")
    if cause.kind in ("fuse-blown",):
        found.append("measure the current in the circuit: a fuse blows for a reason")
    return tuple(dict.fromkeys(found))


def dangers_of(search: Search) -> tuple[str, ...]:
    """What can move by itself while somebody measures."""
    found = []
    for piece in search.evidence:
        state = search.book.sound(piece.situation).state
        running = [
            tag for tag, device in state.circuit.by_tag.items() if device.motors and state.word(tag) != "stopped"
        ]
        if running:
            found.append(f"{piece.situation.name or steps_words(piece.situation.steps)}: {', '.join(running)} may run")
    return tuple(dict.fromkeys(found))
