"""Cross references: at each coil its contacts with their lines, at each contact the line of its coil."""

from __future__ import annotations

from dataclasses import dataclass, field

from ...circuit import Circuit, Contact, Load, PathUse, Use
from .faces import follows_a_coil, form_of
from .strands import Ladder


@dataclass(frozen=True, slots=True)
class Reference:
    """One contact in the list beside its coil: "13-14 /2"."""

    text: str
    breaks: bool


@dataclass(slots=True)
class References:
    """`coil_row`: device tag to the row of its (first) coil. `contacts`: row of a coil to its device's contacts."""

    coil_row: dict[str, int] = field(default_factory=dict)
    contacts: dict[int, list[Reference]] = field(default_factory=dict)

    def of(self, tag: str) -> str:
        """What stands under a contact: "/4"; "" when no coil is drawn."""
        return f"/{self.coil_row[tag] + 1}" if tag in self.coil_row else ""


def references_in(circuit: Circuit, ladder: Ladder) -> References:
    """All references of a drawing; rows count from 0, the lines that are printed from 1."""
    found = References()
    used: dict[str, list[Reference]] = {}
    coils: list[tuple[int, str]] = []
    for strand in sorted(ladder.strands, key=lambda s: s.row):
        for leaf in strand.leaves:
            if not isinstance(leaf.use, Use):
                continue
            device, part = circuit.elements[leaf.use.element]
            if not follows_a_coil(device):
                continue
            if isinstance(part, Load) and part.drives:
                found.coil_row.setdefault(device.tag, strand.row)
                coils.append((strand.row, device.tag))
            elif isinstance(part, Contact):
                text = f"{part.name if '-' in part.name else f'{part.a}-{part.b}'} /{strand.row + 1}"
                used.setdefault(device.tag, []).append(Reference(text, form_of(device, part) == "break"))
    for tag in _on_power_paths(circuit):
        used.setdefault(tag, []).append(Reference("poles: power", False))
    for row, tag in coils:
        found.contacts.setdefault(row, []).extend(used.get(tag, ()) if found.coil_row[tag] == row else ())
    return found


def _on_power_paths(circuit: Circuit) -> list[str]:
    tags = (i.device for path in circuit.power_paths for i in path.items if isinstance(i, PathUse))
    return [tag for tag in dict.fromkeys(tags) if follows_a_coil(circuit.by_tag[tag])]
