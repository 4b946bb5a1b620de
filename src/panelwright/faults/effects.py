"""What becomes of every promise with every single fault, and how much it matters."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from ..behaviour.proof.asking import atoms_of
from ..behaviour.proof.panel import Panel
from ..behaviour.proof.proving import Proof
from ..behaviour.typed import typed_trial
from ..circuit import Circuit, Is, Sentence
from ..wiring import Wiring
from .alike import key_of
from .broken_panel import BrokenPanel
from .fault_list import CircuitFault
from .proving import Prover
from .signatures import signature
from .walk import Glimpse, OperatorWalk

Outcome = Literal["kept", "broken", "not decided", "not asked"]
Weight = Literal["stop", "start", "light", "short"]
FaultClass = Literal["dangerous", "hidden", "not decided", "safe", "shown", "harmless"]
CLASSES: tuple[FaultClass, ...] = (
    "dangerous", "hidden", "not decided", "safe", "shown", "harmless",
)  # by danger, most first  # fmt: skip
SECONDS = 3.0  # for one promise with one fault
REST = ("out", "stopped", "off", "dark", "silent")
MOST_TOLD, LAST_TOLD = 24, 4  # sentences of a story
AT_ONCE = "Before anything is touched."
SHORT = Sentence("no short circuit", "no short circuit")


@dataclass(frozen=True, slots=True)
class Column:
    """A promise of the table. `weight`: what it means when it breaks: a motion does not "stop", it does not "start"
    or stay on, only a "light" or sound is wrong, a supply is "short". `asked`: the sound panel keeps it.
    """

    promise: Sentence
    weight: Weight
    asked: bool


@dataclass(frozen=True, slots=True)
class Cell:
    """One promise with one fault. `story`: how it breaks, in words; `why`: why it is not decided.

    `trial`: the same as a trial of the panel file, which fails; "" where none was found that does.
    """

    outcome: Outcome
    story: tuple[str, ...] = ()
    why: str = ""
    trial: str = ""


@dataclass(frozen=True, slots=True)
class Effect:
    """One fault: a cell for each column, its class, and what the operator sees in a walk through the panel."""

    fault: CircuitFault
    cells: tuple[Cell, ...]
    danger: FaultClass
    glimpse: Glimpse | None

    @property
    def verdict(self) -> str:
        """The class in words, with whether anything shows it."""
        if self.danger == "dangerous":
            return "dangerous, seen" if self.glimpse else "dangerous, hidden"
        return "safe side" if self.danger == "safe" else self.danger


@dataclass(frozen=True)
class EffectTable:
    """All faults against all promises, the most dangerous first. `named`: the promises of the file that name faults."""

    circuit: Circuit
    columns: tuple[Column, ...]
    effects: tuple[Effect, ...]
    named: tuple[Proof, ...] = ()

    def count(self, danger: FaultClass) -> int:
        """How many faults are of a class."""
        return sum(effect.danger == danger for effect in self.effects)


class EffectMaker:
    """Works out effects of one wiring; what was proved for one fault serves every other that is alike."""

    def __init__(self, wiring: Wiring, seconds: float = SECONDS) -> None:
        self.prover = Prover(wiring, seconds)
        self.bench = self.prover.bench
        self.seconds = seconds
        self.walk = OperatorWalk(self.bench.network)
        self.columns = tuple(self._columns())

    def _columns(self) -> Iterator[Column]:
        circuit, panel = self.bench.circuit, self.bench.sound
        for promise in (*promises_of(circuit), SHORT):
            proof = self.prover.once(panel, promise, self.seconds)
            yield Column(promise, weight_of(circuit, panel, promise), proof.outcome == "kept")

    def effect(self, fault: CircuitFault) -> Effect:
        """What one fault does."""
        broken = self.bench.broken(fault.fault)
        cells = tuple(self.asked(column, broken) for column in self.columns)
        if all(cell.outcome != "broken" for cell in cells) and self._changes_nothing(broken):
            return Effect(fault, cells, "harmless", None)
        glimpse = self.walk.glimpse(fault.fault)
        return Effect(fault, cells, class_of(self.columns, cells, glimpse), glimpse)

    def _changes_nothing(self, broken: BrokenPanel) -> bool:
        """Whether the panel does the same in every position: two ends of one contact exchanged."""
        same = signature(self.bench.sound, SHORT)[0]
        return bool(broken.panels) and all(signature(panel, SHORT)[0] == same for panel in broken.panels)

    def named(self) -> tuple[Proof, ...]:
        """The promises of the file that name faults."""
        return tuple(self.prover.answer(promise) for promise in self.bench.circuit.promises if promise.faults)

    def asked(self, column: Column, broken: BrokenPanel) -> Cell:
        """One promise on a broken panel."""
        if not column.asked:
            return Cell("not asked", why="the panel does not keep it even without a fault")
        if broken.why_open:
            return Cell("not decided", why=broken.why_open)
        proof = self.prover.tried(self.prover.on(broken, column.promise, self.seconds))
        at_once = (AT_ONCE,) if proof.outcome == "broken" else ()
        trial = typed_trial(proof.trial) if proof.trial and proof.fails else ""
        return Cell(proof.outcome, tuple(_in_short(proof.story)) or at_once, proof.reason, trial)


def _in_short(story: Sequence[str]) -> Iterator[str]:
    """A story with its middle left out, where something goes to and fro for long."""
    if len(story) <= MOST_TOLD:
        yield from story
        return
    left_out = len(story) - MOST_TOLD
    yield from (*story[: MOST_TOLD - LAST_TOLD], f"... {left_out} more like these ...", *story[-LAST_TOLD:])


def promises_of(circuit: Circuit) -> tuple[Sentence, ...]:
    """The promises that are asked with faults: as written, but each without the fault that it may speak of."""
    plain = [p for p in circuit.promises if p.form != "waive" and not p.faults and (p.one_fault or not p.not_kept)]
    bare = (replace(p, one_fault=False, not_kept=False, text=_bare(p.text)) for p in plain)
    return tuple({p.text: p for p in bare}.values())


def _bare(text: str) -> str:
    return text.removeprefix("not kept:").removesuffix("even with one fault").strip()


def weight_of(circuit: Circuit, panel: Panel, promise: Sentence) -> Weight:
    """What it means when a promise breaks."""
    if promise.form == "no short circuit":
        return "short"
    speaks = [*promise.states, *(atoms_of(promise) if not promise.states else ())]
    moving = [state for state in speaks if _moves(circuit, state)]
    if promise.subject or promise.form in ("nothing starts", "everything rests after"):
        return "stop"
    if not moving:
        return "light"
    if promise.form in (
        "when",
        "at least once when",
        "after",
        "stays after",
        "stays until",
        "again when power returns",
    ):
        return "stop" if any(_is_rest(state) for state in moving) else "start"
    if promise.form in ("only while", "exactly while") and all(_is_rest(state) for state in moving):
        return "start"
    return "start" if promise.form == "stays at least" else "stop"


def _is_rest(state: Is) -> bool:
    word = state.state.removeprefix("not ")
    return (word in REST) != state.state.startswith("not ")


def _moves(circuit: Circuit, state: Is) -> bool:
    """Whether a state is about something that a coil or a motor moves."""
    device = circuit.by_tag.get(state.subject)
    if device is None:
        return False
    driven = any(load.drives or load.sort == "solenoid" for load in device.loads)
    return bool(device.motors) or driven


def class_of(columns: Sequence[Column], cells: Sequence[Cell], glimpse: Glimpse | None) -> FaultClass:
    """How much a fault matters: see `docs/why/faults.md`."""
    broken = {column.weight for column, cell in zip(columns, cells, strict=True) if cell.outcome == "broken"}
    if "stop" in broken:
        return "dangerous"
    if any(cell.outcome == "not decided" for cell in cells):
        return "not decided"
    if broken:
        return "safe"
    return "shown" if glimpse else "hidden"


def cells_of(table: EffectTable, promise: Sentence) -> list[tuple[Effect, Cell]]:
    """The cells of every fault that answer a promise made `even with one fault`; none for other promises."""
    index = next((at for at, c in enumerate(table.columns) if key_of(c.promise) == key_of(promise)), None)
    if index is None or not promise.one_fault:
        return []
    return [(effect, effect.cells[index]) for effect in table.effects]


def effects(wiring: Wiring, faults: Iterable[CircuitFault], seconds: float = SECONDS) -> Iterator[Effect]:
    """Effects one after the other, in the order given."""
    maker = EffectMaker(wiring, seconds)
    for fault in faults:
        yield maker.effect(fault)


def by_danger(found: Iterable[Effect]) -> tuple[Effect, ...]:
    """The most dangerous first; among equals the hidden ones, then those that break the most."""

    def key(effect: Effect) -> tuple[int, bool, int]:
        breaks = sum(cell.outcome == "broken" for cell in effect.cells)
        return CLASSES.index(effect.danger), effect.glimpse is not None, -breaks

    return tuple(sorted(found, key=key))


__all__ = ["CLASSES", "Cell", "Column", "Effect", "EffectMaker", "EffectTable", "by_danger", "cells_of", "effects"]
