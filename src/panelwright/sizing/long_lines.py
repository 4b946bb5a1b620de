"""Long control lines: how far a coil still pulls in, and from where capacitance holds an ac coil in."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..catalog.quantities import FOOT_M
from ..circuit import Cable, Contact
from ..electrics import working_volts
from .answers import Allowed, Answer, Fitted, Missing, Working, amount, not_answered
from .asking import A_SHARE, POSITIVE, asked
from .control_circuits import ControlCircuit, figured, held_power
from .factors import factor
from .rung_volts import AtCoil, least_volts, lost_in_runs

PICK_UP, DROP_OUT = "longest run for pick-up", "longest run for drop-out"
MICRO = 1e-6
KILO = 1000.0
MOST_TIMES = 4.0**8


# ---- single questions
@asked(drop_percent=POSITIVE, inrush_va=POSITIVE, volts=POSITIVE, area_mm2=POSITIVE)
def pick_up_metres(drop_percent: float, inrush_va: float, volts: float, area_mm2: float) -> float:
    """Metres of copper, feed and return together, in which an inrush loses so many percent of the volts.

    u% = 100 x l x S / (kappa x A x U^2), the inrush taken as if it were in phase: on the safe side.
    """
    return drop_percent / 100 * factor("copper conductivity").value * area_mm2 * volts**2 / inrush_va


@asked(volts=POSITIVE, hertz=POSITIVE, held_va=POSITIVE, drop_out_share=A_SHARE, farads_a_metre=POSITIVE)
def drop_out_metres(volts: float, hertz: float, held_va: float, drop_out_share: float, farads_a_metre: float) -> float:
    """Metres of cable from which the capacitance across an open far contact holds a coil in.

    L = m / (1 + m) x P / (2 pi f c U^2), m the drop-out volts as a share of the rated ones. Source: a worked example
    at es.scribd.com/document/382094383.
    """
    share = drop_out_share / (1 + drop_out_share)
    return share * held_va / (2 * math.pi * hertz * farads_a_metre * volts**2)


# ---- from a circuit
def long_line_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """For every cable with control wires of the circuit: the run for pick-up and, on ac, for drop-out."""
    coils = least_volts(circuit)
    for cable in circuit.job.circuit.cables:
        nets = _nets_in(circuit, cable)
        if not nets or not _serves(circuit, nets):
            continue
        if cable.length is None:
            line = f"{cable.tag}  cable  {cable.cores}  25 m  from {cable.start} to {' and '.join(cable.ends)}"
            missing = Missing(
                f"length of {cable.tag}", "volts are lost in it, and its capacitance may hold coils in", line
            )
            yield not_answered(cable.tag, PICK_UP, (missing,))
        else:
            yield from _pick_up(circuit, cable, coils)
        if not circuit.is_dc:
            yield from _drop_out(circuit, cable, nets)


def _nets_in(circuit: ControlCircuit, cable: Cable) -> set[str]:
    protective = {net.id for net in circuit.job.wiring.nets if net.protective}
    wires = (wire for wire in circuit.job.wiring.wires if wire.cable == cable.tag and not wire.power)
    return {wire.net for wire in wires} - protective


def _serves(circuit: ControlCircuit, nets: set[str]) -> bool:
    """Whether the cores belong to this circuit: a load of it can be reached from them."""
    ends = {net for wired in circuit.loads.values() for net in (wired.a, wired.b)}
    return any(ends & set(circuit.structure.reached(net)) for net in nets)


def _pick_up(circuit: ControlCircuit, cable: Cable, coils: tuple[AtCoil, ...]) -> Iterator[Answer]:
    """The run at which the worst coil gets just what it works with: the network solved with longer and longer wires."""
    assert cable.length is not None
    found: list[tuple[float, AtCoil, float]] = []
    for at in coils:
        lost = dict(lost_in_runs(circuit, at)).get(cable.tag, 0.0)
        if lost:
            works_v, _ = working_volts(at.load)
            found.append((1 + (at.volts - works_v) / lost, at, lost))  # as if volts fell evenly; the first is the worst
    if not found:
        return
    _, at, lost = min(found, key=lambda one: one[0])
    tag = at.element.partition(".")[0]
    works_v, _ = working_volts(at.load)
    metres = cable.length.value * longest_times(circuit, cable.tag, at)
    how = "pulling in" if at.element in at.together.pulling else "held in"
    words = (
        f"{tag} {how}: {amount(lost, 'V', 3)} lost in {cable.length.text} of {cable.tag}, {amount(at.volts, 'V')} left"
    )
    reaches = f"at {_length(metres, cable)} it gets the {amount(works_v, 'V')} from which it surely works"
    if not metres:
        reaches = f"even without {cable.tag} it gets less than the {amount(works_v, 'V')} from which it surely works"
    workings = (
        Working(words, source="solved circuit", trust="common practice"),
        Working(reaches, source="solved circuit", trust="common practice"),
    )
    fits = at.volts >= works_v
    fitted = Fitted(f"{cable.tag} {cable.length.text}", fits, "" if fits else f"{tag} may not pull in")
    warnings = () if fits else ("thicker cores, a relay at the far end, or a higher control voltage",)
    yield Answer(cable.tag, PICK_UP, _length(metres, cable), metres, "m", workings, (), fitted, warnings)


def longest_times(circuit: ControlCircuit, run: str, at: AtCoil) -> float:
    """How many times as long a run may be for a coil to get its working volts; at most `MOST_TIMES`, 0 if never."""
    works_v, _ = working_volts(at.load)
    if circuit.volts_at(run, 0.0, at.element, at.together) < works_v:
        return 0.0
    low, high = 0.0, 1.0
    while high < MOST_TIMES and circuit.volts_at(run, high, at.element, at.together) >= works_v:
        low, high = high, high * 4
    while high - low > 1e-3 * high:
        middle = (low + high) / 2
        enough = circuit.volts_at(run, middle, at.element, at.together) >= works_v
        low, high = (middle, high) if enough else (low, middle)
    return low


def _length(metres: float, cable: Cable) -> str:
    """A length rounded down to three figures, in the unit in which the file says that of the cable."""
    feet = cable.length is not None and cable.length.text.rstrip().lower().endswith(("ft", "feet", "foot"))
    value = metres / FOOT_M if feet else metres
    if value:
        grain = 10.0 ** (math.floor(math.log10(value)) - 2)
        value = math.floor(value / grain + 1e-9) * grain
    return amount(value, "ft" if feet else "m")


def _drop_out(circuit: ControlCircuit, cable: Cable, nets: set[str]) -> Iterator[Answer]:
    """The run from which an ac coil stays in, for the coil of the circuit that it hits first."""
    found: list[tuple[float, str, float, float, bool]] = []
    for element, wired in circuit.loads.items():
        load = wired.load
        if load.sort != "coil" or not load.drives:
            continue
        cores = _switched_cores(circuit, cable, nets, element)
        if cores < 2 or not load.hertz:
            continue
        _, rests_v = working_volts(load)
        held = abs(held_power(load, circuit.volts))
        if not held or not rests_v:
            continue
        shared = cores > 2
        per_metre = factor("capacitance usual").value * MICRO / KILO * (factor("three-wire").value if shared else 1.0)
        metres = drop_out_metres(circuit.volts, load.hertz, held, rests_v / load.rated_v, per_metre)
        found.append((metres, element.partition(".")[0], held, rests_v / load.rated_v, shared))
    if found:
        yield _held_in(circuit, cable, *min(found))


def _held_in(
    circuit: ControlCircuit, cable: Cable, metres: float, tag: str, held: float, share: float, shared: bool
) -> Answer:
    usual, three = factor("capacitance usual"), factor("three-wire")
    hertz = circuit.source.hertz
    workings = [
        figured(f"{tag}: {amount(held, 'VA', 3)} held, lets go at {100 * share:g} % of its volts at the latest; "
                f"{usual.value:g} uF/km between two cores", usual),
        Working(f"{share:g} / {1 + share:g} x {amount(held, 'VA', 3)} / (2 pi x {hertz:g} Hz x {usual.value:g} uF/km x "
                f"({circuit.volts:g} V) squared){' / 2' if shared else ''} = {_length(metres, cable)}",
                source="capacitance of open lines (es.scribd.com/document/382094383)"),
    ]  # fmt: skip
    if shared:
        workings.append(figured("three or more cores to the station: two capacitances side by side", three))
    others = [
        (row.value, metres * usual.value / row.value) for row in map(factor, ("capacitance low", "capacitance high"))
    ]
    also = tuple(Allowed(_length(other, cable), f"{value:g} uF/km", other) for value, other in others)
    fitted: Fitted | None = None
    warnings: tuple[str, ...] = ()
    if cable.length is not None:
        fits = cable.length.value <= metres
        why = "" if fits else f"{tag} may stay in when the far contact opens"
        fitted = Fitted(f"{cable.tag} {cable.length.text}", fits, why)
        if not fits:
            warnings = ("dc control, a lower voltage, a resistor beside the coil, or the contact at the near end",)
    return Answer(cable.tag, DROP_OUT, _length(metres, cable), metres, "m", tuple(workings), also, fitted, warnings)


def _switched_cores(circuit: ControlCircuit, cable: Cable, nets: set[str], element: str) -> int:
    """Cores of a cable between which contacts at its far end switch a coil; 0 if none does."""
    program = circuit.standings.program
    moving = {name.split("=")[0].split(":")[0] for name in program.gates.inputs_of([program.full[element]])}
    cores: set[str] = set()
    for wired in circuit.structure.wired:
        if isinstance(wired.part, Contact) and wired.device.tag in moving and wired.device.tag in cable.ends:
            cores |= {wired.a, wired.b} & nets
    return len(cores)
