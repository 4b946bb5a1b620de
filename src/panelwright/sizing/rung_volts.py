"""Volts at every coil when it matters: while it pulls in, with all else that is on, through the wires of the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..circuit import Load
from ..electrics import Solution, working_volts
from .answers import Answer, Fitted, Working, amount
from .control_circuits import ControlCircuit, Together, figured
from .factors import factor

VOLTS = "volts at the coil"
NOTHING = 1e-4  # of the volts: not worth a word


@dataclass(frozen=True, slots=True)
class AtCoil:
    """The least volts that a coil gets at the moment it has to pull in, or to stay in."""

    element: str
    load: Load
    volts: float
    together: Together
    solution: Solution


def least_volts(circuit: ControlCircuit) -> tuple[AtCoil, ...]:
    """Every coil, valve and brake of the circuit at its least volts while it is to pull in; in file order."""
    found: dict[str, AtCoil] = {}
    for together, solution in circuit.solved:
        for element in (*together.pulling, *together.held):
            load = circuit.loads[element].load
            if load.sort not in ("coil", "solenoid"):
                continue
            if element in together.held and element in found and element in found[element].together.pulling:
                continue  # pulling in asks for more than holding
            volts = solution.load(element).acting_v
            before = found.get(element)
            pulls_now = element in together.pulling and element not in (before.together.pulling if before else ())
            if before is None or pulls_now or volts < before.volts:
                found[element] = AtCoil(element, load, volts, together, solution)
    return tuple(found[element] for element in circuit.loads if element in found)


def lost_in_runs(circuit: ControlCircuit, at: AtCoil) -> tuple[tuple[str, float], ...]:
    """The cables and long wires in which a coil loses volts, with the volts."""
    a, b = (f"{circuit.device.tag}.{mark}" for mark in circuit.source.terminals[:2])
    least = NOTHING * circuit.volts
    if at.volts > at.solution.volts(a, b).effective - least:
        return ()  # no long wire on its way
    lost = ((run, circuit.lost_in(run, at.element, at.together)) for run in circuit.runs)
    return tuple((run, volts) for run, volts in lost if volts > least)


def rung_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """One answer for each coil that long wires or too few volts make worth one; the others together."""
    near: list[AtCoil] = []
    for at in least_volts(circuit):
        runs = lost_in_runs(circuit, at)
        if runs or at.volts < working_volts(at.load)[0]:
            yield _answer(circuit, at, runs)
        else:
            near.append(at)
    if near:
        yield _together(circuit, near)


def _together(circuit: ControlCircuit, coils: list[AtCoil]) -> Answer:
    """The coils without long wires on their way."""
    worst = min(coils, key=lambda at: at.volts / working_volts(at.load)[0])
    answer = _answer(circuit, worst, ())
    if len(coils) == 1:
        return answer
    tags = ", ".join(dict.fromkeys(at.element.partition(".")[0] for at in coils))
    words = f"{tags}: no long wire on their way; {answer.about} is nearest to its limit:"
    first = replace(answer.workings[0], text=f"{words} {answer.workings[0].text.removeprefix('least volts ')}")
    choice = f"{answer.choice} at {answer.about}"
    return replace(answer, about=circuit.device.tag, question=f"{VOLTS}s behind it", choice=choice,
                   workings=(first, *answer.workings[1:]))  # fmt: skip


def _answer(circuit: ControlCircuit, at: AtCoil, runs: tuple[tuple[str, float], ...]) -> Answer:
    tag, load = at.element.partition(".")[0], at.load
    works_v, _ = working_volts(load)
    percent, least = 100 * at.volts / load.rated_v, works_v / at.volts if at.volts else 0.0
    how = "pulling in" if at.element in at.together.pulling else "held in"
    told = circuit.told(at.together.moment)
    when = f"{how} ({told})" if told else how
    words = f"least volts {when}: {amount(at.volts, 'V')} of {load.rated_v:g} V"
    words += f", {amount(at.together.va, circuit.unit)} on the supply"
    workings = [Working(words, source="solved circuit", trust="common practice")]
    if runs:
        lost = ", ".join(f"{name} {amount(volts, 'V', 3)}" for name, volts in runs)
        warm = factor("working temperature")
        workings.append(figured(f"lost at {warm.value:g} C in {lost}", warm))
    sag = f"works from {amount(works_v, 'V')}"
    if least <= 1:
        sag += f": the supply may sag to {amount(100 * least, '%', 3)} of its volts"
    workings.append(Working(sag, source="operating range, catalogue", trust="seen in part"))
    warnings: tuple[str, ...] = ()
    if at.volts < works_v:
        surely = f"below the {amount(works_v, 'V')} at which it surely works"
        warnings = (f"{surely}: shorter or thicker wires, or a larger supply",)
    if circuit.looked_at:
        warnings += (circuit.looked_at,)
    choice = f"{amount(at.volts, 'V')} ({amount(percent, '%', 3)})"
    by = " and ".join(name for name, _ in runs) or f"{circuit.device.tag}, no long wire"
    fits = at.volts >= works_v
    fitted = Fitted(
        f"through {by}" if runs else f"from {by}", fits, f"{'not ' if fits else ''}below {amount(works_v, 'V')}"
    )
    return Answer(tag, VOLTS, choice, at.volts, "V", tuple(workings), (), fitted, warnings)
