"""The end of a search: what to mend, what proves it, and what to test when it is mended."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from .book import Book
from .causes import Cause
from .evidence import Seen
from .naming import states_of
from .ranking import rank
from .situations import Situation, steps_words

if TYPE_CHECKING:
    from .search import Search

MOST_NAMED, MOST_AFTER = 3, 10


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
    """What to do when it is mended: put back what was altered, try what was wrong, then start and stop."""
    found = list(_put_back(search))
    if cause.kind == "fuse-blown":
        found.append("measure the current in the circuit: a fuse blows for a reason")
    if cause.is_miswire:
        found.append(f"power off: read every wire on {' and '.join(cause.tags)} end to end against the wire list")
    seen = [piece for piece in search.evidence if isinstance(piece, Seen) and not piece.situation.altered]
    wanted = dict.fromkeys((piece.situation, piece.state.subject) for piece in seen)
    for tag in dict.fromkeys((*(piece.state.subject for piece in seen), *cause.tags)):
        if _moves(search.book, tag):
            wanted |= dict.fromkeys((situation, tag) for situation in _start_and_stop(search.book, tag))
    found += [_has_to(search.book, situation, tag) for situation, tag in wanted]
    return tuple(dict.fromkeys(found))[:MOST_AFTER]


def _put_back(search: Search) -> Iterator[str]:
    for fault in dict.fromkeys(fault for piece in search.evidence for fault in piece.situation.altered):
        if fault.form == "lifted":
            yield f"put the leads back on {fault.subject}"
        else:
            yield f"take off the test lead from {fault.subject} to {fault.other}"


def _has_to(book: Book, situation: Situation, tag: str) -> str:
    return f"{situation.name}: {tag} has to be {book.look(book.sound(situation), tag, situation)}"


def _moves(book: Book, tag: str) -> bool:
    device = book.circuit.by_tag[tag]
    return bool(device.motors) or (bool(device.contacts) and any(load.drives for load in device.loads))


def _start_and_stop(book: Book, tag: str) -> Iterator[Situation]:
    """Where the sound panel has it working, and every way on from there by which it stops."""
    works = states_of(book.circuit.by_tag[tag])[0]
    working = [s for s in book.situations if book.look(book.sound(s), tag, s).startswith(works)]
    free = [s for s in working if not any(step.verb == "press" for step in s.steps)] or working
    if not free:
        return
    start = min(free, key=lambda s: len(s.steps))
    yield start
    for situation in book.situations:
        goes_on = situation.steps[: len(start.steps)] == start.steps and len(situation.steps) == len(start.steps) + 1
        if goes_on and situation not in working:
            yield situation


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
