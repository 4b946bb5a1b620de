"""Whether devices can move for ever while nobody touches anything.

First a look at who drives whom: where no device takes its own drive away over any detour, everything comes to rest
(R. Thomas, on the role of feedback circuits in Boolean networks; from memory). Only where one does, states are walked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from ...circuit import Load
from ...electrics.gates import INPUT, TRUE
from .clauses import Step
from .cone import Cone
from .panel import tag_of_input


def signed_edges(cone: Cone) -> dict[str, dict[str, set[int]]]:
    """Device to the devices it drives, with +1 (pulling in helps it in) or -1 (pulling in takes its drive away)."""
    edges: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for tag in cone.tags:
        device = cone.circuit.by_tag.get(tag)
        if device is None:
            continue
        for load in device.loads:
            element = f"{tag}.{load.name}"
            if load.drives and element in cone.panel.program.may:
                way = -1 if load.drives == "reset" else 1
                for table in (cone.panel.program.full, cone.panel.program.may):
                    for source, sign in _polarities(cone, table[element]):
                        edges[source][tag].add(sign * way)
        if device.mechanism.sort in ("impulse", "alternating"):
            edges[tag][tag].add(-1)
    for one, other in cone.circuit.interlocks:
        edges[one][other].add(-1)
        edges[other][one].add(-1)
    return edges


def _polarities(cone: Cone, literal: int) -> set[tuple[str, int]]:
    gates, names = cone.panel.program.gates, cone.panel.input_names
    found: set[tuple[str, int]] = set()
    seen: set[int] = set()
    waiting = [literal]
    while waiting:
        here = waiting.pop()
        if here in seen or here >> 1 == 0:
            continue
        seen.add(here)
        node, negated = here >> 1, here & 1
        if gates.left[node] == INPUT:
            name = names[node]
            tag = tag_of_input(name)
            device = cone.circuit.by_tag.get(tag)
            if device is not None and any(load.drives for load in device.loads):
                found.add((tag, 1 if bool(negated) == name.endswith(":rest") else -1))
        else:
            waiting += (gates.left[node] ^ negated, gates.right[node] ^ negated)
    return found


def unrestful(cone: Cone, during: int = TRUE) -> tuple[str, ...]:
    """The devices of loops in which one takes its own drive away; () when everything surely comes to rest.

    `during`: a literal over the state that holds all the while; a device of which it decides the drive is no part of
    a loop.
    """
    found = _restless(cone, signed_edges(cone), set())
    if not found or during == TRUE:
        return found
    return _restless(cone, signed_edges(cone), _held(cone, found, during))


def _restless(cone: Cone, edges: dict[str, dict[str, set[int]]], held: set[str]) -> tuple[str, ...]:
    import networkx as nx

    graph = nx.DiGraph((a, b) for a, many in edges.items() for b in many if not {a, b} & held)
    found: list[str] = []
    for group in nx.strongly_connected_components(graph):
        inner = {(a, b): edges[a][b] for a in group for b in edges.get(a, {}) if b in group}
        if inner and not _is_balanced(group, inner):
            found += sorted(group)
    flashers = [t for t in cone.tags - held if t in cone.circuit.by_tag and _is_flasher(cone, t)]
    return tuple(sorted({*found, *flashers}))


def _held(cone: Cone, tags: Iterable[str], during: int) -> set[str]:
    """The devices whose coils get nothing at all in every state in which a literal holds."""
    from pysat.solvers import Glucose4

    coils = {t: cone.model.gates.any_of(cone.may(f"{t}.{p.name}") for p in _coils(cone, t)) for t in tags}
    step = Step(cone, during, list(coils.values()))
    with Glucose4(bootstrap_with=step.gate_clauses) as solver:
        solver.append_formula([[step.variable(one)] for one in (during, *step.always)])
        return {tag for tag, fed in coils.items() if not solver.solve([step.variable(fed)])}


def _coils(cone: Cone, tag: str) -> list[Load]:
    return [part for part in cone.circuit.by_tag[tag].loads if part.drives]


def _is_flasher(cone: Cone, tag: str) -> bool:
    return cone.circuit.by_tag[tag].mechanism.sort == "flasher"


def _is_balanced(group: set[str], inner: dict[tuple[str, str], set[int]]) -> bool:
    """Whether the group falls into two sides with + inside a side and - between them, so that no loop is negative."""
    side: dict[str, int] = {}
    near: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for (a, b), signs in inner.items():
        if len(signs) > 1:
            return False
        sign = next(iter(signs))
        near[a].append((b, sign))
        near[b].append((a, sign))
    for start in group:
        if start in side:
            continue
        side[start] = 1
        waiting = [start]
        while waiting:
            here = waiting.pop()
            for there, sign in near[here]:
                if there not in side:
                    side[there] = side[here] * sign
                    waiting.append(there)
                elif side[there] != side[here] * sign:
                    return False
    return True
