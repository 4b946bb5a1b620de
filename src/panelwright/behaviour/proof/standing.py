"""What every circuit owes without being asked."""

from __future__ import annotations

from dataclasses import replace

from ...circuit import Device, Happens, Is, Sentence
from .asking import motions
from .panel import Panel

POWER_RETURNS = Happens(Is("power", "on"))
STANDS = {"running": "stopped", "on": "off", "in": "out"}  # what a motion does while it does not move


def standing_promises(panel: Panel) -> tuple[Sentence, ...]:
    """What every circuit owes unless the file waives it, or promises it in its own words."""
    promises = panel.circuit.promises
    waived = {promise.waives for promise in promises if promise.form == "waive" and not promise.states}
    owed = {
        "no short circuit": Sentence("no short circuit", "no short circuit"),
        "no race": Sentence("no race", "no race"),
        "no buzzing": Sentence("no buzzing", "no buzzing"),
        "full volts": Sentence("full volts", "full volts at every coil"),
    }
    said = any(p.form == "nothing starts" and p.event == POWER_RETURNS for p in promises)
    if not said and any(moves_plant(panel.circuit.by_tag[one.subject]) for one in motions(panel)):
        owed["no restart"] = _no_restart(panel)
    return tuple(sentence for what, sentence in owed.items() if what not in waived)


def waived_at(panel: Panel, what: str) -> set[str]:
    """The devices that a standing promise is waived at."""
    return {state.subject for promise in panel.circuit.promises if promise.waives == what for state in promise.states}


def moves_plant(device: Device) -> bool:
    """Whether it moves something outside the panel, or feeds what does: a relay for a lamp may come back by itself."""
    drives = device.kind in ("contactor", "latched breaker") or any(load.sort == "solenoid" for load in device.loads)
    return drives or bool(device.motors)


def _no_restart(panel: Panel) -> Sentence:
    """Nothing starts when power returns, but for what may."""
    may = waived_at(panel, "no restart")
    stands = tuple(replace(one, state=STANDS[one.state]) for one in motions(panel) if one.subject not in may)
    but = f" but {', '.join(sorted(may))}" if may else ""
    return Sentence("nothing starts", f"no restart{but}", stands, event=POWER_RETURNS, subject="nothing")


def promises_owed(panel: Panel) -> tuple[Sentence, ...]:
    """What a circuit has to keep: the promises of its file, and the standing ones."""
    return (*(p for p in panel.circuit.promises if p.form != "waive"), *standing_promises(panel))
