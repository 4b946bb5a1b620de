"""A search written down, to go on with later: plain lines that people read and write, too."""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256

from ..circuit import Circuit
from ..wiring import Wiring, wire
from .evidence import Differs, Evidence, Leads, Reading, Unclear
from .probing import OPEN
from .search import Search

HEAD = "# A search for a fault. Lines may be added, changed and taken out; a line that begins with # is not read."
YES, NO = "yes", "no"


def notes_text(search: Search) -> str:
    """All that is known, a line a piece."""
    return "\n".join(_lines(search)) + "\n"


def _lines(search: Search) -> Iterator[str]:
    yield HEAD
    yield f"panel: {search.wiring.circuit.heading.title} ({fingerprint(search.wiring)})"
    yield f"new: {YES if search.new else NO}"
    yield f"live readings: {YES if search.live else NO}"
    yield f"meter: {search.meter.name}"
    yield from (f"changed: {change.words}" for change in search.changes)
    yield from (piece_line(piece) for piece in search.evidence)


def piece_line(piece: Evidence) -> str:
    """One piece as it is read again."""
    at = piece.situation.name
    if isinstance(piece, Reading):
        value = OPEN.lower() if piece.value is None else f"{piece.value:.6g} {piece.unit}"
        return f"reading: {piece.a} to {piece.b}: {value} @ {at} with {piece.meter.name}"
    if isinstance(piece, Leads):
        return f"seen: leads on {piece.tag} are {'as drawn' if piece.right else 'not as drawn'}"
    if isinstance(piece, Differs):
        states = " and ".join(f"{state.subject} is {state.state} {state.value}".strip() for state in piece.states)
        return f"seen: not all of {states} @ {at}"
    often = "sometimes " if piece.sometimes else ""
    return f"seen: {often}{piece.state.subject} is {f'{piece.state.state} {piece.state.value}'.strip()} @ {at}"


def fingerprint(wiring: Wiring) -> str:
    """Eight digits that change with the wiring, so that notes of another panel are known."""
    wires = "\n".join(f"{one.number} {' '.join(one.ends)}" for one in wiring.wires)
    return sha256(wires.encode()).hexdigest()[:8]


def read_notes(circuit: Circuit | Wiring, text: str) -> tuple[Search, tuple[str, ...]]:
    """A search from notes, and what to mind about them. Raises: Unclear with the number of the line."""
    wiring = wire(circuit) if isinstance(circuit, Circuit) else circuit
    search, told = Search.of(wiring), []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        word, colon, rest = (part.strip() for part in line.partition(":"))
        if word == "panel":
            if not rest.endswith(f"({fingerprint(wiring)})"):
                told.append("the wiring of the panel is not the one that these notes were written for")
            continue
        try:
            search = _taken(search, word if colon else "", rest)
        except ValueError as reason:
            raise Unclear(f"line {number}: {reason}") from reason
    return search, tuple(told)


def _taken(search: Search, word: str, rest: str) -> Search:
    if word == "seen":
        return search.see(rest)
    if word == "reading":
        return search.read(rest)
    if word == "changed":
        return search.changed(rest)
    if word == "meter":
        return search.with_meter(rest)
    if word in ("new", "live readings"):
        if rest.lower() not in (YES, NO):
            raise Unclear(f"'{word}: {rest}' is neither yes nor no")
        return search.but(new=rest.lower() == YES) if word == "new" else search.but(live=rest.lower() == YES)
    raise Unclear(f"'{word}' begins no line of notes; write panel, new, live readings, meter, changed, seen or reading")
