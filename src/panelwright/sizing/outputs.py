"""Electronic outputs: what their leakage leaves on a load, the least load they need, and the bleeder for both."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..catalog.shelf import shelf
from ..circuit import Contact, Device
from ..electrics import working_volts
from .answers import Answer, Missing, Working, amount, not_answered
from .asking import NOT_NEGATIVE, POSITIVE, asked
from .control_circuits import ControlCircuit, figured
from .factors import factor
from .reach import Moment

QUESTION = "load of its output"


# ---- single questions
@asked(volts=POSITIVE, leakage_a=POSITIVE, load_ohms=POSITIVE, off_v=POSITIVE)
def bleeder_ohms(volts: float, leakage_a: float, load_ohms: float, off_v: float) -> float | None:
    """Largest resistor beside a load that brings what a leakage leaves on it down to `off_v`.

    The open output is taken as the resistance that lets `leakage_a` through at full volts. None when none is needed.
    """
    open_ohms = volts / leakage_a
    together = open_ohms * off_v / (volts - off_v)
    if together >= load_ohms:
        return None
    return 1 / (1 / together - 1 / load_ohms)


@asked(volts=POSITIVE, load_a=NOT_NEGATIVE, least_a=POSITIVE)
def least_load_ohms(volts: float, load_a: float, least_a: float) -> float | None:
    """Largest resistor beside a load that draws what an output needs to stay closed; None when none is needed."""
    return volts / (least_a - load_a) if load_a < least_a else None


# ---- from a circuit
@dataclass(frozen=True, slots=True)
class Output:
    """An electronic output as it stands in the circuit.

    `on_a`: the least it carries while closed. `left`: loads that keep some volts while it is open, with the volts, the
    volts at which they surely rest, and their ohms.
    """

    device: Device
    leakage_a: float
    least_a: float
    on_a: float
    left: tuple[tuple[str, float, float, float], ...]


def outputs_of(circuit: ControlCircuit) -> Iterator[Output]:
    """Every output with a leakage that ever carries current in this circuit."""
    for device in circuit.job.circuit.devices:
        leaks = next((load for load in device.loads if load.name == "leakage"), None)
        contact = next((part for part in device.parts if isinstance(part, Contact)), None)
        if leaks is None or contact is None:
            continue
        element, on_a = f"{device.tag}.{contact.name}", 0.0
        left: dict[str, tuple[float, float, float]] = {}
        for together, solution in circuit.solved:
            amps = _acting(circuit, solution.amps(element))
            if amps < 1e-6 or not together.moment.standing.get(device.tag, False):
                continue
            on_a = min(on_a, amps) if on_a else amps
            opened = Moment(frozenset(), frozenset(), {**together.moment.standing, device.tag: False})
            after = circuit.network.solve(circuit.standings.position(opened.standing))
            for fed in (*together.held, *together.pulling):
                load = circuit.loads[fed].load
                volts = after.load(fed).acting_v
                works_v, rests_v = working_volts(load)
                if volts < works_v and volts > left.get(fed, (0.0, 0.0, 0.0))[0]:
                    left[fed] = (volts, rests_v, abs(complex(load.ohms, load.reactance_ohms)))
        if on_a:
            yield Output(device, leaks.rated_v / leaks.ohms, least_load(device), on_a,
                         tuple((fed, *values) for fed, values in left.items()))  # fmt: skip


def _acting(circuit: ControlCircuit, amps: object) -> float:
    found: float = abs(amps.dc) if circuit.is_dc else amps.ac_effective  # type: ignore[attr-defined]
    return found


def least_load(device: Device) -> float:
    """The least current of an output: said, else typical; 0 when neither."""
    said = next((fact.quantity for fact in device.facts if fact.name == "least load"), None)
    if said is not None:
        return said.value
    kind = shelf().kinds.get(device.kind)
    figures = [shelf().figures[name].get("least_a") for name in (kind.figures if kind else ())]
    return next((figure.value for figure in figures if figure is not None), 0.0)


def output_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """One answer for each output: nothing needed, or a resistor with its watts."""
    for output in outputs_of(circuit):
        yield _answer(circuit, output)


def _answer(circuit: ControlCircuit, output: Output) -> Answer:
    tag, volts = output.device.tag, circuit.volts
    share = factor("off share")
    workings = [_closed(output)]
    needs = [least_load_ohms(volts, output.on_a, output.least_a)]
    warnings: list[str] = []
    for fed, left_v, rests_v, ohms in output.left:
        words = (
            f"open, it lets {amount(output.leakage_a * 1000, 'mA', 3)} through: {fed} keeps {amount(left_v, 'V', 3)}"
        )
        words += f", surely rests at {amount(rests_v, 'V', 3)}"
        workings.append(Working(words, source="solved circuit", trust="common practice"))
        if left_v > rests_v:
            needs.append(bleeder_ohms(volts, output.leakage_a, ohms, share.value * rests_v))
            warnings.append(f"{fed} may stay in or glow when {tag} opens")
    wanted = [ohms for ohms in needs if ohms is not None]
    if not _says_leakage(output.device):
        workings.append(Working(f"leakage of {tag} typical; with the data sheet: {tag}  ...  leaks 0.8 mA",
                                source="catalogue", trust="common practice"))  # fmt: skip
    if not wanted:
        return Answer(tag, QUESTION, "enough, no bleeder needed", output.on_a, "A", tuple(workings))
    ohms = min(wanted)
    watts = volts**2 / ohms
    rating = factor("bleeder watts")
    words = f"({volts:g} V) squared / {ohms_text(ohms)} = {amount(watts, 'W', 3)}, bought for {rating.value:g} x"
    workings.append(figured(words, rating))
    if output.on_a + volts / ohms > _rated_amps(output.device):
        sheet = Missing(
            "an output that bears the bleeder", "load and bleeder together are above its rating", f"{tag} ... 0.2 A"
        )
        return not_answered(tag, QUESTION, (sheet,), workings)
    choice = f"bleeder of {ohms_text(ohms)} or a little less, {amount(watts * rating.value, 'W', 3)}, beside the load"
    return Answer(tag, QUESTION, choice, ohms, "ohm", tuple(workings), warnings=tuple(warnings))


def ohms_text(ohms: float) -> str:
    """Three figures: "820 ohm", "17.5 kohm"."""
    return amount(ohms / 1000, "kohm", 3) if ohms >= 1000 else amount(ohms, "ohm", 3)


def _closed(output: Output) -> Working:
    words = f"closed, it carries {amount(output.on_a * 1000, 'mA', 3)}, needs {amount(output.least_a * 1000, 'mA', 3)}"
    return Working(words, source="solved circuit, catalogue", trust="from memory")


def _says_leakage(device: Device) -> bool:
    return any(fact.name == "leaks" for fact in device.facts)


def _rated_amps(device: Device) -> float:
    """What an output may carry: said, else typical."""
    said = next((fact.quantity for fact in device.facts if fact.name == "amps"), None)
    if said is not None:
        return said.value
    kind = shelf().kinds.get(device.kind)
    figures = [shelf().figures[name].get("output_a") for name in (kind.figures if kind else ())]
    return next((figure.value for figure in figures if figure is not None), float("inf"))
