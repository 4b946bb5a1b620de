"""Something that goes to and fro without end."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from .engine import Engine
from .stands import Stand

MOST_MOVES = 40  # of one device in one burst; beyond it buzzes, even when its cycle never repeats exactly
Signature = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Buzz:
    """A cycle without end.

    `tags`: devices that move in it. `start`, `period_s`: its first round; a period of 0 means no even beat.
    """

    tags: frozenset[str]
    start: float
    period_s: float

    def __str__(self) -> str:
        names = ", ".join(sorted(self.tags))
        if not self.period_s:
            return f"{names}: to and fro without an even beat"
        return f"{names}: to and fro every {self.period_s * 1000:.3g} ms"


@dataclass
class Burst:
    """The movements since the last moment of rest: finds the moment at which they repeat.

    `stands`: those of all devices at the beginning, kept up to date.
    """

    stands: dict[str, Stand]
    moves: Counter[str] = field(default_factory=Counter)
    known: dict[Signature, tuple[float, Counter[str]]] = field(default_factory=dict)

    def copy(self) -> Burst:
        """A burst of its own."""
        return Burst(dict(self.stands), Counter(self.moves), dict(self.known))

    def renew(self) -> None:
        """Something was done: what was seen before does not count as a repetition."""
        self.known.clear()

    def note(self, engine: Engine) -> None:
        """Count who has moved since the last look."""
        for tag in engine.touched:
            stand = engine.stands[tag]
            if _shape(self.stands[tag]) != _shape(stand):
                self.moves[tag] += 1
            self.stands[tag] = stand
        engine.touched.clear()

    def seen(self, engine: Engine) -> Buzz | None:
        """Take in what the engine shows now; the cycle if this has been seen before."""
        self.note(engine)
        signature = self._signature(engine)
        if signature in self.known:
            start, moves = self.known[signature]
            moving = self.moves - moves
            if moving:
                return Buzz(frozenset(moving), start, engine.now - start)
        elif self.moves:
            self.known[signature] = engine.now, Counter(self.moves)
        busiest = self.moves.most_common(1)
        if busiest and busiest[0][1] > MOST_MOVES:
            often = frozenset(tag for tag, count in self.moves.items() if count > MOST_MOVES // 2)
            return Buzz(often, engine.now, 0.0)
        return None

    def _signature(self, engine: Engine) -> Signature:
        shapes = tuple((tag, *_shape(engine.stands[tag])) for tag in sorted(self.moves))
        entries = engine.agenda.entries()
        pending = sorted(
            (tag, key, round((due - engine.now) * 1e6)) for due, tag, key in entries if engine.is_quick(due, tag, key)
        )
        return (shapes, tuple(pending), frozenset(engine.blown))


def _shape(stand: Stand) -> tuple[object, ...]:
    return (stand.plain.at, stand.plain.toward, stand.timed.at, stand.pulled, stand.fed)
