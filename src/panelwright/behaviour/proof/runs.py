"""Many runs side by side, drawn by lot: to see quickly that something does come about.

What is seen here has a course of real steps behind it. What is not seen says nothing; only a proof does.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ...electrics.gates import Gates
from .clauses import Step

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

LANES = 1024
WORDS = LANES // 64
PHASES = 4
DENSITIES = (0.02, 0.1, 0.3, 0.5, 0.8, 1.0)  # parts of the inputs that are operated, one for a lane
SAFETY = 0.003  # part of those with nothing but break contacts: stops, limits and trips hold a panel dead
MOST_S = 2.0


class Runs:
    """Runs of one model from rest, the inputs held for a while and then held otherwise."""

    def __init__(self, step: Step, seed: int = 1) -> None:
        import numpy as np

        self.step = step
        self.rng = np.random.default_rng(seed)
        self.gates = Gates.of(step.gates)
        self.row_of = {node: row for row, node in enumerate(self.gates.input_nodes)}
        self.density = self.rng.choice(DENSITIES, LANES)
        self.rows = np.zeros((len(self.gates.inputs), WORDS), dtype=np.uint64)
        self.bit_rows = np.array([self.row_of[bit.now >> 1] for bit in step.bits], dtype=np.intp)
        for bit, row in zip(step.bits, self.bit_rows, strict=True):
            at_rest = bit.name.endswith(":rest") or bit.name.startswith("supply:")
            if bit.start or (bit.start is None and at_rest):
                self.rows[row] = ~np.uint64(0)
        self.choices = self._choices()
        self.hands = [bit for bit in step.bits if bit.input and f"?change {bit.name}" in step.gates.inputs]
        self.hand_rows = self._rows("")
        self.rest_rows, self.change_rows, self.toward_rows = (self._rows(w) for w in (":rest", "?change ", "?toward "))

    def sees(self, literal: int, until: float) -> bool:
        """Whether a state or step in which the literal holds is met."""
        return any(words[0].any() for words in self.values([literal], until))

    def values(self, literals: list[int], until: float) -> Iterator[Words]:
        """Words of the literals, step after step, only in lanes in which all that is assumed holds."""
        import numpy as np

        wanted = [*literals, *self.step.demands, *(bit.next for bit in self.step.bits)]
        first_next = len(wanted) - len(self.step.bits)
        always = self.gates.words(self.rows, self.step.always) if self.step.always else self.rows[:0]
        alive = np.bitwise_and.reduce(always, axis=0, initial=~np.uint64(0)) | np.zeros(WORDS, np.uint64)
        self.gates.words(self.rows, wanted)  # the first call loads what is compiled
        stop = min(until, time.monotonic() + MOST_S)
        for _ in range(PHASES):
            targets = self._targets()
            for _ in range(2 * len(self.step.bits) + 10):
                if time.monotonic() > stop or not alive.any():
                    return
                self._choose(targets)
                found = self.gates.words(self.rows, wanted)
                allowed = alive & np.bitwise_and.reduce(
                    found[len(literals) : first_next], axis=0, initial=~np.uint64(0)
                )
                yield found[: len(literals)] & allowed
                before = self.rows[self.bit_rows]
                after = (found[first_next:] & allowed) | (before & ~allowed)
                self.rows[self.bit_rows] = after
                if (before == after).all():
                    break  # everything has come to rest

    def _drawn(self, chance: float | NDArray[np.float64]) -> Words:
        """A word for 64 lanes, each bit set with its chance."""
        import numpy as np

        return np.packbits(self.rng.random(LANES) < chance, bitorder="little").view(np.uint64)

    def _choices(self) -> dict[str, list[tuple[int, str]]]:
        """The rows of the choices and what they belong to, by kind ("move", "change" ...)."""
        found: dict[str, list[tuple[int, str]]] = {}
        for row, name in enumerate(self.gates.inputs):
            if name.startswith("?"):
                kind, _, of = name[1:].partition(" ")
                found.setdefault(kind, []).append((row, of))
        return found

    def _rows(self, word: str) -> Any:
        """The rows of an input that belongs to each bit that is moved from outside; -1 where there is none."""
        import numpy as np

        names = [f"{bit.name}{word}" if word.startswith(":") else f"{word}{bit.name}" for bit in self.hands]
        literals = [self.step.gates.inputs.get(name) for name in names]
        return np.array([-1 if one is None else self.row_of[one >> 1] for one in literals], dtype=np.intp)

    def _targets(self) -> Words:
        """Where each input goes in this phase: operated in the lanes of its row of words."""
        import numpy as np

        forms = self.step.cone.panel.forms
        rows: list[Words] = []
        for bit in self.hands:
            if bit.name.startswith("supply:"):
                rows.append(~self._drawn(SAFETY))
            else:
                rows.append(self._drawn(SAFETY if forms.get((bit.tag, "")) == {"nc"} else self.density))
        return np.array(rows, dtype=np.uint64).reshape(len(rows), WORDS)

    def _choose(self, targets: Words) -> None:
        """Set the choices of one step: inputs go where they should, what wants to move mostly does."""
        import numpy as np

        for kind, of_kind in self.choices.items():
            rows = [row for row, _ in of_kind]
            drawn = self.rng.integers(0, 1 << 64, (len(rows), WORDS), dtype=np.uint64)
            if kind == "move":
                for _ in range(2):  # seven of eight
                    drawn |= self.rng.integers(0, 1 << 64, (len(rows), WORDS), dtype=np.uint64)
            elif kind in ("up", "down"):
                for _ in range(4):
                    drawn &= self.rng.integers(0, 1 << 64, (len(rows), WORDS), dtype=np.uint64)
            self.rows[rows] = drawn
        operated = self.rows[self.hand_rows]
        rest = np.where(self.rest_rows[:, None] < 0, ~operated, self.rows[self.rest_rows])
        self.rows[self.change_rows] = (targets & ~operated) | (~targets & ~rest)  # not yet where it goes
        self.rows[self.toward_rows[self.toward_rows >= 0]] = targets[self.toward_rows >= 0]
