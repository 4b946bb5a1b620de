"""Cores of the cables: which wire takes which."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from ..catalog import read_quantity
from ..circuit import Cable, Circuit, Quantity
from .whereabouts import Whereabouts

SIZE = re.compile(r"^\s*(\d+)\s*[xXgG\u00d7]\s*(.+)$")


@dataclass(frozen=True, slots=True)
class Core:
    """A core of a cable; size and length are those of the cable."""

    cable: str
    name: str
    size: Quantity | None
    length: Quantity | None


class Cores:
    """Hands out cores: as the file says, else counted on in the order of the wires; the protective one is "PE"."""

    def __init__(self, circuit: Circuit, where: Whereabouts) -> None:
        self.cables = circuit.cables
        self.where = where
        self.written = {
            frozenset((one, other)): (cable, core) for cable in circuit.cables for core, one, other in cable.core_ends
        }
        self.used = {cable.tag: {core for core, _, _ in cable.core_ends} for cable in circuit.cables}
        self.past_strip: list[str] = []

    def core_for(self, ends: tuple[str, str], number: str, protective: bool) -> Core | None:
        """The core for a conductor; None for one that needs none."""
        if not self.cables or self.where[ends[0]].place == self.where[ends[1]].place:
            return None
        if frozenset(ends) in self.written:
            cable, name = self.written[frozenset(ends)]
            return _core(cable, name)
        found = self._cable_for(*(end.split(".", 1)[0] for end in ends))
        if found is None:
            self._note_past_strip(ends, number)
            return None
        used = self.used[found.tag]
        name = "PE" if protective else next(str(n) for n in range(1, 10_000) if str(n) not in used)
        used.add(name)
        return _core(found, name)

    def _cable_for(self, one: str, other: str) -> Cable | None:
        for cable in self.cables:
            if (one == cable.start and other in cable.ends) or (other == cable.start and one in cable.ends):
                return cable
        return None

    def _note_past_strip(self, ends: tuple[str, str], number: str) -> None:
        for end in ends:
            tag = end.split(".", 1)[0]
            cable = next((c for c in self.cables if tag in c.ends), None)
            if cable is not None:
                self.past_strip.append(
                    f"Wire {number} reaches {end} past the start of cable {cable.tag}: "
                    f"write a terminal of {cable.start} beside {tag} in its rung, then a core of the cable is used."
                )
                return

    def told(self) -> Iterator[str]:
        """Wires that go past a cable, and cables with fewer cores than the wires need."""
        yield from self.past_strip
        for cable in self.cables:
            size = SIZE.match(cable.cores)
            if size and int(size[1]) < len(self.used[cable.tag]):
                yield f"Cable {cable.tag} has {size[1]} cores and needs {len(self.used[cable.tag])}."


def _core(cable: Cable, name: str) -> Core:
    size = SIZE.match(cable.cores)
    return Core(cable.tag, name, read_quantity(size[2]) if size else None, cable.length)
