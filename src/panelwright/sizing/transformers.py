"""Control transformers: the size that holds its volts at the largest inrush."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from .answers import Allowed, Answer, Fitted, Missing, Working, amount, not_answered
from .asking import NOT_NEGATIVE, asked
from .control_circuits import ControlCircuit, Together, figured
from .control_fuses import SizeRow
from .factors import factor
from .tables import TableRow, rows_of

SIZE, STEP_VOLTS = "control transformer", "volts at the largest step"


class InrushRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Largest inrush VA at which a size still gives 95, 90 or 85 % of its volts."""

    va: float
    inrush_95: float
    inrush_90: float
    inrush_85: float


# ---- single questions
@asked(sealed_va=NOT_NEGATIVE, inrush_va=NOT_NEGATIVE)
def selection_inrush(sealed_va: float, inrush_va: float) -> float:
    """VA to enter the chart with: sealed and inrush VA as if they stood at a right angle."""
    return math.hypot(sealed_va, inrush_va)


@asked(sealed_va=NOT_NEGATIVE, inrush_va=NOT_NEGATIVE)
def transformer_by_chart(sealed_va: float, inrush_va: float, *, steady: bool = True) -> InrushRow | None:
    """The smallest size of the chart that carries the sealed VA and holds its volts at the inrush.

    `inrush_va`: as `selection_inrush` gives it. `steady`: a supply within 5 %: 90 % of the volts are enough; else
    95 %. None beyond the chart.
    """
    for row in rows_of("transformer_inrush", InrushRow):
        if row.va >= sealed_va and (row.inrush_90 if steady else row.inrush_95) >= inrush_va:
            return row
    return None


@asked(held_va=NOT_NEGATIVE, inrush_va=NOT_NEGATIVE)
def transformer_by_dip(held_va: float, inrush_va: float) -> float:
    """VA for a dip of 5 %: held and inrush VA together over a factor; not less than what is held."""
    return max(held_va, (held_va + inrush_va) / factor("dip factor").value)


def next_made(kind: str, needed: float) -> float | None:
    """The smallest rating that is made, not below what is needed; None beyond the list."""
    ratings = (row.rating for row in rows_of("supply_sizes", SizeRow) if row.kind == kind)
    return next((rating for rating in ratings if rating >= needed - 1e-9), None)


# ---- from a circuit
@dataclass(frozen=True, slots=True)
class Burden:
    """What a transformer has to bear. `held`: the most that is in; `at_step`: the moment with the largest inrush."""

    held: Together
    at_step: Together | None
    sealed_va: float
    inrush_va: float


def burden_of(circuit: ControlCircuit) -> Burden | None:
    """The burden of a control circuit; None when nothing in it can ever be on."""
    held, at_step = circuit.heaviest, circuit.largest_step
    if held is None or (held.va == 0 and at_step is None):
        return None
    inrush = abs(circuit.power((), at_step.pulling)) if at_step else 0.0
    return Burden(held, at_step, held.va, inrush)


def transformer_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """Size, and volts at the largest step."""
    burden = burden_of(circuit)
    if burden is None:
        return
    yield _size(circuit, burden)
    if burden.at_step is not None:
        yield _volts_at_step(circuit, burden.at_step)


def _size(circuit: ControlCircuit, burden: Burden) -> Answer:
    tag, entering = circuit.device.tag, selection_inrush(burden.sealed_va, burden.inrush_va)
    root = f"root of ({amount(burden.sealed_va)} squared + {amount(burden.inrush_va)} squared)"
    workings = [
        *load_lines(circuit, burden),
        figured(f"to enter the chart: {root} = {amount(entering, 'VA')}", factor("least volts")),
    ]
    row = transformer_by_chart(burden.sealed_va, entering)
    if row is None:
        largest = max(one.va for one in rows_of("transformer_inrush", InrushRow))
        why = f"the chart of usual control transformers ends at {amount(largest, 'VA')}"
        mend = f"{tag}: ask the maker for a size with {amount(entering, 'VA')} inrush at 90 % volts"
        return not_answered(tag, SIZE, (Missing("the maker's chart", why, mend),), workings)
    size = next_made(_series(circuit), row.va) or row.va
    words = f"{amount(row.va, 'VA')} gives 90 % of its volts up to {amount(row.inrush_90, 'VA')} inrush"
    workings.append(figured(words if size == row.va else f"{words}; next usual size {amount(size, 'VA')}", row))
    if not circuit.job.american and burden.at_step is not None:
        workings.append(_short_time(burden.at_step))
    choice = f"{amount(size, 'VA')}, {circuit.volts:g} V secondary"
    return Answer(tag, SIZE, choice, size, "VA", tuple(workings), tuple(_other_sizes(circuit, burden, size)),
                  _fitted_size(circuit, burden, entering), _size_warnings(circuit))  # fmt: skip


def _series(circuit: ControlCircuit) -> str:
    return "transformer" if circuit.job.american else "IEC transformer"


def _other_sizes(circuit: ControlCircuit, burden: Burden, size: float) -> Iterator[Allowed]:
    """By a supply that moves more, and by a dip of 5 %, where they come to something else."""
    entering = selection_inrush(burden.sealed_va, burden.inrush_va)
    row = transformer_by_chart(burden.sealed_va, entering, steady=False)
    moving = next_made(_series(circuit), row.va) if row is not None else None
    if moving is not None and moving != size:
        limit = 100 * factor("steady supply").value
        yield Allowed(amount(moving, "VA"), f"the supply moves by more than {limit:g} %: 95 % column", moving)
    by_dip = next_made(_series(circuit), transformer_by_dip(burden.sealed_va, burden.inrush_va))
    if by_dip is not None and by_dip != size:
        dip = f"dip of 5 %: ({amount(burden.sealed_va)} + {amount(burden.inrush_va)}) / 5, a rule of thumb"
        yield Allowed(amount(by_dip, "VA"), dip, by_dip)


def _short_time(at_step: Together) -> Working:
    """What a European data sheet has to show: VA for a short time at a given power factor."""
    row = factor("short-time pf")
    words = f"short-time rating of at least {amount(at_step.va, 'VA')} at power factor {row.value:g}, 95 % of the volts"
    return Working(words, row.source, row.source, row.trust)


def _size_warnings(circuit: ControlCircuit) -> tuple[str, ...]:
    typical = [e for e, w in circuit.loads.items() if w.load.sort == "coil" and not says_power(circuit, e)]
    if not typical:
        return ()
    tags = ", ".join(dict.fromkeys(e.partition(".")[0] for e in typical))
    line = f"{typical[0].partition('.')[0]}  ...  inrush 200 VA  sealed 28 VA"
    return (f"typical coil powers were taken for {tags}; with the data sheet at hand write for example: {line}",)


def says_power(circuit: ControlCircuit, element: str) -> bool:
    """Whether the file says the power of this load."""
    names = {fact.name for fact in circuit.loads[element].device.facts}
    return bool(names & {"inrush", "sealed", "watts", "amps", "coil resistance"})


def load_lines(circuit: ControlCircuit, burden: Burden) -> Iterator[Working]:
    """The loads that count, each with its power, and how the panel stands then."""
    held = burden.held
    listed = " + ".join(f"{_tag(e)} {amount(abs(circuit.power([e])))}" for e in held.held) or "nothing"
    told = circuit.told(held.moment)
    yield Working(
        f"most held in{f' ({told})' if told else ''}: {listed} = {amount(held.va, circuit.unit)}"
        f"{'' if circuit.is_dc or len(held.held) < 2 else ' (as phasors)'}, {circuit.scope}",
        source="simulated circuit",
        trust="common practice",
    )
    if burden.at_step is not None:
        yield step_line(circuit, burden.at_step)


def step_line(circuit: ControlCircuit, at_step: Together) -> Working:
    """The largest step in words."""
    pulling = " + ".join(f"{_tag(e)} {amount(abs(circuit.power((), [e])))}" for e in at_step.pulling)
    held = " + ".join(f"{_tag(e)} {amount(abs(circuit.power([e])))}" for e in at_step.held)
    told = circuit.told(at_step.moment)
    return Working(
        f"largest step{f' ({told})' if told else ''}: {pulling} pulling in{f' on top of {held} held' if held else ''}"
        f" = {amount(at_step.va, circuit.unit)}",
        source="simulated circuit",
        trust="common practice",
    )


def _tag(element: str) -> str:
    tag, _, name = element.partition(".")
    return tag if name in ("coil", "lamp", "horn", "bell", "buzzer", "supply") else element


def _fitted_size(circuit: ControlCircuit, burden: Burden, entering: float) -> Fitted | None:
    va = circuit.source.va
    if not va:
        return None
    text = f"{circuit.device.tag} {amount(va, 'VA')}"
    if va < burden.sealed_va:
        return Fitted(text, False, f"less than the {amount(burden.sealed_va, 'VA')} held in")
    said = next((fact.quantity for fact in circuit.device.facts if fact.name == "inrush rating"), None)
    if said is not None:
        asked = f"{said.text} of inrush at 90 % volts by its data sheet, {amount(entering, 'VA')} asked"
        return Fitted(text, said.value >= entering, asked)
    rows = [row for row in rows_of("transformer_inrush", InrushRow) if row.va <= va]
    if not rows:
        return Fitted(text, None, "smaller than the chart; ask for its inrush VA at 90 % volts")
    row = rows[-1]
    if row.inrush_90 >= entering:
        good = f"{amount(row.inrush_90, 'VA')} of inrush at 90 % volts, {amount(entering, 'VA')} asked"
        return Fitted(text, True, good)
    fits = row.inrush_85 >= entering
    return Fitted(text, False, f"only {'85 %' if fits else 'less than 85 %'} of its volts at the largest step")


def _volts_at_step(circuit: ControlCircuit, at_step: Together) -> Answer:
    tag, least, volts = circuit.device.tag, factor("least volts"), circuit.volts
    ohms = circuit.source.ohms
    found = abs(volts - at_step.power.conjugate() / volts * ohms)
    if at_step.moment.standing:
        a, b = (f"{tag}.{mark}" for mark in circuit.source.terminals[:2])
        found = circuit.solve(at_step).volts(a, b).effective
    percent = 100 * found / volts
    power_factor = amount(at_step.power.real / at_step.va, digits=2)
    words = (
        f"{amount(at_step.va, 'VA')} / {volts:g} V = {amount(at_step.va / volts, 'A')} at power factor {power_factor}"
    )
    words += f" through {amount(ohms, 'ohm')} of winding (5 % lost at full load)"
    workings = (
        step_line(circuit, at_step),
        Working(words, source="solved circuit, typical regulation", trust="common practice"),
        figured(f"at least {100 * least.value:g} % of {volts:g} V = {amount(volts * least.value, 'V')}", least),
    )
    warnings: tuple[str, ...] = ()
    if percent < 100 * least.value:
        warnings = ("coils may not pull in at this step: take a larger transformer, or let the coils start one by one",)
    choice = f"{amount(found, 'V')} ({amount(percent, '%', 3)})"
    fits = percent >= 100 * least.value
    fitted = Fitted(
        f"{tag} {amount(circuit.source.va, 'VA')}", fits, f"{'not ' if fits else ''}below {100 * least.value:g} %"
    )
    return Answer(tag, STEP_VOLTS, choice, found, "V", workings, (), fitted if circuit.source.va else None, warnings)
