"""How good a wiring is, each figure beside a bound that no wiring of this panel can be under."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from .plan import Wiring
from .whereabouts import Whereabouts


@dataclass(frozen=True, slots=True)
class Measures:
    """Conductors; those between two places; metres along the ducts within the places.

    Lengths come from the rails and ducts of the file, where it has them, else from devices thought to stand in a row,
    50 mm apart: good for comparing, not for cutting.
    """

    conductors: int
    conductors_bound: int
    between: int
    between_bound: int
    way_m: float
    way_bound_m: float


def measures(wiring: Wiring) -> Measures:
    """Measure a wiring. The bound on length is that of a shortest tree, which a chain need not reach."""
    where = Whereabouts(wiring.circuit)
    between = 0
    way_m = 0.0
    laid: dict[tuple[str, str], int] = {}
    for wire in wiring.wires:
        one, other = (where[end] for end in wire.ends)
        if one.place != other.place:
            between += 1
            continue
        way_m += one.way_m(other)
        laid[wire.net, one.place] = laid.get((wire.net, one.place), 0) + 1
    between_bound = 0
    way_bound_m = 0.0
    for net in wiring.nets:
        places: dict[str, list[str]] = {}
        for terminal in net.terminals:
            places.setdefault(where[terminal].place, []).append(terminal)
        between_bound += len(places) - 1
        for place, terminals in places.items():
            way_bound_m += sum(_tree_edges_m(terminals, where)[: laid.get((net.id, place), 0)])
    bound = sum(len(net.terminals) - 1 for net in wiring.nets)
    return Measures(len(wiring.wires), bound, between, between_bound, way_m, way_bound_m)


def _tree_edges_m(terminals: Sequence[str], where: Whereabouts) -> list[float]:
    """Lengths of the edges of a shortest tree, shortest first (Prim)."""
    far = {t: where[terminals[0]].way_m(where[t]) for t in terminals[1:]}
    edges = []
    while far:
        nearest = min(far, key=far.__getitem__)
        edges.append(far.pop(nearest))
        far = {t: min(m, where[nearest].way_m(where[t])) for t, m in far.items()}
    return sorted(edges)


def gap(value: float, bound: float) -> str:
    """In words: how far a figure may be from the best there is."""
    if value <= bound * (1 + 1e-9) + 1e-9:
        return "less is not possible"
    if bound <= 0:
        return f"at least {bound:g}"
    return f"at most {100 * (value / bound - 1):.0f} % above the least possible"
