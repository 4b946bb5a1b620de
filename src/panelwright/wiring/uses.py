"""The uses of a circuit as written: those that name their part, and the contacts that are wanted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

from ..circuit import Circuit, Contact, Device, Net, Series, Use, net_of
from .parts import said_part, with_uses
from .paths import paths_filled
from .seats import seats_of


@dataclass(slots=True)
class Wanted:
    """One contact of the panel: an open use, or a pinned one, with its seats (several where a label stands twice).

    `contact`: the one that serves it; known from the start when pinned.
    """

    use: Use
    seats: list[int] = field(default_factory=list)
    contact: Contact | None = None

    @property
    def pinned(self) -> bool:
        """Whether the file names the terminals."""
        return self.use.terminals is not None


class WrittenUses:
    """All uses of a circuit, by seat. `settled`: seats whose use leaves no choice, with terminals and name."""

    def __init__(self, circuit: Circuit) -> None:
        self.circuit = replace(circuit, power_paths=paths_filled(circuit))
        self.seats = seats_of(circuit)
        self.settled: dict[int, Use] = {}
        self.wanted: list[Wanted] = []
        self._sort(circuit.by_tag)
        self.provisional = self._provisional()
        self.nets: Mapping[str, Net] = net_of(self.with_uses(self.provisional, circuit.devices))

    def _sort(self, devices: Mapping[str, Device]) -> None:
        """Tell uses that name their part from contacts left open; equal labels are one contact."""
        known: dict[tuple[object, ...], Wanted] = {}
        for index, seat in enumerate(self.seats):
            use, part = seat.use, None
            device = devices.get(use.device)
            said = said_part(device, use) if device else None
            key: tuple[object, ...] = (use.device, use.form, use.timing, use.label) if use.label else (index,)
            if device is not None and said is not None:
                use = self.settled[index] = with_part(use, *said)
                part = next((c for c in device.contacts if c.name == use.name), None)
                if part is None:
                    continue
                key = (use.device, use.name)
            if key not in known:
                known[key] = Wanted(use, contact=part)
                self.wanted.append(known[key])
            known[key].seats.append(index)

    def _provisional(self) -> dict[int, Use]:
        """Uses with made-up terminals for contacts still open: what shares a wire does so whoever is chosen."""
        uses = dict(self.settled)
        for number, wanted in enumerate(self.wanted):
            if not wanted.pinned:
                for seat in wanted.seats:
                    uses[seat] = with_part(self.seats[seat].use, f"~{number}", (f"~{number}a", f"~{number}b"))
        return uses

    def with_uses(self, uses: Mapping[int, Use], devices: Sequence[Device], **changes: Any) -> Circuit:
        """The circuit with other uses in its seats."""
        stream = iter([uses[i] for i in range(len(self.seats))])
        rungs = tuple(replace(r, body=cast(Series, with_uses(r.body, stream))) for r in self.circuit.rungs)
        return replace(self.circuit, rungs=rungs, devices=tuple(devices), **changes)

    def ends(self, seat: int) -> tuple[str, str]:
        """Nets at the start and the end of a seat."""
        use = self.provisional[seat]
        start, end = use.terminals or ("", "")
        return self.nets[f"{use.device}.{start}"].id, self.nets[f"{use.device}.{end}"].id


def with_part(use: Use, name: str, terminals: tuple[str, str]) -> Use:
    """The use with its part; written out, for `replace` is slow and there are thousands."""
    return Use(use.device, use.part, use.form, use.label, use.timing, use.positions, terminals, name, use.span)
