"""Wire numbers: one for each net, changing only across a device."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, count

from ..circuit import Circuit, Net, PathUse, Series, Through, Use
from ..circuit.rungs import Item, Parallel
from .strips import is_strip

Proposals = Callable[[Net], Iterator[str]]


@dataclass(frozen=True, slots=True)
class Numbering:
    """Net id to number, and sentences about earlier numbers that could not stay."""

    numbers: dict[str, str]
    told: tuple[str, ...] = ()


def number_nets(circuit: Circuit, nets: tuple[Net, ...], earlier: Mapping[str, str] | None = None) -> Numbering:
    """Number the nets of an allotted circuit by the scheme of its heading.

    Rails and named points keep their names. `earlier`: terminal ("K1.13") to the number that its wire carries in the
    panel; such numbers stay, and where they cannot, a sentence says so.
    """
    numbers = {net.id: net.id for net in nets if net.rails or net.points}
    told = _keep(numbers, nets, earlier or {})
    taken = {name for net in nets for name in (*net.rails, *net.points)} | {
        *numbers.values(),
        *(earlier or {}).values(),
    }
    proposals = SCHEMES.get(circuit.heading.wire_numbers, _running)(circuit)
    for net in nets:
        if net.id not in numbers:
            numbers[net.id] = next(number for number in proposals(net) if number not in taken)
            taken.add(numbers[net.id])
    return Numbering({net.id: numbers[net.id] for net in nets}, tuple(told))


def _keep(numbers: dict[str, str], nets: tuple[Net, ...], earlier: Mapping[str, str]) -> list[str]:
    """Give each net the number that most of its terminals carry; tell where two claims clash."""
    told = []
    carried = {net.id: Counter(earlier[t] for t in net.terminals if t in earlier) for net in nets}
    claims: dict[str, list[tuple[int, int, Net]]] = {}
    for index, net in enumerate(nets):
        for number, ends in carried[net.id].items():
            claims.setdefault(number, []).append((-ends, index, net))
    owner = {number: min(who)[2].id for number, who in claims.items()}
    named = {name: net.id for net in nets for name in (*net.rails, *net.points)}
    owner |= {number: named[number] for number in owner if number in named}
    for net in nets:
        held = [number for number, _ in carried[net.id].most_common() if owner[number] == net.id]
        if net.id not in numbers and held:
            numbers[net.id] = held[0]
        kept = numbers.get(net.id)
        for number in held:
            if number != kept:
                told.append(_joined(net, number, kept or "", earlier))
        for number in carried[net.id]:
            if owner[number] != net.id:
                told.append(_split(net, number, owner[number], earlier))
    return told


def _joined(net: Net, number: str, kept: str, earlier: Mapping[str, str]) -> str:
    ends = ", ".join(t for t in net.terminals if earlier.get(t) == number)
    return f"Wires {number} and {kept} are one wire now; it is called {kept}: put new labels on {ends}."


def _split(net: Net, number: str, owner: str, earlier: Mapping[str, str]) -> str:
    ends = ", ".join(t for t in net.terminals if earlier.get(t) == number)
    return f"Number {number} stood on two different wires; it stays with {owner}: put new labels on {ends}."


def _running(circuit: Circuit) -> Proposals:
    """1, 2, 3 in reading order."""
    numbers = map(str, count(1))
    return lambda net: numbers


def _by_rung(circuit: Circuit) -> Proposals:
    """Rung 3: 301, 302; power path 2: P201, P202."""
    line_of = _lines(circuit)
    counts: dict[str, Iterator[str]] = {}

    def proposals(net: Net) -> Iterator[str]:
        line = next((line_of[t] for t in net.terminals if t in line_of), "0")
        if line not in counts:
            counts[line] = (f"{line}{n:02d}" for n in count(1))
        return counts[line]

    return proposals


def _by_device_end(circuit: Circuit) -> Proposals:
    """The first device terminal on the net, supplies and strips left out where another is there."""
    return lambda net: iter([*_device_ends(circuit, net), *net.terminals])


def _by_text(circuit: Circuit) -> Proposals:
    """What the first device is for, and the terminal: "Stop 12"; the tag behind it where that is not enough."""

    def proposals(net: Net) -> Iterator[str]:
        named = []
        for end in chain(_device_ends(circuit, net), net.terminals):
            tag, mark = end.split(".", 1)
            named.append((circuit.by_tag[tag].text or tag, mark, tag))
        yield from (f"{text} {mark}" for text, mark, _ in named[:1])
        yield from (f"{text} {mark} ({tag})" for text, mark, tag in named)

    return proposals


SCHEMES: Mapping[str, Callable[[Circuit], Proposals]] = {
    "running": _running,
    "by rung": _by_rung,
    "by device end": _by_device_end,
    "by other end": _running,  # the net is still one; only the labels at the ends differ
    "by text": _by_text,
}


def _device_ends(circuit: Circuit, net: Net) -> list[str]:
    devices = {t: circuit.by_tag.get(t.split(".", 1)[0]) for t in net.terminals}
    return [t for t, device in devices.items() if device and not device.sources and not is_strip(device)]


def _lines(circuit: Circuit) -> dict[str, str]:
    """Terminal to the number of the rung or path in which it is met first."""
    line_of: dict[str, str] = {}
    for number, rung in enumerate(circuit.rungs, 1):
        for terminal in _terminals(rung.body):
            line_of.setdefault(terminal, str(number))
    for number, path in enumerate(circuit.power_paths, 1):
        for item in path.items:
            if isinstance(item, PathUse):
                for mark in chain.from_iterable(item.pairs):
                    line_of.setdefault(f"{item.device}.{mark}", f"P{number}")
    return line_of


def _terminals(item: Item) -> Iterator[str]:
    if isinstance(item, Use):
        yield from (f"{item.device}.{mark}" for mark in item.terminals or ())
    elif isinstance(item, Through):
        yield f"{item.device}.{item.terminal}"
    elif isinstance(item, Series):
        for inner in item.items:
            yield from _terminals(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from _terminals(branch)
