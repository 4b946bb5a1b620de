"""Live state on a drawing: which classes and words every net and element gets.

Thickness and volts first, colour repeats them. The page toggles the same classes that a static picture carries.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from ..circuit import Circuit, Contact, Device, Load, Part, net_of
from .display import Drawing, Group, Item, Text
from .rungs.faces import form_of

PotentialKind = Literal["live", "zero", "dead", "partial"]

LOAD_WORDS = {
    "coil": ("in", "out"),
    "lamp": ("lit", "dark"),
    "sounder": ("sounding", "silent"),
}


@dataclass(frozen=True, slots=True)
class Potential:
    """What a net is joined to: "live" the feeding rail, "zero" the return, "dead" neither, "partial" in between."""

    kind: PotentialKind
    volts: float | None = None


@dataclass(frozen=True, slots=True)
class LiveState:
    """A state of the circuit as a drawing shows it.

    `nets`: net id to potential (absent: dead). `moved`: element ids of contacts that are not as drawn at rest (a
    selector contact that is closed where the handle starts is drawn as a break contact), of fuses and breaker trips
    that have opened. `working`: element ids of loads that do their work. `partial_v`: element id of a load to its
    volts, when they are too few to be sure. `words`: element id to a word of its own instead of "in", "lit", ...
    """

    nets: Mapping[str, Potential] = field(default_factory=dict)
    moved: frozenset[str] = frozenset()
    working: frozenset[str] = frozenset()
    partial_v: Mapping[str, float] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Look:
    """Classes of one net or element, and its word ("24 V", "in")."""

    classes: tuple[str, ...]
    word: str = ""


@dataclass(frozen=True, slots=True)
class Looks:
    """What a page has to toggle: by net id and by element id."""

    nets: Mapping[str, Look]
    elements: Mapping[str, Look]


def looks_of(circuit: Circuit, state: LiveState) -> Looks:
    """The classes and words of every net and element of an allotted circuit in a state."""
    nets = net_of(circuit)
    potentials = {net.id: state.nets.get(net.id, Potential("dead")) for net in nets.values()}
    elements: dict[str, Look] = {}
    for element, (device, part) in circuit.elements.items():
        kinds = [potentials[nets[t].id].kind for t in _terminals(device, part) if t in nets]
        elements[element] = _element_look(element, device, part, kinds, state)
    return Looks({net: _net_look(potential) for net, potential in potentials.items()}, elements)


def _terminals(device: Device, part: Part) -> tuple[str, ...]:
    return tuple(f"{device.tag}.{mark}" for mark in (getattr(part, "a", ""), getattr(part, "b", "")) if mark)


def _net_look(potential: Potential) -> Look:
    volts = "" if potential.kind == "dead" or potential.volts is None else volts_text(potential.volts)
    return Look((potential.kind,), volts)


def _element_look(element: str, device: Device, part: Part, kinds: Sequence[str], state: LiveState) -> Look:
    classes: list[str] = []
    moved = element in state.moved
    if moved:
        classes.append("moved")
    if isinstance(part, Load):
        if element in state.working:
            classes.append("busy")
        return Look(tuple(classes), _load_word(element, part, state))
    closed = moved == (form_of(device, part) == "make") if isinstance(part, Contact) else not moved
    if closed and len(kinds) == 2 and kinds[0] == kinds[1] and kinds[0] in ("live", "partial"):
        classes.append(kinds[0])
    return Look(tuple(classes))


def _load_word(element: str, load: Load, state: LiveState) -> str:
    if element in state.words:
        return state.words[element]
    if element in state.partial_v:
        return f"partial {volts_text(state.partial_v[element])}"
    yes, no = LOAD_WORDS.get(load.sort, ("on", "off"))
    return yes if element in state.working else no


def volts_text(volts: float) -> str:
    """ "24 V", "18.2 V": whole volts where a tenth says nothing more."""
    return f"{volts:.0f} V" if abs(volts - round(volts)) < 0.05 or abs(volts) >= 100 else f"{volts:.1f} V"


def shown_as(drawing: Drawing, looks: Looks) -> Drawing:
    """A drawing made with `live=True`, in one state, as a static picture."""
    return replace(drawing, items=tuple(_dress(item, looks, "", "") for item in drawing.items))


def _dress(item: Item, looks: Looks, net: str, element: str) -> Item:
    if not isinstance(item, Group):
        return item
    net, element = item.net or net, item.element or element
    states: tuple[str, ...] = item.states
    if item.element and item.element in looks.elements:
        states = (*states, *looks.elements[item.element].classes)
    elif item.net and item.net in looks.nets:
        states = (*states, *looks.nets[item.net].classes)
    if item.role == "volts" and net in looks.nets:
        return replace(item, items=_written(item.items, looks.nets[net].word), states=states)
    if item.role == "state-word" and element in looks.elements:
        return replace(item, items=_written(item.items, looks.elements[element].word), states=states)
    return replace(item, items=tuple(_dress(inner, looks, net, element) for inner in item.items), states=states)


def _written(items: tuple[Item, ...], word: str) -> tuple[Item, ...]:
    return tuple(replace(item, text=word) if isinstance(item, Text) else item for item in items)
