"""Tables of expected readings as text and as values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ..circuit import Fault
from ..electrics import UnknownPlace
from ..wiring import Wiring
from .book import SOUND, Book
from .causes import Cause
from .evidence import Unclear, named_place
from .meters import Meter
from .probing import Shown, shown
from .readings import Line, Walk, usual_columns, walks
from .situations import Situation, situation_called
from .stray import with_stray

MOST_TOLD = 2  # other readings named beside one, for each situation; all are in the values
MOST_CAUSES = 2
CAUTION = (
    "Live readings are for those who are trained, authorised and equipped; "
    "ohms only with the power off, locked and proved dead."
)


@dataclass(frozen=True, slots=True)
class Table:
    """Expected readings: `text` to print, `values` for other programs."""

    text: str
    values: dict[str, Any]


def readings_table(
    wiring: Wiring, states: Sequence[str], between: tuple[str, str] | None, meter: Meter, lifted: str, faulty: bool
) -> Table:
    """A table of the sound panel. Raises: UnclearSituation, Unclear."""
    book = Book(wiring)
    situations = [situation_called(book.network, words) for words in states] or list(usual_columns(book))
    cause = _lifted(book, lifted)
    if between is not None:
        return _between(book, between, situations, meter, cause)
    if cause is not SOUND:
        book = _with(book, cause)
        faulty = False
    found = walks(book, situations, meter, faulty)
    lines = [f"Meter: {meter.says}.", CAUTION, ""]
    for walk in found:
        lines += [*walk_lines(walk), ""]
    return Table("\n".join(lines), {"meter": meter.name, "rungs": [walk_values(walk) for walk in found]})


def _lifted(book: Book, lifted: str) -> Cause:
    if not lifted:
        return SOUND
    place = named_place(book.circuit, lifted)
    return Cause(f"lifted {place}", "terminal-loose", f"{place} lifted", "", (Fault("lifted", place),), 1.0, 1.0)


def _with(book: Book, cause: Cause) -> Book:
    """A book whose sound panel has the cause in it."""
    changed = Book(book.wiring)
    changed.sound = lambda situation: changed.played(cause, situation)  # type: ignore[method-assign,assignment,return-value]
    return changed


def _between(
    book: Book, between: tuple[str, str], situations: Sequence[Situation], meter: Meter, cause: Cause
) -> Table:
    a, b = (named_place(book.circuit, word) for word in between)
    lines, values = [f"{a} to {b}, {meter.says}:"], []
    for situation in situations:
        played = book.sound(situation) if cause is SOUND else book.played(cause, situation)
        try:
            found = shown(with_stray(played.state, book.wiring), a, b, meter) if played else None
        except UnknownPlace as reason:
            raise Unclear(f"{reason}: no conductor lands there") from reason
        if found is None:
            raise Unclear(f"{cause.words} cannot be put in")
        lines.append(f"  {situation.name:24} {found.text:>14}" + (f"   {found.mind}" if found.mind else ""))
        values.append({"situation": situation.name, **shown_values(found)})
    return Table("\n".join([*lines, CAUTION]), {"from": a, "to": b, "meter": meter.name, "readings": values})


def walk_lines(walk: Walk) -> Iterator[str]:
    """One rung as a table."""
    yield f"{walk.title}   other lead parked at {walk.parked}"
    heads = ("terminal", "wire", "place", *(s.name for s in walk.situations))
    rows = [(line.terminal, line.wire, line.place, *(one.text for one in line.shown)) for line in walk.lines]
    widths = [max(len(head), *(len(row[n]) for row in rows)) for n, head in enumerate(heads)]
    more = "   if instead" if any(line.faulty for line in walk.lines) else ""
    yield "  " + "  ".join(h.ljust(w) for h, w in zip(heads, widths, strict=True)) + more
    for line, row in zip(walk.lines, rows, strict=True):
        told = "  ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True))
        first, *others = list(_instead(walk, line)) or [""]
        yield f"  {told}   {first}".rstrip()
        yield from (f"  {'':{sum(widths) + 2 * (len(widths) - 1)}}   {other}" for other in others)
        minds = dict.fromkeys(one.mind for one in line.shown if one.mind)
        yield from (f"      mind at {line.terminal}: {mind}" for mind in minds)


def _instead(walk: Walk, line: Line) -> Iterator[str]:
    """The likeliest other readings of each situation; of those that several share, only the first is told."""
    told: set[tuple[str, ...]] = set()
    for situation in (*walk.situations[::-1],):
        new = [one for one in line.faulty if one.situation == situation and one.causes not in told]
        for one in new[:MOST_TOLD]:
            told.add(one.causes)
            where = f"{situation.name}, " if len(walk.situations) > 1 else ""
            more = f"; {len(one.causes) - MOST_CAUSES} more" if len(one.causes) > MOST_CAUSES else ""
            yield f"{where}{one.reading}: {'; '.join(one.causes[:MOST_CAUSES])}{more}"


def walk_values(walk: Walk) -> dict[str, Any]:
    """One rung for other programs."""
    return {
        "rung": walk.title,
        "parked": walk.parked,
        "terminals": [
            {
                "terminal": line.terminal, "wire": line.wire, "place": line.place,
                "readings": [{"situation": s.name, **shown_values(one)}
                             for s, one in zip(walk.situations, line.shown, strict=True)],
                "if_instead": [{"situation": one.situation.name, "reading": one.reading, "causes": one.causes}
                               for one in line.faulty],
            }
            for line in walk.lines
        ],
    }  # fmt: skip


def shown_values(one: Shown) -> dict[str, Any]:
    """One reading for other programs."""
    value = None if one.value is None else round(one.value, 6)
    return {"value": value, "unit": one.unit, "kind": one.kind, "text": one.text, "mind": one.mind}
