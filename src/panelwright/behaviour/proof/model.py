"""A transition system over gates: bits, what each becomes in one step, and which choices are free."""

from __future__ import annotations

from dataclasses import dataclass, field

from ...electrics.gates import FALSE, GateBuilder


@dataclass(frozen=True, slots=True)
class Bit:
    """One bit of the state. `now` and `next` are literals; `start`: its value at the start, None either.

    `tag`: device, or "" for a monitor. `input`: changed from outside.
    """

    name: str
    now: int
    next: int
    start: bool | None
    tag: str = ""
    input: bool = False


@dataclass
class Move:
    """How one coil device stands against what it is fed: literals for "wants to move" and its contacts."""

    tag: str
    restless: int  # some part of it wants to move at once
    pending: int = FALSE  # a time is running


@dataclass
class Model:
    """A transition system over gates. `choices`: literals that are free in every step.

    `always`: literals that hold in every state; `steps`: literals over state and choices that hold in every step.
    """

    gates: GateBuilder
    bits: list[Bit] = field(default_factory=list)
    choices: list[int] = field(default_factory=list)
    always: list[int] = field(default_factory=list)
    steps: list[int] = field(default_factory=list)
    moves: list[Move] = field(default_factory=list)
    begun: list[tuple[str, int]] = field(default_factory=list)  # tag, "somebody begins to change this input"

    def choice(self, name: str) -> int:
        """A fresh free literal."""
        literal = self.gates.input(f"?{name}")
        self.choices.append(literal)
        return literal

    def if_(self, condition: int, then: int, otherwise: int) -> int:
        """Literal of: then where the condition holds, otherwise elsewhere."""
        g = self.gates
        return g.or_(g.and_(condition, then), g.and_(condition ^ 1, otherwise))

    def differ(self, a: int, b: int) -> int:
        """Literal of a not b, or b not a."""
        return self.if_(a, b ^ 1, b)

    def monitor(self, name: str, next_of: int | None = None, start: bool = False) -> int:
        """A bit of its own; with `next_of` it holds what that literal was in the state before."""
        now = self.gates.input(f"!{name}")
        if next_of is not None:
            self.bits.append(Bit(name, now, next_of, start))
        return now

    def remember(self, name: str, now: int, next_: int, start: bool = False) -> None:
        """Say what a bit from `monitor` becomes."""
        self.bits.append(Bit(name, now, next_, start))
