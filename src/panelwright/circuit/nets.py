"""Nets: terminals joined by conductors. The truth about an allotted circuit."""

from __future__ import annotations

from dataclasses import dataclass

from .circuit import Circuit
from .rungs import Here, Item, Parallel, PathUse, PowerPath, Rung, Series, Star, Swap, Through, Use


@dataclass(frozen=True, slots=True)
class Net:
    """`id`: the rail or point name without its sign if it has one ("+", "4", "P.1"), else the first terminal.

    `terminals`: "K1.13"-like, in reading order, supplies first. `rails`, `points`: the names it carries.
    `power`: no rung touches it, only power paths. `protective`: a protective conductor (rail PE).
    """

    id: str
    terminals: tuple[str, ...]
    rails: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    power: bool = False

    @property
    def protective(self) -> bool:
        """Whether this is the protective conductor."""
        return "PE" in self.rails


class _Joiner:
    """Union-find over node names; terminals are "K1.13", rails "=+", points "@4", inner places "#3"."""

    def __init__(self) -> None:
        self.parent: dict[str, str] = {}
        self.touched: set[str] = set()
        self.inner = 0

    def find(self, node: str) -> str:
        root = self.parent.setdefault(node, node)
        while root != self.parent[root]:
            self.parent[root] = self.parent[self.parent[root]]
            root = self.parent[root]
        return root

    def join(self, one: str, other: str) -> None:
        self.touched |= {one, other}
        self.parent[self.find(other)] = self.find(one)

    def fresh(self) -> str:
        self.inner += 1
        return f"#{self.inner}"

    def end(self, name: str) -> str:
        return name if name.startswith("@") else f"={name}"

    def rung(self, rung: Rung) -> None:
        self.item(rung.body, self.end(rung.start), self.end(rung.end))

    def item(self, item: Item, start: str, end: str) -> None:
        if isinstance(item, Use):
            if item.terminals is None:
                raise ValueError(f"{item.device}.{item.part} is not allotted yet")
            self.join(start, f"{item.device}.{item.terminals[0]}")
            self.join(end, f"{item.device}.{item.terminals[1]}")
        elif isinstance(item, Through):
            self.join(start, f"{item.device}.{item.terminal}")
            self.join(start, end)
        elif isinstance(item, Here):
            self.join(start, f"@{item.name}")
            self.join(start, end)
        elif isinstance(item, Parallel):
            for branch in item.branches:
                self.item(branch, start, end)
        else:
            self.series(item, start, end)

    def series(self, series: Series, start: str, end: str) -> None:
        if not series.items:
            self.join(start, end)
            return
        here = start
        for inner in series.items[:-1]:
            there = self.fresh()
            self.item(inner, here, there)
            here = there
        self.item(series.items[-1], here, end)

    def path(self, path: PowerPath) -> None:
        wires = [self.end(name) for name in path.starts]
        for item in path.items:
            if isinstance(item, Swap):
                wires[item.first], wires[item.second] = wires[item.second], wires[item.first]
            elif isinstance(item, Star):
                for wire in wires[1:]:
                    self.join(wires[0], wire)
            else:
                wires = self.path_use(item, wires)
        for wire, name in zip(wires, path.ends, strict=False):
            self.join(wire, self.end(name))

    def path_use(self, use: PathUse, wires: list[str]) -> list[str]:
        leaving: list[str] = []
        for index, (enters, leaves) in enumerate(use.pairs):
            if enters and index < len(wires):
                self.join(wires[index], f"{use.device}.{enters}")
            leaving.append(f"{use.device}.{leaves}" if leaves else f"{use.device}.{enters}")
        return leaving


def _find_nets(circuit: Circuit) -> tuple[Net, ...]:
    joiner = _Joiner()
    for rail, terminals in circuit.rails.items():
        for terminal in terminals:
            joiner.join(joiner.end(rail), terminal)
    joiner.touched.clear()
    for rung in circuit.rungs:
        joiner.rung(rung)
    control = {node for node in joiner.touched if not node.startswith("#")}
    for path in circuit.power_paths:
        joiner.path(path)
    groups: dict[str, list[str]] = {}
    for node in joiner.parent:
        groups.setdefault(joiner.find(node), []).append(node)
    return tuple(net for nodes in groups.values() if (net := _net(nodes, control)) is not None)


def _net(nodes: list[str], control: set[str]) -> Net | None:
    rails = tuple(node[1:] for node in nodes if node.startswith("="))
    points = tuple(node[1:] for node in nodes if node.startswith("@"))
    terminals = tuple(node for node in nodes if node[0] not in "=@#")
    if not terminals:
        return None
    name = rails[0] if rails else points[0] if points else terminals[0]
    return Net(name, terminals, rails, points, not any(node in control for node in nodes))


def nets_of(circuit: Circuit) -> tuple[Net, ...]:
    """The nets of an allotted circuit, in reading order.

    Two uses of one terminal join their nets, as they do in the panel.
    Raises: ValueError when the circuit is not allotted.
    """
    found: tuple[Net, ...] | None = circuit.__dict__.get("_nets")
    if found is None:
        found = _find_nets(circuit)
        circuit.__dict__["_nets"] = found  # a circuit never changes, so it may carry its nets along
    return found


def with_nets_of(circuit: Circuit, like: Circuit) -> Circuit:
    """The circuit, with the nets of another that differs from it in words alone; they need not be found again."""
    circuit.__dict__["_nets"] = nets_of(like)
    return circuit


def net_of(circuit: Circuit) -> dict[str, Net]:
    """Terminal ("K1.13") to its net; terminals without a conductor are absent."""
    return {terminal: net for net in nets_of(circuit) for terminal in net.terminals}
