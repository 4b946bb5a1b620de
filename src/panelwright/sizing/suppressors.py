"""Suppressors: what belongs across each coil, and how much later the device then lets go."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..catalog.shelf import SuppressorRow, shelf
from ..checks.structure import Wired
from ..circuit import Device
from .answers import Allowed, Answer, Fitted, Working, amount
from .asking import POSITIVE, asked
from .control_circuits import ControlCircuit, figured, held_power
from .factors import factor

QUESTION = "suppressor"
ACROSS = {"diode": "diode", "RC element": "RC", "varistor": "varistor"}  # kinds that stand beside a coil
MICRO = 1e6


# ---- single questions
@asked(volts=POSITIVE, amps=POSITIVE)
def rc_values(volts: float, amps: float) -> tuple[float, float]:
    """Ohms and farads of an RC element for a contact that breaks `amps` at `volts`, by the makers' rule of thumb."""
    return factor("rc ohms").value * volts, factor("rc farads").value * amps / MICRO


def rc_leak_amps(volts: float, hertz: float, farads: float) -> float:
    """What an RC element across an open contact lets through on ac."""
    return volts * 2 * math.pi * hertz * farads


# ---- from a circuit
def suppressor_answers(circuit: ControlCircuit) -> Iterator[Answer]:
    """One answer for each coil and valve."""
    for wired in circuit.loads.values():
        if wired.load.sort in ("coil", "solenoid") and held_power(wired.load, wired.load.rated_v).real > 0:
            yield _answer(circuit, wired)


def _answer(circuit: ControlCircuit, wired: Wired) -> Answer:
    device = wired.device
    release = device.mechanism.release_s
    wants_quick, has = _wants_quick(circuit, device), _has(circuit, wired)
    names = ("zener diode", "diode", "varistor") if wants_quick else ("diode", "zener diode", "varistor")
    rows = [shelf().suppressors[name] for name in (names if circuit.is_dc else ("varistor", "RC"))]
    first, *others = rows
    workings = [Working(f"{first.name}: {_lets_go(release, first)}", source=first.source, trust=first.trust)]
    if wants_quick:
        why = f"{device.tag} stands against another contactor: the shorter it holds on, the better"
        workings.insert(0, Working(why, source="circuit", trust="common practice"))
    if not circuit.is_dc and has is None:
        workings += _rc(circuit, wired)
    also = () if has else tuple(Allowed(row.name, _lets_go(release, row)) for row in others)
    fitted = Fitted(f"{device.tag} with {has.name}", True, _lets_go(release, has)) if has else None
    warnings: tuple[str, ...] = () if has else ("the file has none",)
    if has is not None and has.name == "diode" and wants_quick:
        later = amount(1000 * release * has.release_factor, "ms", 3)
        warnings = (f"with the diode it lets go after {later}: the other contactor may come in before; see the races",)
    polarity = ", cathode to the plus end" if first.diode else ""
    return Answer(device.tag, QUESTION, f"{first.name}{polarity}", workings=tuple(workings), also=also, fitted=fitted,
                  warnings=warnings)  # fmt: skip


def _lets_go(release_s: float, row: SuppressorRow) -> str:
    if not release_s:
        return f"lets go {row.release_factor:g} times as late"
    later, bare = (amount(1000 * seconds, "ms", 3) for seconds in (release_s * row.release_factor, release_s))
    return f"lets go after {later} instead of {bare}"


def _wants_quick(circuit: ControlCircuit, device: Device) -> bool:
    """Whether a device stands against another one that may only come in once it is out."""
    return any(device.tag in pair for pair in circuit.job.circuit.interlocks)


def _has(circuit: ControlCircuit, wired: Wired) -> SuppressorRow | None:
    """The suppressor that the line of the device says, or that stands beside its coil."""
    rows = shelf().suppressors
    said = next((fact.text for fact in wired.device.facts if fact.name == QUESTION), "")
    if said:
        words = said.removeprefix("with ").strip()
        return next((row for row in rows.values() if words in (row.name, *row.also)), None)
    for device in circuit.job.circuit.devices:
        if device.kind in ACROSS and len(device.terminals) >= 2:
            nets = {circuit.structure.net(f"{device.tag}.{mark}") for mark in device.terminals[:2]}
            if nets == {wired.a, wired.b}:
                return rows[ACROSS[device.kind]]
    return None


def _rc(circuit: ControlCircuit, wired: Wired) -> Iterator[Working]:
    volts = circuit.volts
    amps = abs(held_power(wired.load, volts)) / volts
    ohms, farads = rc_values(volts, amps)
    values = f"{amount(ohms, 'ohm', 2)} and {amount(farads * MICRO, 'uF', 2)}"
    words = f"RC for {amount(amps, 'A', 2)} at {volts:g} V: about {values}"
    yield figured(words, factor("rc farads"))
    leak = rc_leak_amps(volts, circuit.source.hertz, farads)
    words = f"across the coil, not across a contact: there it would let {amount(1000 * leak, 'mA', 2)} pass on ac"
    yield Working(words, trust="common practice")
