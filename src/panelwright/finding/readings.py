"""What a meter should read: between any two places, and along every rung in walking order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from ..circuit import Rung, Use, uses_in
from ..electrics import UnknownPlace
from ..wiring import Wiring
from .book import Book
from .evidence import expected_value
from .meters import Meter
from .places import place_of, return_for, wire_number
from .probing import Shown, shown, volts_text
from .situations import REST, Situation
from .steps import Bench, Test
from .walks import walk_of

MOST_FAULTY = 2  # other values named beside a reading
MOST_CAUSES = 2


@dataclass(frozen=True, slots=True)
class Line:
    """One terminal of a walk. `shown`: by situation, in the order of the table. `faulty`: other values, and why."""

    terminal: str
    wire: str
    place: str
    shown: tuple[Shown, ...]
    faulty: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Walk:
    """One rung: where the other lead is parked, and its terminals in walking order."""

    title: str
    parked: str
    situations: tuple[Situation, ...]
    lines: tuple[Line, ...]


def reading_between(
    wiring: Wiring, a: str, b: str, situation: Situation, meter: Meter, book: Book | None = None
) -> Shown:
    """What a meter shows between two places of the sound panel. Raises UnknownPlace."""
    return shown((book or Book(wiring)).sound(situation).state, a, b, meter)


def usual_columns(book: Book) -> tuple[Situation, ...]:
    """The situations of a table when none is asked for: at rest, then what is held or on, few."""
    wanted = [s for s in book.situations if len(s.steps) <= 1 or s.name == "running"]
    loads: set[tuple[str, ...]] = set()
    found = []
    for situation in wanted:
        state = book.sound(situation).state
        look = tuple(
            str(state.solution.verdict(e)) for e, (_, p) in state.circuit.elements.items() if hasattr(p, "drives")
        )
        if look not in loads:
            loads.add(look)
            found.append(situation)
    return tuple(found[:3]) or (REST,)


def walks(book: Book, situations: Sequence[Situation], meter: Meter, faulty: bool = True) -> tuple[Walk, ...]:
    """A table for each rung. `faulty`: with what faults in the rung would make of the last situation's reading."""
    return tuple(_walk(book, rung, tuple(situations), meter, faulty) for rung in book.circuit.rungs if walk_of(rung))


def _walk(book: Book, rung: Rung, situations: tuple[Situation, ...], meter: Meter, faulty: bool) -> Walk:
    parked = return_for(book.circuit, rung.section)
    terminals = [t for t in walk_of(rung) if t in book.network.elements.node_of]
    tags = {use.device for use in uses_in(rung.body)}
    lines = []
    for terminal in terminals:
        row = tuple(shown(book.sound(s).state, terminal, parked, meter) for s in situations)
        others = _faulty(book, terminal, parked, situations[-1], meter, tags) if faulty else ()
        lines.append(Line(terminal, wire_number(book.wiring, terminal), place_of(book.circuit, terminal), row, others))
    return Walk(rung.text or _names(rung), parked, situations, tuple(lines))


def _names(rung: Rung) -> str:
    return ", ".join(dict.fromkeys(use.device for use in uses_in(rung.body) if isinstance(use, Use)))


def _faulty(book: Book, terminal: str, parked: str, situation: Situation, meter: Meter,
            tags: set[str]) -> tuple[tuple[str, str], ...]:  # fmt: skip
    """The values that faults of the rung's own parts and wires would give, with the likeliest cause of each."""
    bench = Bench(book, meter)
    test = Test("ohms" if situation.is_dead else "volts", terminal, parked, situation, 1.0)
    sound = bench.outcome(test, book.sound(situation))
    by_value: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for cause in book.causes:
        if cause.is_miswire or not set(cause.tags) & tags or not cause.faults or cause.used < 0.5:
            continue
        played = book.played(cause, situation)
        try:
            outcome = bench.outcome(test, played) if played else sound
        except UnknownPlace:
            continue
        if outcome != sound:
            by_value[outcome].append((cause.used, cause.words))
    found = []
    for outcome, causes in sorted(by_value.items(), key=lambda item: -sum(w for w, _ in item[1]))[:MOST_FAULTY]:
        causes.sort(reverse=True)
        more = f"; {len(causes) - MOST_CAUSES} more" if len(causes) > MOST_CAUSES else ""
        found.append((outcome, "; ".join(words for _, words in causes[:MOST_CAUSES]) + more))
    return tuple(found)


def expected_text(book: Book, a: str, b: str, situation: Situation, meter: Meter) -> str:
    """A reading of the sound panel in short."""
    value = expected_value(book.sound(situation), a, b, "V", meter)
    return volts_text(value or 0.0)
