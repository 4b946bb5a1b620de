"""What a meter should read: between any two places, and along every rung in walking order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..circuit import Rung, Use, uses_in
from ..electrics import UnknownPlace
from .book import Book, Played
from .meters import Meter
from .places import place_of, return_for, wire_number
from .probing import Shown, shown
from .situations import REST, Situation
from .steps import Bench, Test
from .stray import with_stray
from .walks import walk_of

LEAST_USED = 0.5  # causes that are rarer in a panel that worked are not named


@dataclass(frozen=True, slots=True)
class Instead:
    """Another reading than the sound panel's, in one situation, and what would give it, the likeliest first."""

    situation: Situation
    reading: str
    causes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One terminal of a walk. `shown`: by situation, in the order of the table. `faulty`: what faults would give."""

    terminal: str
    wire: str
    place: str
    shown: tuple[Shown, ...]
    faulty: tuple[Instead, ...] = ()


@dataclass(frozen=True, slots=True)
class Walk:
    """One rung: where the other lead is parked, and its terminals in walking order."""

    title: str
    parked: str
    situations: tuple[Situation, ...]
    lines: tuple[Line, ...]


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
    """A table for each rung. `faulty`: with what each fault in the rung would make of each reading."""
    return tuple(_walk(book, rung, tuple(situations), meter, faulty) for rung in book.circuit.rungs if walk_of(rung))


def _walk(book: Book, rung: Rung, situations: tuple[Situation, ...], meter: Meter, faulty: bool) -> Walk:
    parked = return_for(book.circuit, rung.section)
    terminals = [t for t in walk_of(rung) if t in book.network.elements.node_of]
    tags = {use.device for use in uses_in(rung.body)}
    lines = []
    for terminal in terminals:
        row = tuple(shown(with_stray(book.sound(s).state, book.wiring), terminal, parked, meter) for s in situations)
        last_first = situations[::-1] if faulty else ()
        others = tuple(one for s in last_first for one in _faulty(book, terminal, parked, s, meter, tags))
        lines.append(Line(terminal, wire_number(book.wiring, terminal), place_of(book.circuit, terminal), row, others))
    return Walk(rung.text or _names(rung), parked, situations, tuple(lines))


def _names(rung: Rung) -> str:
    return ", ".join(dict.fromkeys(use.device for use in uses_in(rung.body) if isinstance(use, Use)))


def _faulty(book: Book, terminal: str, parked: str, situation: Situation, meter: Meter,
            tags: set[str]) -> Iterator[Instead]:  # fmt: skip
    """The readings that faults of the rung's own parts and wires would give, the likeliest first."""
    bench = Bench(book, meter)
    test = Test("ohms" if situation.is_dead else "volts", terminal, parked, situation, 1.0)
    sound = bench.outcome(test, _stray(book, book.sound(situation)))
    by_value: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for cause in book.causes:
        if cause.is_miswire or not set(cause.tags) & tags or not cause.faults or cause.used < LEAST_USED:
            continue
        played = book.played(cause, situation)
        try:
            outcome = bench.outcome(test, _stray(book, played)) if played else sound
        except UnknownPlace:
            continue
        if outcome != sound:
            by_value[outcome].append((cause.used, cause.words))
    for outcome, causes in sorted(by_value.items(), key=lambda item: -sum(weight for weight, _ in item[1])):
        yield Instead(situation, outcome, tuple(words for _, words in sorted(causes, reverse=True)))


def _stray(book: Book, played: Played) -> Played:
    """The same with the volts that long cables put on what hangs free."""
    state = with_stray(played.state, book.wiring)
    return played if state is played.state else Played(state, played.buzzing)
