"""What breaks: conductors, terminals, contacts, coils, buttons, timers, lamps, diodes, supplies and fuses."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from ..circuit import Diode, Fault, Fuse
from .kinds import kinds
from .places import COIL_DEVICES, HAND, TIMERS, Places

Lister = Callable[[Places], Iterator[Fault]]


def wires_open(at: Places) -> Iterator[Fault]:
    """Every wire."""
    for wire in at.wiring.wires:
        yield Fault("wire open", *wire.ends)


def terminals_loose(at: Places) -> Iterator[Fault]:
    """Every terminal with a conductor."""
    for terminal in at.net_at:
        yield Fault("lifted", terminal)


def terminals_bridged(at: Places) -> Iterator[Fault]:
    """Neighbouring terminals of one device or strip."""
    for one, other in at.neighbours():
        yield Fault("touches", one, other)


def conductors_earthed(at: Places) -> Iterator[Fault]:
    """Every net that is not earthed on purpose."""
    for net in at.wiring.nets:
        if len(net.terminals) > 1 and not at.is_earthed(net):
            yield Fault("touches", at.name_of(net), "earth")


def cores_bridged(at: Places) -> Iterator[Fault]:
    """Cores that lie side by side in a cable."""
    cores: dict[str, dict[str, str]] = {}
    for wire in at.wiring.wires:
        if wire.cable:
            cores.setdefault(wire.cable, {}).setdefault(wire.net, wire.ends[1])
    for ends in cores.values():
        for one, other in pairwise(ends.values()):
            yield Fault("touches", one, other)


def _of_contacts(form: str) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        for _, _, element in at.contacts:
            yield Fault(form, element)

    return listed


def _of_devices(form: str, *sorts: str) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        for device in at.devices(*sorts):
            if device.contacts:
                yield Fault(form, device.tag)

    return listed


def _of_loads(form: str, *, coils: bool, sorts: tuple[str, ...]) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        for _, load, element in at.loads:
            if load.sort in sorts and bool(load.drives) == coils:
                yield Fault(form, element)

    return listed


def _of_diodes(form: str) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        for device in at.circuit.devices:
            for part in device.parts:
                if isinstance(part, Diode) and at.is_wired(device, part.a, part.b):
                    yield Fault(form, f"{device.tag}.{part.name}")

    return listed


def _of_timers(kind: str) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        factor = kinds()[kind].value("of_set_time")
        for device in at.devices(*TIMERS):
            if device.mechanism.delay_s:
                yield Fault("time at", device.tag, value=round(device.mechanism.delay_s * factor, 6))

    return listed


def timers_never(at: Places) -> Iterator[Fault]:
    """Timers that run for ever."""
    for device in at.devices(*TIMERS):
        yield Fault("never times out", device.tag)


def _of_supplies(kind: str) -> Lister:
    def listed(at: Places) -> Iterator[Fault]:
        factor = kinds()[kind].value("of_rated_volts")
        for device, source in at.sources:
            yield Fault("supply at", device.tag, value=round(source.volts * factor, 6))

    return listed


def supplies_lost(at: Places) -> Iterator[Fault]:
    """Every supply."""
    for device, _ in at.sources:
        yield Fault("supply at", device.tag, value=0.0)


def phases_lost(at: Places) -> Iterator[Fault]:
    """Every line of a supply with three phases."""
    for _, source in at.sources:
        if source.phases == 3:
            for rail in source.rails:
                if rail != "PE":
                    yield Fault("lost", rail)


def fuses_blown(at: Places) -> Iterator[Fault]:
    """Every fuse and every pole of one."""
    for device in at.circuit.devices:
        fuses = [part for part in device.parts if isinstance(part, Fuse)]
        for part in fuses:
            yield Fault("blown", f"{device.tag}.{part.name}" if len(fuses) > 1 else device.tag)


_LAMPS: tuple[str, ...] = ("lamp", "sounder", "resistor", "sensor", "capacitor")
_COILS: tuple[str, ...] = ("coil", "solenoid")


BREAKS: dict[str, Lister] = {
    "wire-open": wires_open,
    "terminal-loose": terminals_loose,
    "terminals-bridged": terminals_bridged,
    "conductor-earthed": conductors_earthed,
    "cores-bridged": cores_bridged,
    "contact-welded": _of_contacts("stuck closed"),
    "contact-open": _of_contacts("stuck open"),
    "contact-bounces": _of_contacts("bounces"),
    "stuck-in": _of_devices("stuck in", *COIL_DEVICES),
    "stuck-out": _of_devices("stuck out", *COIL_DEVICES),
    "coil-open": _of_loads("open", coils=True, sorts=_COILS),
    "coil-turns": _of_loads("with shorted turns", coils=True, sorts=_COILS),
    "coil-shorted": _of_loads("shorted", coils=True, sorts=_COILS),
    "button-stuck-in": _of_devices("stuck pressed", *HAND),
    "button-stuck-out": _of_devices("stuck released", *HAND),
    "sensor-stuck-made": _of_devices("stuck made", "field"),
    "sensor-stuck-clear": _of_devices("stuck clear", "field"),
    "overload-stuck": _of_devices("stuck reset", "trip"),
    "overload-trips": _of_devices("stuck tripped", "trip"),
    "timer-short": _of_timers("timer-short"),
    "timer-long": _of_timers("timer-long"),
    "timer-never": timers_never,
    "lamp-out": _of_loads("open", coils=False, sorts=_LAMPS),
    "lamp-shorted": _of_loads("shorted", coils=False, sorts=_LAMPS),
    "valve-open": _of_loads("open", coils=False, sorts=_COILS),
    "valve-turns": _of_loads("with shorted turns", coils=False, sorts=_COILS),
    "valve-shorted": _of_loads("shorted", coils=False, sorts=_COILS),
    "winding-open": _of_loads("open", coils=False, sorts=("primary",)),
    "winding-shorted": _of_loads("shorted", coils=False, sorts=("primary",)),
    "diode-open": _of_diodes("open"),
    "diode-shorted": _of_diodes("shorted"),
    "supply-low": _of_supplies("supply-low"),
    "supply-high": _of_supplies("supply-high"),
    "supply-lost": supplies_lost,
    "phase-lost": phases_lost,
    "fuse-blown": fuses_blown,
}
