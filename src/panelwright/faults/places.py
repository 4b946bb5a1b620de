"""Where in a wired circuit something can break or be wired wrong."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from ..circuit import Contact, Device, Item, Load, Net, Parallel, Series, Source, Use, net_of, uses_in
from ..wiring import Wiring

HAND = ("push", "latched push")
COIL_DEVICES = (
    "relay", "latching", "impulse", "alternating", "on-delay", "off-delay", "off-delay without supply", "interval",
    "flasher", "star-delta",
)  # fmt: skip
TIMERS = ("on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta")


class Places:
    """A wiring, looked at from all sides that the fault list needs. Everything in reading order."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit = wiring.circuit

    @cached_property
    def net_at(self) -> dict[str, Net]:
        """Terminal to net, for terminals with a conductor."""
        wired = {end for wire in self.wiring.wires for end in wire.ends}
        return {terminal: net for terminal, net in net_of(self.circuit).items() if terminal in wired}

    def devices(self, *sorts: str) -> Iterator[Device]:
        """Devices with one of these mechanisms."""
        return (device for device in self.circuit.devices if device.mechanism.sort in sorts)

    def is_wired(self, device: Device, *marks: str) -> bool:
        """Whether every one of the terminals has a conductor."""
        return all(f"{device.tag}.{mark}" in self.net_at for mark in marks)

    @cached_property
    def contacts(self) -> tuple[tuple[Device, Contact, str], ...]:
        """Contacts with conductors at both ends, with their element ids. Marks that no device has are left out."""
        return tuple(
            (device, contact, f"{device.tag}.{contact.name}")
            for device in self.circuit.devices
            for contact in device.contacts
            if self.is_wired(device, contact.a, contact.b) and "?" not in contact.a + contact.b
        )

    @cached_property
    def loads(self) -> tuple[tuple[Device, Load, str], ...]:
        """Loads with conductors at both ends, with their element ids."""
        return tuple(
            (device, load, f"{device.tag}.{load.name}")
            for device in self.circuit.devices
            for load in device.loads
            if self.is_wired(device, load.a, load.b)
        )

    @cached_property
    def sources(self) -> tuple[tuple[Device, Source], ...]:
        """Every supply."""
        return tuple(self.circuit.supplies)

    def neighbours(self) -> Iterator[tuple[str, str]]:
        """Terminals that lie side by side on one device, strip or base, both with conductors, of different nets."""
        for device in self.circuit.devices:
            for one, other in _side_by_side(device):
                a, b = f"{device.tag}.{one}", f"{device.tag}.{other}"
                if a in self.net_at and b in self.net_at and self.net_at[a] is not self.net_at[b]:
                    yield a, b

    def next_to(self, terminal: str) -> Iterator[str]:
        """The terminals of the same device beside one, with conductors or without."""
        tag, _, mark = terminal.partition(".")
        for one, other in _side_by_side(self.circuit.by_tag[tag]):
            if mark in (one, other):
                yield f"{tag}.{other if mark == one else one}"

    def is_earthed(self, net: Net) -> bool:
        """Whether the net is joined to earth on purpose."""
        return net.protective or any(source.earthed_at in net.rails for _, source in self.sources if source.earthed_at)

    def name_of(self, net: Net) -> str:
        """What the file calls a net: a rail, a point, else its first terminal."""
        if net.rails:
            return net.rails[0]
        return f"@{net.points[0]}" if net.points else net.terminals[0]

    def series(self) -> Iterator[tuple[Item, ...]]:
        """Every run of items one after the other, of all rungs and all branches."""
        for rung in self.circuit.rungs:
            yield from _series_in(rung.body)

    def coils_behind(self, items: tuple[Item, ...], at: int) -> set[str]:
        """Tags whose coils stand behind an item of a series."""
        uses = [use for item in items[at + 1 :] for use in uses_in(item)]
        return {use.device for use in uses if self.is_coil(use)}

    def is_coil(self, use: Use) -> bool:
        """Whether a use is the coil of its device."""
        part = self.part(use)
        return isinstance(part, Load) and part.drives != ""

    def part(self, use: Use) -> object:
        """The part behind a use, None for one that its device does not have."""
        found = self.circuit.elements.get(use.element)
        return found[1] if found else None

    def free_contacts(self, device: Device) -> Iterator[Contact]:
        """Contacts of a device with no conductor at either end."""
        for contact in device.contacts:
            ends = f"{device.tag}.{contact.a}", f"{device.tag}.{contact.b}"
            if not any(end in self.net_at for end in ends) and "?" not in contact.a + contact.b:
                yield contact


def _series_in(series: Series) -> Iterator[tuple[Item, ...]]:
    yield series.items
    for item in series.items:
        if isinstance(item, Parallel):
            for branch in item.branches:
                yield from _series_in(branch)


def _side_by_side(device: Device) -> Iterator[tuple[str, str]]:
    """Pairs of marks that lie next to each other: on the grid of the base, else in the order of the terminals."""
    pins = device.base.pins if device.base else ()
    if len(pins) < 2:
        yield from zip(device.terminals, device.terminals[1:], strict=False)
        return
    places = {mark: (column, row) for mark, column, row in pins}
    marks = list(places)
    for index, mark in enumerate(marks):
        apart = {other: _distance(places[mark], places[other]) for other in marks if other != mark}
        nearest = min(apart.values())
        for other in marks[index + 1 :]:
            if apart[other] <= nearest * 1.2:
                yield mark, other


def _distance(one: tuple[float, float], other: tuple[float, float]) -> float:
    return float(((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2) ** 0.5)
