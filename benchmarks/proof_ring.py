"""All exclusions of a ring of steps, against a decision diagram in pure Python and z3's engine for reachability.

All three get the same bits and gates of one step, compiled once beforehand, and answer the same question: is any pair
of steps that are not neighbours ever in together? Inputs are free at every step. The decision diagram (`dd.autoref`)
gets the order of the ring, a relation for each relay and early quantification; z3 (`Fixedpoint`, its Spacer engine)
one rule. Times are those of the processor. A reference that takes longer than the limit is stopped, in a process of its
own; the ratio is then a lower bound, and larger rings are not asked of it, nor rings of more than 20 steps of z3. The
answers are compared.
Run: `python3 -m benchmarks.proof_ring [LIMIT_SECONDS [STEPS ...]]`; needs `dd` beside what the tests need
(`pip install dd`).
"""

from __future__ import annotations

import multiprocessing
import resource
import signal
import sys
import time
from collections.abc import Callable
from itertools import combinations
from typing import Any

from panelwright.behaviour.proof.clauses import Step
from panelwright.behaviour.proof.cone import Cone
from panelwright.behaviour.proof.model import Bit
from panelwright.behaviour.proof.pairs import Exclusions
from panelwright.behaviour.proof.panel import Panel
from panelwright.electrics import Network

from .families import ring

SIZES = (4, 6, 8, 10, 12, 14, 16, 20, 30, 40, 60, 80, 100, 150, 200)
LARGEST_FOR_Z3 = 20
LIMIT_S = 600.0
DEEP = 100_000  # diagrams are walked by recursion, as deep as they have variables


def question(steps: int) -> Step:
    """One step of the ring, and that two which are not neighbours are in together."""
    circuit = ring(steps)
    panel = Panel(Network(circuit))
    cone = Cone(panel, {device.tag for device in circuit.devices})
    gates = cone.model.gates
    far = [(a, b) for a, b in combinations(range(1, steps + 1), 2) if (b - a) % steps not in (1, steps - 1)]
    bad = gates.any_of(gates.and_(cone.operated(f"K{a}"), cone.operated(f"K{b}")) for a, b in far)
    return Step(cone, bad)


def ours(step: Step) -> bool:
    """Every pair at once."""
    return Exclusions(step).exclude(time.monotonic() + 600)


def tag_of(bit: Bit) -> str:
    """The relay that a bit belongs to, also one that remembers something about it ("K1 ...")."""
    return bit.tag or bit.name.partition(" ")[0].partition(":")[0]


def relays_of(step: Step) -> list[str]:
    """The relays in the order of the ring."""
    return sorted({tag_of(bit) for bit in step.bits if not bit.input}, key=lambda tag: int(tag[1:]))


class Diagram:
    """The reachable states as a decision diagram."""

    def __init__(self, step: Step) -> None:
        from dd.autoref import BDD

        self.step, self.bdd = step, BDD()
        self.bdd.configure(reordering=False)
        self.name_of = {bit.now >> 1: bit.name for bit in step.bits}
        self.moving = [bit for bit in step.bits if not bit.input]
        self.declare()
        self.image: dict[int, Any] = {0: self.bdd.false}

    def declare(self) -> None:
        """Each relay's bits beside its own switch, now and next side by side."""
        names = {literal >> 1: name for name, literal in self.step.gates.inputs.items()}
        self.free = {node: names[node] for node in self.step.choices}
        for tag in relays_of(self.step):
            own = [bit.name for bit in self.moving if tag_of(bit) == tag]
            both = (name + mark for name in own for mark in ("", "'"))
            self.bdd.declare(*both, *self.own_choices(tag), f"S{tag[1:]}")
        rest = [bit.name for bit in self.step.bits if bit.input] + list(self.free.values())
        self.bdd.declare(*(name for name in rest if name not in self.bdd.vars))

    def own_choices(self, tag: str) -> list[str]:
        """What the relay is free in."""
        return [name for name in self.free.values() if name.split()[-1] == tag]

    def of(self, literal: int) -> Any:
        """A literal as a diagram, what it is made of first."""
        waiting = [literal >> 1]
        while waiting:
            node = waiting[-1]
            missing = [one >> 1 for one in self.sides(node) if one >> 1 not in self.image]
            if missing and node not in self.image:
                waiting += missing
                continue
            waiting.pop()
            if node not in self.image:
                self.image[node] = self.made(node)
        return self.signed(literal)

    def sides(self, node: int) -> tuple[int, ...]:
        """What a gate is made of."""
        is_gate = node and node not in self.name_of and node not in self.free
        return (self.step.gates.left[node], self.step.gates.right[node]) if is_gate else ()

    def made(self, node: int) -> Any:
        """One node, with what it is made of at hand."""
        if sides := self.sides(node):
            return self.signed(sides[0]) & self.signed(sides[1])
        return self.bdd.var(self.name_of.get(node) or self.free[node])

    def signed(self, literal: int) -> Any:
        """A literal whose node is at hand."""
        found = self.image[literal >> 1]
        return ~found if literal & 1 else found

    def relations(self) -> list[Any]:
        """What each relay may become, its own switch and choice left out already."""
        found = []
        for tag in relays_of(self.step):
            relation = self.bdd.true
            for bit in self.moving:
                if tag_of(bit) == tag:
                    relation &= self.bdd.apply("equiv", self.bdd.var(bit.name + "'"), self.of(bit.next))
            own = {f"S{tag[1:]}", *self.own_choices(tag)}
            found.append(self.bdd.exist(own & set(self.bdd.support(relation)), relation))
        return found

    def never_bad(self) -> bool:
        """Whether no reachable state is bad."""
        relations = self.relations()
        now = {bit.name for bit in self.moving}
        others = {name for relation in relations for name in self.bdd.support(relation)} - now
        others -= {name + "'" for name in now}
        back = {name + "'": name for name in now}
        reached = front = self._start()
        while front != self.bdd.false:
            after = front
            for at, relation in enumerate(relations):
                later = {name for other in relations[at + 1 :] for name in self.bdd.support(other)}
                after = self.bdd.exist((now | others) - later, after & relation)
            after = self.bdd.let(back, after)
            front = after & ~reached
            reached |= front
        return (reached & self.of(self.step.bad)) == self.bdd.false

    def _start(self) -> Any:
        found = self.bdd.true
        for bit in self.moving:
            found &= self.bdd.var(bit.name) if bit.start else ~self.bdd.var(bit.name)
        return found


def diagram(step: Step) -> bool:
    """All reachable states in pure Python."""
    return Diagram(step).never_bad()


def horn(step: Step) -> bool:
    """z3: one relation over the bits of the relays, and whether it ever holds in a bad state."""
    import z3

    gates, names = step.gates, {literal >> 1: name for name, literal in step.gates.inputs.items()}
    moving = [bit for bit in step.bits if not bit.input]
    image: dict[int, Any] = {0: z3.BoolVal(False)}

    def of(literal: int) -> Any:
        node = literal >> 1
        if node not in image:
            is_input = gates.left[node] < 0
            image[node] = z3.Bool(names[node]) if is_input else z3.And(of(gates.left[node]), of(gates.right[node]))
        return z3.Not(image[node]) if literal & 1 else image[node]

    fixed = z3.Fixedpoint()
    fixed.set(engine="spacer")
    reached = z3.Function("reached", *([z3.BoolSort()] * len(moving)), z3.BoolSort())
    broken = z3.Function("broken", z3.BoolSort())
    fixed.register_relation(reached, broken)
    variables = [z3.Bool(names[node]) for node in step.nodes if gates.left[node] < 0]
    fixed.declare_var(*variables)
    now = [of(bit.now) for bit in moving]
    fixed.rule(reached(*(z3.BoolVal(bool(bit.start)) for bit in moving)))
    fixed.rule(reached(*(of(bit.next) for bit in moving)), [reached(*now)])
    fixed.rule(broken(), [reached(*now), of(step.bad)])
    return fixed.query(broken()) == z3.unsat


def _timed(method: Callable[[Step], bool], steps: int, limit: float, answers: Any) -> None:
    step = question(steps)
    begun = time.process_time()
    seconds = int(begun + limit) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    answer = method(step)
    answers.put((answer, time.process_time() - begun))


def measured(method: Callable[[Step], bool], steps: int, limit: float) -> tuple[bool | None, float]:
    """The answer and the processor seconds, None when the process is stopped at the limit."""
    answers: Any = multiprocessing.Queue()
    process = multiprocessing.Process(target=_timed, args=(method, steps, limit, answers))
    process.start()
    while process.is_alive() and answers.empty():
        process.join(0.1)
    process.join(1.0)
    if not answers.empty():
        found: tuple[bool, float] = answers.get()
        return found
    if process.exitcode not in (-signal.SIGXCPU, -signal.SIGKILL):
        raise RuntimeError(f"{method.__name__} failed at {steps} steps")
    return None, limit


def compared(steps: int, limit: float, given_up: set[str]) -> str:
    """One line of the table. `given_up`: methods that were stopped at a smaller size, and are not asked again."""
    step = question(steps)
    begun = time.process_time()
    answer = ours(step)
    mine = time.process_time() - begun
    columns, answers = [], {answer}
    for name, method in (("diagram", diagram), ("z3", horn)):
        if name in given_up or (name == "z3" and steps > LARGEST_FOR_Z3):
            columns.append(f"{'-':>9} {'-':>8}")
            continue
        theirs, seconds = measured(method, steps, limit)
        if theirs is None:
            given_up.add(name)
        answers.add(answer if theirs is None else theirs)
        more = ">" if theirs is None else " "
        columns.append(f"{more}{seconds:8.2f} {more}{seconds / mine:6,.0f}x")
    agree = "agree" if len(answers) == 1 else "DIFFER"
    return f"{steps:5} {mine:8.4f} {' '.join(columns)}   {'kept' if answer else 'open'}, {agree}"


def main() -> None:
    """Print the table."""
    limit, *sizes = [float(one) for one in sys.argv[1:]] or [LIMIT_S]
    sys.setrecursionlimit(DEEP)
    for _ in range(2):
        ours(question(4))  # what is compiled at the first call is loaded
    print(f"{'steps':>5} {'ours s':>8} {'diagram s':>9} {'ratio':>8} {'z3 s':>9} {'ratio':>8}   answers")
    given_up: set[str] = set()
    for steps in [int(size) for size in sizes] or SIZES:
        print(compared(steps, limit, given_up), flush=True)


if __name__ == "__main__":
    main()
