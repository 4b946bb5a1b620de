"""Amps in what has no resistance to speak of: contacts, fuses, wires and ideal sources.

The volts come first, with all of these as perfect joints. What every node then has to pass on is known, and in a
tree that settles every joint (Kirchhoff's current law). Where joints form a loop they share by their small
resistances, taken as equal unless one is declared.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TypeVar

from .contraction import Branch, Groups, solve_flow

Node = TypeVar("Node", int, str)
JOINT_OHMS = 0.01  # of a closed contact or an end of wire; only its ratio to its neighbours matters here


def joint_amps(joints: Sequence[tuple[Node, Node, float]], drawn: Mapping[Node, complex]) -> list[complex]:
    """Amps in each joint (a, b, ohms), counted from a to b.

    `drawn`: amps that each node passes on to anything but joints. They have to sum to 0 over joined nodes.
    """
    at: dict[Node, list[int]] = defaultdict(list)
    for index, (a, b, _) in enumerate(joints):
        if a != b:
            at[a].append(index)
            at[b].append(index)
    need = dict(drawn)
    amps: list[complex] = [0.0] * len(joints)
    left = {node: set(indices) for node, indices in at.items()}
    leaves = [node for node, indices in left.items() if len(indices) == 1]
    while leaves:
        node = leaves.pop()
        if len(left[node]) != 1:
            continue
        index = left[node].pop()
        a, b, _ = joints[index]
        other = b if a == node else a
        into = need.get(node, 0.0)
        amps[index] = into if b == node else -into
        need[other] = need.get(other, 0.0) + into
        left[other].discard(index)
        if len(left[other]) == 1:
            leaves.append(other)
    _share_loops(joints, {node: indices for node, indices in left.items() if indices}, need, amps)
    return amps


def _share_loops(
    joints: Sequence[tuple[Node, Node, float]],
    left: dict[Node, set[int]],
    need: Mapping[Node, complex],
    amps: list[complex],
) -> None:
    """Solve what is not a tree."""
    if not left:
        return
    place = {node: number for number, node in enumerate(left)}
    remaining = sorted({index for indices in left.values() for index in indices})
    branches: list[Branch] = [
        (place[joints[i][0]], place[joints[i][1]], complex(1 / (joints[i][2] or JOINT_OHMS)), 0j) for i in remaining
    ]
    pieces = Groups(len(place))
    for a, b, _, _ in branches:
        pieces.tie(a, b, 0.0)
    # what a node draws is led back to one node of its piece, where it cancels
    drains: list[Branch] = [(place[node], pieces.find(place[node]), 0j, need.get(node, 0.0)) for node in left]
    flow = solve_flow(len(place), (), [*branches, *drains])
    for i, (a, b, siemens, _) in zip(remaining, branches, strict=True):
        amps[i] = siemens * (flow.volts[a] - flow.volts[b])
