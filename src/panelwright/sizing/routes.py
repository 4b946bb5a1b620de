"""How a motor is fed: the devices and conductors between it and the supply, and what share of its current each carries.

The wires of a power path are taken together as one bundle. A device lies on the way when some simple path of bundles
from the motor to a supply goes through it; which ones do is told by the biconnected components, so that reversing,
bypass and star-delta circuits need no case of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import networkx as nx
from networkx.utils import UnionFind

from ..circuit import Cable, Circuit, Contact, Device, Fuse, Link, Load, PathUse
from ..wiring import Wire, Wiring
from .factors import factor
from .plates import Plate, plates_of

_SUPPLY = "supply "  # no net is called so
CURRENTS: tuple[Literal["ac", "dc"], ...] = ("ac", "dc")
PROTECTION = ("fuse", "breaker", "motor breaker")
SIX = 6  # leads of a motor for star and delta
Carrier = Contact | Fuse | Link | Load  # a load only where a power path goes on behind it: starting resistors


@dataclass(frozen=True, slots=True)
class Stop:
    """A device on the way. `share` of the motor's line current goes through each pole; `leads`: those that it feeds."""

    device: Device
    poles: int
    share: float
    leads: frozenset[str]
    distance: int


@dataclass(frozen=True)
class Route:
    """The way from a motor to its supply, nearest to the motor first.

    `branch_nets`: between its branch device and all its leads; `run_nets`: those of them that its first lead is fed by.
    """

    plate: Plate
    stops: tuple[Stop, ...]
    wires: tuple[Wire, ...]
    cables: tuple[Cable, ...]
    supplies: tuple[str, ...]
    branch_nets: frozenset[str]
    run_nets: frozenset[str]

    @property
    def star_delta(self) -> bool:
        """Whether the motor starts in star and runs in delta."""
        return any(stop.share < 1 for stop in self.stops)

    @property
    def device(self) -> Stop | None:
        """The branch device: the fuses or the breaker nearest to the motor."""
        return self.first(*PROTECTION)

    def first(self, *kinds: str) -> Stop | None:
        """The stop of one of these kinds that is nearest to the motor."""
        return next((stop for stop in self.stops if stop.device.kind in kinds), None)

    def every(self, *kinds: str) -> tuple[Stop, ...]:
        """All stops of these kinds."""
        return tuple(stop for stop in self.stops if stop.device.kind in kinds)

    @cached_property
    def tags(self) -> frozenset[str]:
        """The devices on the way."""
        return frozenset(stop.device.tag for stop in self.stops)


class Grid:
    """The power circuit of a panel as a graph: bundles of nets joined by poles, fuses and links.

    Only supplies of one kind of current count: a dc brake does not feed an ac motor.
    """

    def __init__(self, wiring: Wiring, current: Literal["ac", "dc"]) -> None:
        self.wiring = wiring
        self.current = current
        self.circuit: Circuit = wiring.circuit
        self.net_at: dict[str, str] = {terminal: net.id for net in wiring.nets for terminal in net.terminals}
        self.bundle = self._bundles()
        self.sources = self._sources()
        self.graph, self.carriers = self._graph()
        self._found: dict[str, set[frozenset[str]]] = {}

    def bundle_at(self, terminal: str) -> str | None:
        """The bundle that a terminal is on."""
        net = self.net_at.get(terminal)
        return None if net is None else self.bundle[net]

    def _bundles(self) -> dict[str, str]:
        """Net to the first net of its bundle: what enters, or leaves, one item of a power path together."""
        joined: UnionFind[str] = UnionFind(net.id for net in self.wiring.nets)
        for path in self.circuit.power_paths:
            for item in path.items:
                if isinstance(item, PathUse) and item.device in self.circuit.by_tag:
                    for side in zip(*item.pairs, strict=True):
                        nets = [self.net_at[at] for mark in side if (at := f"{item.device}.{mark}") in self.net_at]
                        joined.union(*nets)
        return {net.id: joined[net.id] for net in self.wiring.nets}

    def _sources(self) -> dict[str, set[str]]:
        """Bundle to the supplies that feed it; the protective conductor feeds nothing."""
        found: dict[str, set[str]] = {}
        protective = {self.bundle[net.id] for net in self.wiring.nets if net.protective}
        for device, source in self.circuit.supplies:
            for mark in source.terminals if source.current == self.current else ():
                bundle = self.bundle_at(f"{device.tag}.{mark}")
                if bundle is not None and bundle not in protective:
                    found.setdefault(bundle, set()).add(device.tag)
        return found

    def _graph(self) -> tuple[nx.Graph, Mapping[frozenset[str], list[tuple[Device, Carrier]]]]:
        graph: nx.Graph = nx.Graph()
        graph.add_node(_SUPPLY)
        passed = {item.device for path in self.circuit.power_paths for item in path.items if isinstance(item, PathUse)}
        carriers: dict[frozenset[str], list[tuple[Device, Carrier]]] = {}
        for device in self.circuit.devices:
            for part in device.parts:
                if not isinstance(part, Contact | Fuse | Link | Load):
                    continue
                if isinstance(part, Load) and (part.sort != "resistor" or device.tag not in passed):
                    continue
                one, other = (self.bundle_at(f"{device.tag}.{mark}") for mark in (part.a, part.b))
                if one is None or other is None or one == other:
                    continue
                graph.add_edge(one, other)
                carriers.setdefault(frozenset((one, other)), []).append((device, part))
        for bundle in self.sources:
            graph.add_edge(bundle, _SUPPLY)
        return graph, carriers

    def edges_between(self, bundle: str) -> set[frozenset[str]]:
        """The edges on simple paths from a bundle to any supply."""
        if bundle not in self._found:
            self._found[bundle] = self._edges_between(bundle)
        return self._found[bundle]

    def _edges_between(self, bundle: str) -> set[frozenset[str]]:
        if bundle in self.sources or bundle not in self.graph or not nx.has_path(self.graph, bundle, _SUPPLY):
            return set()
        graph = self.graph.copy()
        graph.add_edge(bundle, _SUPPLY)
        for edges in nx.biconnected_component_edges(graph):
            component = {frozenset(edge) for edge in edges}
            if frozenset((bundle, _SUPPLY)) in component:
                return {edge for edge in component if _SUPPLY not in edge and edge in self.carriers}
        return set()

    def star_at(self, bundle: str) -> Device | None:
        """The contactor that joins all wires of a bundle in one point."""
        for device in self.circuit.devices:
            poles = [part for part in device.contacts if part.main]
            ends = [{self.net_at.get(f"{device.tag}.{mark}") for mark in (pole.a, pole.b)} for pole in poles]
            beside = any(self.bundle_at(f"{device.tag}.{pole.a}") == bundle for pole in poles)
            if len(poles) > 1 and beside and len(set.intersection(*ends)) == 1:
                return device
        return None


def routes_of(wiring: Wiring) -> tuple[Route, ...]:
    """The way of every motor winding, in file order; kept on the wiring's circuit."""
    kept: tuple[Route, ...] | None = wiring.circuit.__dict__.get("_routes")
    if kept is None:
        grids = {kind: Grid(wiring, kind) for kind in CURRENTS}
        kept = tuple(_route(grids["dc" if plate.kind == "dc" else "ac"], plate) for plate in plates_of(wiring.circuit))
        wiring.circuit.__dict__["_routes"] = kept
    return kept


def _route(grid: Grid, plate: Plate) -> Route:
    bundles = {lead: bundle for lead in plate.leads if (bundle := grid.bundle_at(f"{plate.tag}.{lead}")) is not None}
    edges = {lead: grid.edges_between(bundle) for lead, bundle in bundles.items()}
    near = _distances(grid, set(bundles.values()))
    leads: dict[str, set[str]] = {}
    places: dict[str, set[frozenset[str]]] = {}
    for lead, found in edges.items():
        for edge in found:
            for device, _ in grid.carriers[edge]:
                leads.setdefault(device.tag, set()).add(lead)
                places.setdefault(device.tag, set()).add(edge)
    stops = [
        Stop(
            grid.circuit.by_tag[tag],
            len({part.name for edge in places[tag] for device, part in grid.carriers[edge] if device.tag == tag}),
            _share(plate, served),
            frozenset(served),
            min(near.get(bundle, 99) for edge in places[tag] for bundle in edge),
        )
        for tag, served in leads.items()
    ]
    stops += _star_stops(grid, plate, bundles, set(leads))
    on_way = {bundle for found in edges.values() for edge in found for bundle in edge} | set(bundles.values())
    wires = tuple(wire for wire in grid.wiring.wires if grid.bundle[wire.net] in on_way and wire.power)
    cables = tuple(c for c in grid.circuit.cables if any(w.cable == c.tag for w in wires))
    supplies = sorted({tag for bundle in on_way for tag in grid.sources.get(bundle, ())})
    stops.sort(key=lambda stop: (stop.distance, stop.device.tag))
    end = next((stop.distance for stop in stops if stop.device.kind in PROTECTION), 99)
    branch = {bundle for bundle in on_way if near.get(bundle, 0) <= end}
    first = next(iter(edges), "")
    run = {bundle for edge in edges.get(first, ()) for bundle in edge if bundle in branch} | {bundles.get(first, "")}
    nets, run_nets = (frozenset(net for net, bundle in grid.bundle.items() if bundle in some) for some in (branch, run))
    return Route(plate, tuple(stops), wires, cables, tuple(supplies), nets, run_nets)


def _distances(grid: Grid, bundles: set[str]) -> dict[str, int]:
    known = {bundle for bundle in bundles if bundle in grid.graph}
    return dict(nx.multi_source_dijkstra_path_length(grid.graph, known)) if known else {}


def _share(plate: Plate, leads: set[str]) -> float:
    """1, or for a six-lead motor what goes through a contactor that serves three of its leads."""
    six = len(plate.leads) == SIX
    return factor("star-delta line").value if six and len(leads) == SIX // 2 else 1.0


def _star_stops(grid: Grid, plate: Plate, bundles: Mapping[str, str], known: set[str]) -> list[Stop]:
    if len(plate.leads) != SIX:
        return []
    stars = {bundle: star for bundle in set(bundles.values()) if (star := grid.star_at(bundle)) is not None}
    share = factor("star-delta star").value
    return [
        Stop(star, SIX // 2, share, frozenset(lead for lead, at in bundles.items() if at == bundle), 0)
        for bundle, star in stars.items()
        if star.tag not in known
    ]
