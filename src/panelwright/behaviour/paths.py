"""Through which closed contacts a load is fed, and what opened its path."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from ..circuit import Circuit, Contact, Fuse
from ..electrics import Network, Position

Around = Mapping[int, tuple[tuple[str, int], ...]]


@lru_cache(maxsize=64)
def around(network: Network) -> Around:
    """Every node with the switches at it and where they lead."""
    found: dict[int, list[tuple[str, int]]] = {}
    for switch in network.elements.switches.values():
        if switch.sort != "strap":
            found.setdefault(switch.a, []).append((switch.id, switch.b))
            found.setdefault(switch.b, []).append((switch.id, switch.a))
    return {node: tuple(steps) for node, steps in found.items()}


def poles(network: Network) -> Mapping[str, frozenset[int]]:
    """Nodes at which each supply gives its volts, by tag."""
    found: dict[str, set[int]] = {}
    for feed in network.elements.feeds.values():
        found.setdefault(feed.tag, set()).update((feed.a, feed.b))
    return {tag: frozenset(nodes) for tag, nodes in found.items()}


def conducts_in(network: Network, position: Position) -> Callable[[str], bool]:
    """Whether a switch conducts in a position."""
    switches = network.elements.switches

    def conducts(element: str) -> bool:
        if switches[element].sort == "contact":
            return element in position.closed
        return element not in position.blown

    return conducts


def way(steps: Around, conducts: Callable[[str], bool], start: int, goals: set[int]) -> tuple[list[str], int] | None:
    """The shortest way over conducting switches from a node to one of the goals: switches and the goal."""
    came: dict[int, tuple[int, str]] = {start: (start, "")}
    line = deque([start])
    while line:
        node = line.popleft()
        if node in goals:
            return _back(came, node)[::-1], node
        for element, other in steps.get(node, ()):
            if other not in came and conducts(element):
                came[other] = (node, element)
                line.append(other)
    return None


def _back(came: Mapping[int, tuple[int, str]], node: int) -> list[str]:
    passed: list[str] = []
    while came[node][1]:
        node, element = came[node]
        passed.append(element)
    return passed


@dataclass(frozen=True, slots=True)
class Feeding:
    """How a load is fed: the tag of the supply, and the switches from one of its poles to the other, in order."""

    supply: str
    path: tuple[str, ...]


def feeding(network: Network, position: Position, element: str) -> Feeding | None:
    """How a load is fed through closed contacts; None when it is not, or only through another load."""
    load = network.elements.consumers.get(element)
    if load is None:
        return None
    steps, conducts = around(network), conducts_in(network, position)
    supplies = {tag: nodes for tag, nodes in poles(network).items() if tag not in position.off}
    ends = {node for nodes in supplies.values() for node in nodes}
    for one, other in ((load.a, load.b), (load.b, load.a)):
        first = way(steps, conducts, one, ends)
        if first is None:
            continue
        for tag, nodes in supplies.items():
            second = way(steps, conducts, other, set(nodes) - {first[1]}) if first[1] in nodes else None
            if second is not None:
                ahead, behind = (first[0], second[0]) if one == load.a else (second[0], first[0])
                return Feeding(tag, (*reversed(ahead), *behind))
    return None


def feeding_path(network: Network, position: Position, element: str) -> tuple[str, ...]:
    """The switches of `feeding`, () when the load is not fed."""
    found = feeding(network, position, element)
    return found.path if found else ()


def contacts_on(circuit: Circuit, path: tuple[str, ...]) -> tuple[str, ...]:
    """Only what can open by being worked: contacts and fuses of the circuit."""
    return tuple(e for e in path if e in circuit.elements and isinstance(circuit.elements[e][1], Contact | Fuse))


def spoken(circuit: Circuit, element: str) -> str:
    """How a part is called in a sentence: the tag, and the contact where the device has several parts."""
    if element not in circuit.elements:
        return element
    device, part = circuit.elements[element]
    return device.tag if len(device.parts) == 1 or isinstance(part, Fuse) else f"{device.tag} {part.name}"


def listed(words: list[str]) -> str:
    """ "S1", "S1 and S2", "S1, S2 and S3"."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""
