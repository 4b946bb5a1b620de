"""DC supplies: what they give for good and at the peak, what is in reserve, and whether they can clear a fuse."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..electrics.elements import LIMIT_FACTOR
from .answers import Answer, Fitted, Working, amount, tags_told
from .asking import POSITIVE, Rule, asked
from .control import conductor_limit
from .control_circuits import ControlCircuit, figured
from .control_fuses import FittedFuse, fuses_after, fuses_before, largest_clearing_fuse, loads_without_fuse, usual_fuse
from .factors import factor
from .transformers import burden_of, load_lines, next_made, says_power

SIZE, CLEARS, INPUT = "dc supply", "fuse behind the supply", "device in front of the supply"


# ---- single questions
A_LOAD_LIST = Rule(
    lambda loads: all(len(load) == 2 and load[0] >= 0 and 0 <= load[1] <= 1 for load in loads),  # type: ignore[attr-defined]
    "each load is watts, not below 0, and the share of time that it is on, from 0 to 1",
    lambda *_: "Give for example [(10, 1), (6.5, 0.5)]",
)


@asked(volts=POSITIVE, loads=A_LOAD_LIST)
def average_and_peak(loads: Iterable[tuple[float, float]], volts: float) -> tuple[float, float]:
    """Amperes on average and with all on at once; `loads`: watts and the share of time that each is on."""
    pairs = list(loads)
    return sum(watts * share for watts, share in pairs) / volts, sum(watts for watts, _ in pairs) / volts


# ---- from a circuit
def dc_supply_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """Size with reserve, and the fuses behind it."""
    burden = burden_of(circuit)
    if burden is None:
        return
    volts, reserve = circuit.volts, factor("supply reserve")
    held = burden.held.va / volts
    peak = max(held, burden.at_step.va / volts if burden.at_step else 0.0)
    needed = max(held * (1 + reserve.value), peak)
    workings = [
        *load_lines(circuit, burden),
        Working(
            f"{amount(burden.held.va, 'W')} / {volts:g} V = {amount(held, 'A', 3)} held, peak {amount(peak, 'A', 3)}"
        ),
        figured(f"with {100 * reserve.value:g} % in reserve: {amount(held * (1 + reserve.value), 'A', 3)}", reserve),
    ]
    size = next_made("dc supply", needed)
    choice = f"{amount(size, 'A')}, {volts:g} V dc" if size else f"more than one supply: {amount(needed, 'A')}"
    yield Answer(circuit.device.tag, SIZE, choice, size or needed, "A", tuple(workings),
                 fitted=_fitted(circuit, held, peak), warnings=_typical(circuit))  # fmt: skip
    if circuit.source.amps:
        yield _clearing(circuit, fuses_after(circuit))
        yield from _input(circuit)


def _input(circuit: ControlCircuit) -> Iterator[Answer]:
    """The device in front of a supply whose input is drawn: it has to carry its current; the maker names it."""
    tag = circuit.device.tag
    load = next((load for load in circuit.device.loads if load.sort == "primary"), None)
    if load is None or not load.ohms or circuit.structure.net(f"{tag}.{load.a}") is None:
        return
    va = load.rated_v**2 / load.ohms
    amps = va / load.rated_v
    words = f"{circuit.volts:g} V x {amount(circuit.source.amps, 'A')} over its efficiency: {amount(va, 'VA', 3)}"
    surge = f"switching on it takes some {amount(load.inrush_va / va, digits=2)} times that for a moment"
    workings = (
        Working(
            f"{words} / {load.rated_v:g} V = {amount(amps, 'A', 3)}",
            source="typical efficiency",
            trust="common practice",
        ),
        Working(surge, source="typical electronic supply", trust="common practice"),
    )
    fitted = fuses_before(circuit, load)
    judged = None
    if fitted:
        small = [one for one in fitted if one.amps < amps]
        why = f"{small[0].text} is below it" if small else "carries it; whether it may protect it, its maker says"
        judged = Fitted(", ".join(one.text for one in fitted), False if small else None, why)
    warnings = () if fitted else ("the file has no fuse or breaker in front of it",)
    choice = f"at least {amount(amps, 'A', 3)}, kind and largest size by its maker"
    yield Answer(tag, INPUT, choice, amps, "A", workings, (), judged, warnings)


def _fitted(circuit: ControlCircuit, held: float, peak: float) -> Fitted | None:
    amps = circuit.source.amps
    if not amps:
        return None
    text = f"{circuit.device.tag} {amount(amps, 'A')}"
    if amps < held:
        return Fitted(text, False, f"less than the {amount(held, 'A')} held in")
    if amps * LIMIT_FACTOR < peak:
        most = amount(amps * LIMIT_FACTOR, "A")
        return Fitted(text, False, f"holds its current at about {most}, the peak is {amount(peak, 'A')}")
    spare = 100 * (1 - held / amps)
    return Fitted(text, True, f"{amount(spare, '%', 3)} in reserve")


def _typical(circuit: ControlCircuit) -> tuple[str, ...]:
    tags = dict.fromkeys(e.partition(".")[0] for e, w in circuit.loads.items()
                         if w.load.sort == "coil" and not says_power(circuit, e))  # fmt: skip
    if not tags:
        return ()
    line = f"{next(iter(tags))}  ...  sealed 0.9 W"
    return (f"typical coil powers were taken for {', '.join(tags)}; with the data sheet write for example: {line}",)


def _clearing(circuit: ControlCircuit, fitted: tuple[FittedFuse, ...]) -> Answer:
    amps, share = circuit.source.amps, factor("fuse share")
    most = largest_clearing_fuse(amps)
    size = usual_fuse(most, circuit.job.region.family)
    workings = (
        Working(f"an electronic supply holds its current at about {LIMIT_FACTOR:g} x {amount(amps, 'A')} = "
                f"{amount(LIMIT_FACTOR * amps, 'A')}", source="typical electronic supply", trust="common practice"),
        figured(f"{share.value:g} x {amount(amps, 'A')} = {amount(most, 'A')}: above it a fuse may never clear", share),
    )  # fmt: skip
    judged = None
    warnings: tuple[str, ...] = ()
    if fitted:
        large = [one for one in fitted if one.amps > most]
        text = ", ".join(one.text for one in fitted)
        judged = Fitted(text, not large, f"{large[0].text} may stay whole in a short circuit" if large else "")
    else:
        warnings = (f"no fuse behind the supply: {_no_fuse(circuit)}",)
    if fitted and (bare := loads_without_fuse(circuit)):
        warnings = (f"no fuse in front of {tags_told(bare)}: {_no_fuse(circuit)}",)
    choice = f"{amount(size, 'A')} or less"
    return Answer(circuit.device.tag, CLEARS, choice, size, "A", workings, (), judged, warnings)


def _no_fuse(circuit: ControlCircuit) -> str:
    """What it means that nothing stands behind a supply that limits its own current."""
    most, limit = LIMIT_FACTOR * circuit.source.amps, conductor_limit(circuit)
    shared = "a short circuit takes the volts from every load: a fuse for each branch keeps the others alive"
    if limit is None or limit.amps < most:
        return shared
    rule = circuit.job.region.clause("control device")
    wires = f"its own limit of {amount(most, 'A')} protects the wires ({limit.size} carries {amount(limit.amps, 'A')})"
    return f"{wires} if its maker confirms that limit ({rule}, from memory), but {shared}"
