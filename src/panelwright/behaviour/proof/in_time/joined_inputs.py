"""Inputs that a question sees only together: four break contacts in a row matter as one, which is closed or is not.

Where the gates ask several inputs through one node alone, that node can be as free as they are; each way to set them
is then two ways instead of sixteen. Exact for whatever is asked above the node, as long as nobody names the inputs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

from ..panel import Panel


@dataclass(frozen=True, slots=True)
class JoinedInputs:
    """A node of the gate program, and the tags of the inputs that are asked through it alone."""

    name: str
    node: int
    tags: tuple[str, ...]

    def set_to(self, panel: Panel, value: bool) -> dict[str, bool]:
        """The inputs so that the node has a value, as few of them worked as possible."""
        usual = {tag: panel.circuit.by_tag[tag].mechanism.start == "on" for tag in self.tags}
        for count in range(len(self.tags) + 1):
            for worked in combinations(self.tags, count):
                way = {tag: at != (tag in worked) for tag, at in usual.items()}
                if panel.program.gates.values(way, [2 * self.node])[0] == value:
                    return way
        raise ValueError(f"{self.name} cannot be {value}")


def joined_inputs(panel: Panel, tags: Collection[str], keep: Collection[str]) -> tuple[JoinedInputs, ...]:
    """The widest such nodes among what some devices depend on. `keep`: inputs that are named and stay themselves."""
    graph = _Graph(panel, tags)
    free = {
        device.tag
        for device in panel.circuit.devices
        if device.tag in tags and device.tag not in keep and device.tag not in panel.stuck
        if device.mechanism.sort in ("push", "latched push", "field", "trip", "switch")
        if not panel.has_place_between(device.tag, "")
    }
    found: list[JoinedInputs] = []
    taken: set[str] = set()
    for node in sorted(graph.support, reverse=True):
        inputs = graph.support[node]
        if len(inputs) > 1 and inputs <= free and not inputs & taken and graph.is_asked_alone(node):
            found.append(JoinedInputs(f"inputs-{len(found) + 1}", node, tuple(sorted(inputs))))
            taken |= inputs
    return tuple(found)


class _Graph:
    """The gates below everything that devices ask."""

    def __init__(self, panel: Panel, tags: Collection[str]) -> None:
        program = panel.program
        self.gates = program.gates
        tables = (program.full, program.may, program.live, program.forward, program.reverse)
        self.roots = {
            literal >> 1 for table in tables for name, literal in table.items() if name.partition(".")[0] in tags
        }
        self.above: dict[int, set[int]] = {}
        self.support: dict[int, frozenset[str]] = {}
        for node in sorted(self._reached()):
            below = self._below(node)
            names = [self.support.get(one, frozenset()) for one in below]
            self.support[node] = frozenset().union(*names) if below else frozenset((panel.input_names[node],))

    def _below(self, node: int) -> tuple[int, ...]:
        return () if self.gates.left[node] < 0 else (self.gates.left[node] >> 1, self.gates.right[node] >> 1)

    def _reached(self) -> set[int]:
        found: set[int] = set()
        waiting = list(self.roots)
        while waiting:
            node = waiting.pop()
            if node and node not in found:
                found.add(node)
                for one in self._below(node):
                    self.above.setdefault(one, set()).add(node)
                    waiting.append(one)
        return found

    def is_asked_alone(self, node: int) -> bool:
        """Whether nothing asks for anything below the node but through it."""
        inside = set(self._inside(node))
        return not inside & self.roots and all(self.above[one] <= inside | {node} for one in inside)

    def _inside(self, node: int) -> Iterator[int]:
        waiting, seen = list(self._below(node)), {0}
        while waiting:
            one = waiting.pop()
            if one not in seen:
                seen.add(one)
                yield one
                waiting += self._below(one)
