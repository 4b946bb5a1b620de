"""The same question put to a general solver: some steps laid out one after the other, times as real numbers."""

from __future__ import annotations

from typing import Any

import z3

from panelwright.behaviour.proof.in_time.clocks import Clock
from panelwright.behaviour.proof.in_time.walk import TimedWalk


class Unrolled:
    """Frames of a walk's model in z3: each is a state, then some time goes by, then one step is taken."""

    def __init__(self, walk: TimedWalk) -> None:
        self.walk, self.step = walk, walk.steps.step
        self.gates = self.step.gates
        self.solver = z3.Solver()
        self.frames: list[dict[int, Any]] = []
        self.shows: list[dict[str, Any]] = []
        self.waits: list[Any] = []
        self.bits = walk.steps.bits

    def reach(self, steps: int) -> bool:
        """Whether something bad can be reached in exactly so many steps."""
        while len(self.frames) <= steps:
            self._add_frame()
        self.solver.push()
        self.solver.add(self._bad(steps))
        found = self.solver.check()
        self.solver.pop()
        assert found in (z3.sat, z3.unsat)
        return bool(found == z3.sat)

    def _literal(self, frame: int, literal: int, *, chosen: bool = False) -> Any:
        """A literal in a frame; `chosen`: with the choices of the step, otherwise with none."""
        node = literal >> 1
        table = self.frames[frame]
        key = -node - 1 if chosen else node
        if key not in table:
            left, right = self.gates.left[node], self.gates.right[node]
            if left < 0:
                table[key] = z3.BoolVal(False) if not chosen else z3.Bool(f"choice {node} in {frame}")
            else:
                table[key] = z3.And(
                    self._literal(frame, left, chosen=chosen), self._literal(frame, right, chosen=chosen)
                )
        return z3.Not(table[key]) if literal & 1 else table[key]

    def _add_frame(self) -> None:
        frame = len(self.frames)
        table: dict[int, Any] = {0: z3.BoolVal(False), -1: z3.BoolVal(False)}
        for bit in self.bits:
            table[bit.now >> 1] = table[-(bit.now >> 1) - 1] = z3.Bool(f"{bit.name} in {frame}")
        self.frames.append(table)
        self.shows.append({clock.name: z3.Real(f"{clock.name} in {frame}") for clock in self.walk.timing.clocks})
        self.waits.append(z3.Real(f"wait {frame}"))
        self.solver.add(self.waits[frame] >= 0, *(self._literal(frame, one) for one in self.step.always))
        if frame:
            self._add_step(frame - 1)
        else:
            self._add_start()
        for limit in self.walk.timing.limits:
            shown = self.shows[frame][limit.clock]
            within = z3.And(shown <= limit.most, shown + self.waits[frame] <= limit.most)
            self.solver.add(z3.Implies(self._literal(frame, limit.literal), within))

    def _add_start(self) -> None:
        for bit in self.bits:
            if bit.start is not None:
                self.solver.add(self._literal(0, bit.now) == bit.start)
        for clock in self.walk.timing.clocks:
            shown = self.shows[0][clock.name]
            self.solver.add(shown >= 0 if clock.at_start is None else shown == clock.at_start)

    def _add_step(self, before: int) -> None:
        after = before + 1
        for bit in self.bits:
            self.solver.add(self._literal(after, bit.now) == self._literal(before, bit.next, chosen=True))
        self.solver.add(*(self._literal(before, one, chosen=True) for one in self.step.steps))
        hands = [node for (hand, _), nodes in self.walk.steps._groups.items() if hand for node in nodes]
        others = [node for (hand, _), nodes in self.walk.steps._groups.items() if not hand for node in nodes]
        by_hand, by_itself = z3.Or(*self._chosen(before, hands)), z3.Or(*self._chosen(before, others))
        self.solver.add(z3.Not(z3.And(by_hand, by_itself)))
        for clock in self.walk.timing.clocks:
            self._add_clock(clock, before)
        for one in self.walk.timing.passes:
            taken = z3.And(self._literal(before, one.before), self._literal(after, one.after))
            if not one.clock:
                self.solver.add(z3.Not(taken))
                continue
            shown = self.shows[before][one.clock] + self.waits[before]
            most = [] if one.most is None else [shown <= one.most]
            self.solver.add(z3.Implies(taken, z3.And(shown >= one.least, *most)))

    def _chosen(self, frame: int, nodes: list[int]) -> list[Any]:
        return [self._literal(frame, 2 * node, chosen=True) for node in nodes]

    def _add_clock(self, clock: Clock, before: int) -> None:
        after = before + 1
        starts = z3.Or(*(z3.And(self._literal(after, one), z3.Not(self._literal(before, one))) for one in clock.since))
        shown = self.shows[after][clock.name]
        goes_on = z3.If(starts, shown == 0, shown == self.shows[before][clock.name] + self.waits[before])
        self.solver.add(shown >= 0, z3.Or(self._literal(before, clock.loose), goes_on))

    def _bad(self, frame: int) -> Any:
        late = []
        for one in self.walk.late:
            shown = self.shows[frame][one.clock]
            if one.less_than is not None:
                late.append(z3.And(self._literal(frame, one.literal), shown < one.less_than))
            if one.more_than is not None:
                late.append(z3.And(self._literal(frame, one.literal), shown + self.waits[frame] > one.more_than))
        return z3.Or(self._literal(frame, self.walk.bad), *late)
