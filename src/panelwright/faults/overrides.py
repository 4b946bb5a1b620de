"""What a fault changes in the gate program of a panel: inputs held, places joined, loads dead, devices stuck."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from ..behaviour import Injected
from ..circuit import Contact, Load
from ..electrics import (
    Edit,
    Exchanged,
    Joined,
    Lifted,
    Moved,
    Network,
    Opened,
    Shorted,
    SupplyAt,
    WireOpened,
)

Join = tuple[str, str]


@dataclass
class Override:
    """One fault in terms of the gate program.

    `held`: inputs by name and what they are held at; `joins`: places that touch; `dead`: loads that never work;
    `stuck`: devices that stand still, True where operated; `inverted`: contacts that are of the other form;
    `untimed`: timers that never run out. `nodes`: nodes whose wires have to be told apart.
    """

    held: dict[str, bool] = field(default_factory=dict)
    joins: list[Join] = field(default_factory=list)
    dead: set[str] = field(default_factory=set)
    stuck: dict[str, bool] = field(default_factory=dict)
    inverted: set[str] = field(default_factory=set)
    untimed: set[str] = field(default_factory=set)
    nodes: set[int] = field(default_factory=set)

    @property
    def is_plain(self) -> bool:
        """Whether the program of the whole circuit will do, without wires told apart or places joined."""
        return not self.joins and not self.nodes


def join_name(pair: tuple[str, str]) -> str:
    """Input of two places that may touch."""
    return f"join:{pair[0]} {pair[1]}"


class Overrides:
    """Faults of one network as overrides."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.wires_at: dict[str, list[tuple[str, str]]] = defaultdict(list)  # terminal to (input, other end)
        for pairs in network.wires.values():
            for start, end in pairs:
                name = f"wire:{start} {end}"
                self.wires_at[start].append((name, end))
                self.wires_at[end].append((name, start))

    def of(self, injected: Injected) -> Override | None:
        """The override of a fault; None for one that needs volts, times or flutter to be seen."""
        if injected.flutters or injected.loose or injected.bouncing:
            return None
        found = Override()
        for tag, at in injected.stuck:
            if at not in ("operated", "rest"):
                return None
            found.stuck[tag] = at == "operated"
        for element in injected.blown:
            found.held[element] = False
        for element, form in injected.refitted:
            part = self.network.circuit.elements[element][1]
            if isinstance(part, Contact) and part.form != form:
                found.inverted.add(element)
        for tag, seconds in injected.delays:
            if seconds < 1e8:
                return None
            found.untimed.add(tag)
        if not all(self._edit(found, edit) for edit in injected.edits):
            return None
        return found

    def _edit(self, found: Override, edit: Edit) -> bool:
        """Put one edit in; False when gates cannot say it."""
        if isinstance(edit, Opened | Shorted):
            return self._part(found, edit)
        if isinstance(edit, Joined):
            found.joins.append((edit.a, edit.b))
            return not edit.ohms and not edit.farads
        if isinstance(edit, WireOpened):
            names = {name for name, other in self.wires_at[edit.ends[0]] if other == edit.ends[1]}
            found.held.update(dict.fromkeys(names, False))
            found.nodes.add(self.network.node(edit.ends[0]))
            return not edit.ohms and bool(names)
        if isinstance(edit, Lifted):
            self._lift(found, edit.terminal)
            return True
        if isinstance(edit, Moved):
            self._land(found, self._lift(found, edit.terminal), edit.to)
            return edit.to in self.network.elements.node_of
        if isinstance(edit, Exchanged):
            ours, theirs = self._lift(found, edit.terminal), self._lift(found, edit.other)
            self._land(found, ours, edit.other)
            self._land(found, theirs, edit.terminal)
            return not set(ours) & {edit.other}
        if isinstance(edit, SupplyAt) and edit.volts == 0:
            found.held[f"supply:{edit.tag}"] = False
            return True
        return False

    def _part(self, found: Override, edit: Opened | Shorted) -> bool:
        known = self.network.circuit.elements.get(edit.element)
        if known is None or (isinstance(edit, Shorted) and edit.ohms):
            return False
        device, part = known
        if isinstance(part, Contact):
            found.held[edit.element] = isinstance(edit, Shorted)
        elif isinstance(part, Load) and isinstance(edit, Opened):
            found.dead.add(edit.element)
        elif isinstance(part, Load):
            found.joins.append((f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"))
        else:
            return False
        return True

    def _lift(self, found: Override, terminal: str) -> list[str]:
        """Take the conductors off a terminal; the far ends of its wires, joined to one another as before."""
        if terminal not in self.network.elements.node_of:
            return []
        wires = self.wires_at[terminal]
        found.nodes.add(self.network.node(terminal))
        found.held.update({name: False for name, _ in wires})
        ends = [end for _, end in wires]
        found.joins += [(ends[0], other) for other in ends[1:]]
        return ends

    def _land(self, found: Override, ends: list[str], to: str) -> None:
        if ends:
            found.joins.append((ends[0], to))
