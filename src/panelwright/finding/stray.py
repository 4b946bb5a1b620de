"""Volts that no path feeds: what the capacitance of long cables puts on conductors that hang free."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from ..behaviour import PanelState
from ..catalog.cables import core_farads
from ..electrics import Joined, Network
from ..wiring import Wiring


def couplings(wiring: Wiring) -> tuple[Joined, ...]:
    """What lies between the cores of each cable whose length the file says: one capacitance a pair of nets."""
    in_cable: dict[str, dict[str, tuple[str, float]]] = {}
    for wire in wiring.wires:
        if wire.cable and wire.length is not None:
            in_cable.setdefault(wire.cable, {}).setdefault(wire.net, (wire.ends[0], wire.length.value))
    return tuple(
        Joined(one, other, farads=core_farads(min(length, other_length)))
        for cores in in_cable.values()
        for (one, length), (other, other_length) in combinations(cores.values(), 2)
    )


def with_stray(state: PanelState, wiring: Wiring) -> PanelState:
    """A state with the volts that a meter finds there; the same state where there is no ac or no long cable."""
    network = _coupled(state.network, wiring)
    if network is state.network:
        return state
    return replace(state, network=network, solution=network.solve(state.position))


def _coupled(network: Network, wiring: Wiring) -> Network:
    kept: Network | None = network.__dict__.get("_coupled")
    if kept is None:
        between = couplings(wiring) if any(source.hertz for _, source in wiring.circuit.supplies) else ()
        known = [one for one in between if {one.a, one.b} <= network.elements.node_of.keys()]
        kept = network.__dict__["_coupled"] = network.edited(known) if known else network
    return kept
