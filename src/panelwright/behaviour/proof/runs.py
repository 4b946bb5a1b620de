"""Many runs side by side, drawn by lot: to see quickly that something does come about.

What is seen here has a course of real steps behind it. What is not seen says nothing; only a proof does.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from .clauses import Step

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]
    Flags = NDArray[np.bool_]

LANES = 1024
WORDS = LANES // 64
PHASES = 4
DENSITIES = (0.02, 0.1, 0.3, 0.5, 0.8, 1.0)  # parts of the inputs that are operated, one for a lane
SAFETY = 0.003  # part of those with nothing but break contacts: stops, limits and trips hold a panel dead
MOST_S = 4.0


class Sides:
    """Literals over the bits of a step, each "away from rest" and false in the first state; the same after the step."""

    def __init__(self, step: Step) -> None:
        moving = [bit for bit in step.bits if bit.tag and not bit.input and bit.start is not None]
        self.now = [bit.now ^ bool(bit.start) for bit in moving]
        self.after = [bit.next ^ bool(bit.start) for bit in moving]
        self.tags = [bit.tag for bit in moving]

    @property
    def of_different_devices(self) -> Flags:
        """By two sides: they belong to two devices."""
        import numpy as np

        _, number = np.unique(np.array(self.tags), return_inverse=True)
        found: Flags = number[:, None] != number[None, :]
        return found


class Novelty:
    """Which runs show two sides together that none has shown before. `apart`: the pairs not shown yet."""

    def __init__(self, sides: Sides) -> None:
        self.apart = sides.of_different_devices
        self._before: Words | None = None

    def lanes(self, words: Words) -> Words:
        """The lanes that show something new, as words. `words`: lanes that show each side."""
        import numpy as np

        from .pair_loop import strike_met

        before = np.zeros_like(words) if self._before is None else self._before
        self._before = words
        found: Words = strike_met(self.apart, words, before)
        return found


class Runs:
    """Runs of one model from rest, the inputs held for a while and then held otherwise. The same seed runs alike."""

    def __init__(self, step: Step, seed: int = 1) -> None:
        import numpy as np

        self.step = step
        self.rng = np.random.default_rng(seed)
        self.seed = self.rng.integers(1, 1 << 64, 1, dtype=np.uint64)
        self.left, self.right = np.array(step.gates.left), np.array(step.gates.right)
        self.density = self.rng.choice(DENSITIES, LANES)
        self.value = np.zeros((len(self.left), WORDS), dtype=np.uint64)
        self.nows = np.array([bit.now >> 1 for bit in step.bits], dtype=np.int64)
        self.nexts = np.array([bit.next for bit in step.bits], dtype=np.int64)
        for bit in step.bits:
            at_rest = bit.name.endswith(":rest") or bit.name.startswith("supply:")
            if bit.start or (bit.start is None and at_rest):
                self.value[bit.now >> 1] = ~np.uint64(0)
        self.choices, self.often = self._choices()
        self.moved = [bit for bit in step.bits if bit.input and f"?change {bit.name}" in step.gates.inputs]
        self.favoured = np.zeros(WORDS, np.uint64)
        self.spreads: list[Words] = []
        self.hands = np.array([self._hand(bit.name) for bit in self.moved], dtype=np.int64).reshape(-1, 4)

    def sees(self, literal: int, until: float) -> bool:
        """Whether a state or step in which the literal holds is met."""
        sides = Sides(self.step)
        novelty = Novelty(sides)
        for words in self.values([*sides.now, literal], min(until, time.monotonic() + MOST_S)):
            if words[-1].any():
                return True
            self.favour(novelty.lanes(words[:-1]))
        return False

    def favour(self, lanes: Words) -> None:
        """Let these lanes go on in others too: from where something new was met, more of it may be near."""
        self.favoured = lanes

    def lanes_before(self, lane: int, steps: int) -> list[int]:
        """The lanes through which a run came that is in this one after so many steps, step by step."""
        found = []
        for into in reversed(self.spreads[:steps]):
            found.append(lane)
            for source, *words in reversed(into.tolist()):
                if words[lane // 64] >> lane % 64 & 1:
                    lane = source
                    break
        return [lane, *reversed(found)]

    def values(self, literals: Sequence[int], until: float) -> Iterator[Words]:
        """Words of the literals, step after step, only in lanes in which all that is assumed holds."""
        import numpy as np

        from .run_loop import advance, all_hold, choose, gates_below, spread, work_out

        wanted, demands = np.array(literals, np.int64), np.array(self.step.demands, np.int64)
        gates = gates_below(self.left, self.right, np.concatenate((wanted, demands, self.nexts)))
        flips = np.where(wanted & 1, ~np.uint64(0), np.uint64(0))[:, None]
        work_out(self.left, self.right, gates, self.value)
        alive = all_hold(self.value, np.array(self.step.always, np.int64), np.full(WORDS, ~np.uint64(0)))
        for _ in range(PHASES):
            targets = self._targets()
            for _ in range(2 * len(self.step.bits) + 10):
                if time.monotonic() > until or not alive.any():
                    return
                choose(self.value, self.choices, self.often, self.hands, targets, self.seed)
                work_out(self.left, self.right, gates, self.value)
                allowed = all_hold(self.value, demands, alive)
                yield (self.value[wanted >> 1] ^ flips) & allowed
                changed = advance(self.value, self.nows, self.nexts, allowed)
                self.spreads.append(spread(self.value, self.nows, targets, self.favoured & allowed, self.seed))
                self.favoured = np.zeros(WORDS, np.uint64)
                if not changed:
                    break  # everything has come to rest

    def _drawn(self, chance: float | NDArray[np.float64]) -> Words:
        """A word for 64 lanes, each bit set with its chance."""
        import numpy as np

        return np.packbits(self.rng.random(LANES) < chance, bitorder="little").view(np.uint64)

    def _choices(self) -> tuple[Any, Any]:
        """The nodes of the choices, and how often each is true."""
        import numpy as np

        from .run_loop import EVEN, OFTEN, SELDOM

        often_by_kind = {"move": OFTEN, "up": SELDOM, "down": SELDOM}
        chosen = [(name[1:], literal) for name, literal in self.step.gates.inputs.items() if name.startswith("?")]
        often = [often_by_kind.get(name.partition(" ")[0], EVEN) for name, _ in chosen]
        return np.array([literal >> 1 for _, literal in chosen], dtype=np.int64), np.array(often, dtype=np.int64)

    def _hand(self, name: str) -> tuple[int, ...]:
        """Nodes of an input that is moved from outside: operated, at rest, change, toward; -1 where there is none."""
        names = (name, f"{name}:rest", f"?change {name}", f"?toward {name}")
        return tuple(self.step.gates.inputs.get(one, -2) >> 1 for one in names)

    def _targets(self) -> Words:
        """Where each input goes in this phase: operated in the lanes of its row of words."""
        import numpy as np

        forms = self.step.cone.panel.forms
        rows: list[Words] = []
        for bit in self.moved:
            if bit.name.startswith("supply:"):
                rows.append(~self._drawn(SAFETY))
            else:
                rows.append(self._drawn(SAFETY if forms.get((bit.tag, "")) == {"nc"} else self.density))
        return np.array(rows, dtype=np.uint64).reshape(len(rows), WORDS)
