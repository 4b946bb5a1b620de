"""A panel with one fault in it, as the proofs see it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from ..behaviour import Injected, inject
from ..behaviour.proof.half_fed import decide_loads
from ..behaviour.proof.panel import Panel
from ..circuit import Circuit, Contact, Device, Fault, Problem
from ..electrics import (
    FALSE,
    Edit,
    Network,
    Opened,
    Shorted,
    SupplyLimited,
    UnknownPlace,
    is_closed,
    rest_state,
)
from ..electrics.gates import GateBuilder, Gates
from ..wiring import Wiring

NEEDS_TIME = "it comes and goes; a proof knows only what is so all the time"
NEEDS_AMPS = "how far the volts sink depends on the amps that are drawn; a proof knows only full volts or none"
NEEDS_MEMORY = "what it does depends on what was done before it"


@dataclass(frozen=True)
class BrokenPanel:
    """`panels`: every way in which `faults` can stand (a jam: in or out). `why_open`: why none can be proved."""

    panels: tuple[Panel, ...] = ()
    why_open: str = ""
    faults: tuple[Fault, ...] = ()

    def standing(self, panel: Panel) -> tuple[Fault, ...]:
        """The faults as they stand in one of the panels: a jam as a device that is stuck in, or out."""
        return tuple(_as_it_stands(fault, panel) for fault in self.faults)


def held_contacts(circuit: Circuit, fault: Fault) -> Iterator[Fault]:
    """A button or switch that is stuck, as contacts that are; any other fault as it is.

    The hand still does what it does, and so the state of the button is that of the hand.
    """
    device = circuit.by_tag.get(fault.subject)
    if not fault.form.startswith("stuck ") or device is None or device.loads:
        yield fault
        return
    operated = fault.form.removeprefix("stuck ") in ("pressed", "made", "tripped")
    for contact in device.contacts:
        closed = operated == (contact.form == "no")
        yield Fault("stuck closed" if closed else "stuck open", f"{device.tag}.{contact.name}")


def _as_it_stands(fault: Fault, panel: Panel) -> Fault:
    if fault.form != "jams" or fault.subject not in panel.stuck:
        return fault
    return replace(fault, form="stuck in" if panel.stuck[fault.subject] else "stuck out")


class Bench:
    """One wiring on which faults are put, one after the other."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.network = Network(wiring)
        self.sound = decided(Panel(self.network))

    @property
    def circuit(self) -> Circuit:
        """The allotted circuit."""
        return self.network.circuit

    def broken(self, fault: Fault) -> BrokenPanel:
        """The panel with this fault."""
        if fault.form == "assumption broken":
            return self._without_assumption(fault)
        injected = inject(self.circuit, fault)
        if isinstance(injected, Problem):
            return BrokenPanel(why_open=injected.message)
        return self.with_injected(injected, (fault,))

    def with_injected(self, injected: Injected, faults: tuple[Fault, ...]) -> BrokenPanel:
        """The panel with one fault or several; `injected` is what they do."""
        why_open = _why_open(injected)
        if why_open:
            return BrokenPanel(why_open=why_open)
        try:
            network = self._network(injected)
        except UnknownPlace as nowhere:
            return BrokenPanel(why_open=str(nowhere))
        ways = [dict(way) for way in self._ways(injected)]
        panels = tuple(tripping(Panel(network, way, injected)) for way in ways)
        return BrokenPanel(panels, faults=faults)

    def _ways(self, injected: Injected) -> list[list[tuple[str, bool]]]:
        """Where faults can hold coil devices; a jam holds one where it is: in, or out."""
        ways: list[list[tuple[str, bool]]] = [[]]
        for tag, at in injected.stuck:
            if _is_moved_by_coil(self.circuit.by_tag[tag]):
                held = (True, False) if at == "" else (at == "operated",)
                ways = [[*way, (tag, operated)] for way in ways for operated in held]
        return ways

    def _held_contacts(self, injected: Injected) -> Iterator[Edit]:
        """Contacts of a button or switch that no longer follow the hand: it can still be pressed, and nothing moves."""
        for tag, at in injected.stuck:
            device = self.circuit.by_tag[tag]
            if _is_moved_by_coil(device):
                continue
            state = replace(rest_state(device), stage="operated") if at == "operated" else rest_state(device)
            for contact in device.contacts:
                element = f"{tag}.{contact.name}"
                yield Shorted(element) if is_closed(contact, state) else Opened(element)

    def _network(self, injected: Injected) -> Network:
        edits = [*injected.edits, *(Opened(element) for element in injected.blown), *self._held_contacts(injected)]
        base = self._refitted(injected) if injected.refitted else self.network
        return base.edited(edits)

    def _refitted(self, injected: Injected) -> Network:
        forms = dict(injected.refitted)
        devices = []
        for device in self.circuit.devices:
            parts = tuple(
                replace(part, form=forms.get(f"{device.tag}.{part.name}", part.form))
                if isinstance(part, Contact)
                else part
                for part in device.parts
            )
            devices.append(replace(device, parts=parts))
        return Network(replace(self.wiring, circuit=replace(self.circuit, devices=tuple(devices))))

    def _without_assumption(self, fault: Fault) -> BrokenPanel:
        kept = tuple(s for at, s in enumerate(self.circuit.assumptions, 1) if at != int(fault.subject))
        circuit = replace(self.circuit, assumptions=kept)
        return BrokenPanel((decided(Panel(Network(replace(self.wiring, circuit=circuit)))),), faults=(fault,))


def _why_open(injected: Injected) -> str:
    if injected.flutters or injected.loose or injected.bouncing:
        return NEEDS_TIME
    if any(isinstance(edit, SupplyLimited) for edit in injected.edits):
        return NEEDS_AMPS
    if any(at == "no return" for _, at in injected.stuck):
        return NEEDS_MEMORY
    return ""


def _is_moved_by_coil(device: Device) -> bool:
    return any(load.drives for load in device.loads)


def tripping(panel: Panel) -> Panel:
    """The panel with supplies that give nothing while they are shorted, as a fuse or a current limit sees to."""
    program = panel.program
    gates = GateBuilder.on_top_of(program.gates)
    shorted = {tag: short for tag, short in program.shorts.items() if short != FALSE}

    def unless_shorted(literal: int) -> int:
        names = program.gates.inputs_of([literal]) if shorted else ()
        tags = {name.removeprefix("supply:") for name in names if name.startswith("supply:")}
        return gates.all_of([literal, *(shorted[tag] ^ 1 for tag in sorted(tags & shorted.keys()))])

    tables: dict[str, Any] = {
        name: {key: unless_shorted(literal) for key, literal in getattr(program, name).items()}
        for name in ("full", "may", "forward", "reverse", "touched")
    }
    gone = {device.tag: FALSE for device, _ in panel.circuit.supplies}  # a supply that a fault has taken out
    tables["live"] = gone | program.live
    panel.take(replace(program, gates=Gates.of(gates), **tables))
    return decided(panel)


def decided(panel: Panel) -> Panel:
    """The panel with the doubts about its loads decided by their volts, as far as they decide them."""
    decide_loads(panel)
    return panel
