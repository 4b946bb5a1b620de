"""The examples with their faults: every cell is answered, and the table says the same as the proofs.

That promises which speak of faults come out as their files say is tested with the others, in tests/proof.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

import panelwright as pw
from panelwright.faults import fault_list
from panelwright.faults.effects import Effect, EffectMaker, EffectTable, cells_of
from panelwright.faults.proving import Prover
from panelwright.faults.spread import effect_table

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").rglob("*.panel"))
SAMPLE = 4  # faults of each example in the ordinary tests


def _speaks_of_faults(path: Path) -> bool:
    return any(p.faults or p.one_fault for p in pw.read_file(path).circuit.promises)


WITH_FAULTS = [path for path in EXAMPLES if _speaks_of_faults(path)]
each_with_faults = pytest.mark.parametrize("path", WITH_FAULTS, ids=lambda path: path.stem)
each = pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)


@lru_cache(maxsize=1)
def table_of(path: Path) -> EffectTable:
    """The whole table of one example."""
    return effect_table(pw.wire(pw.read_file(path).circuit), cores=0)


@each
def test_a_sample_of_faults_is_answered(path: Path) -> None:
    """Every cell is an answer; what is not decided says why, what is broken says how, and fails as a trial."""
    text = path.read_text(encoding="utf-8")
    wiring = pw.wire(pw.read(text).circuit)
    maker, faults = EffectMaker(wiring, seconds=1.0), fault_list(wiring)
    for one in faults[:: len(faults) // SAMPLE + 1]:
        effect = maker.effect(one)

        assert len(maker.columns) == len(effect.cells), one.words
        assert [] == [cell for cell in effect.cells if cell.outcome == "not decided" and not cell.why], one.words
        assert [] == [cell for cell in effect.cells if cell.outcome == "broken" and not cell.story], one.words
        assert [] == [trial for trial in trials_of(effect) if not fails_in(text, trial)], one.words
        assert effect.danger != "harmless" or "broken" not in [cell.outcome for cell in effect.cells], one.words


def trials_of(effect: Effect) -> list[str]:
    """Trials that show how a fault breaks promises."""
    return [cell.trial for cell in effect.cells if cell.trial]


def fails_in(text: str, trial: str) -> bool:
    """Whether a trial put into a file is read, and fails there at something that it expects."""
    reading = pw.read(f"{text}\n{trial}\n")
    result = pw.try_trials(reading.circuit)[-1] if reading.ok else None
    return result is not None and any(failure.problem.code == "trial-failed" for failure in result.failures)


@pytest.mark.long
@each_with_faults
def test_the_table_says_what_the_proofs_say(path: Path) -> None:
    """`even with one fault` is a column of the table, read from top to bottom."""
    table = table_of(path)
    prover = Prover(pw.read_file(path).circuit)
    for promise in prover.bench.circuit.promises:
        cells = [cell.outcome for _, cell in cells_of(table, promise)]
        worst = next((word for word in ("broken", "not decided", "kept") if word in cells), None)

        assert worst in (None, prover.answer(promise).outcome), promise.text


@pytest.mark.long
@each
def test_every_fault_of_every_example_is_answered(path: Path) -> None:
    """The whole table, over all cores; most of it is decided."""
    table = table_of(path)
    undecided = table.count("not decided")

    assert len(fault_list(pw.wire(pw.read_file(path).circuit))) == len(table.effects)
    assert undecided <= 0.2 * len(table.effects), f"{undecided} of {len(table.effects)} not decided"


@pytest.mark.long
@each
def test_ways_to_break_a_promise_fail_as_trials(path: Path) -> None:
    """All but a few: where only a very slow device against a very quick one breaks it, no trial may be found."""
    broken = [cell for effect in table_of(path).effects for cell in effect.cells if cell.outcome == "broken"]
    untold = sum(not cell.trial for cell in broken)

    assert untold <= 0.05 * len(broken), f"{untold} of {len(broken)} without a trial"
