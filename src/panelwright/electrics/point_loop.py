"""The compiled loop of `points`: one position after the other, plain arrays and indices only.

Places are numbered with the rails (fixed volts) first. A closed contact joins two places; the lower number leads, so
that a group with a rail is led by it. What is not a rail gets its volts from the loads around it: directly when they
all lead to rails, otherwise from a small dense system of the places that loads tie together.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

MOST_TOGETHER = 256  # places in one dense system; beyond it the position is left to the ordinary solver


@njit(cache=True, nogil=True)
def leader(parent: Any, place: int) -> int:
    """Leader of a group, halving the way to it."""
    while parent[place] != place:
        parent[place] = parent[parent[place]]
        place = parent[place]
    return place


@njit(cache=True, nogil=True)
def loop(
    closed: Any,
    node: Any,
    rail_v: Any,
    places: int,
    contact_a: Any,
    contact_b: Any,
    load_a: Any,
    load_b: Any,
    siemens: Any,
    amps: Any,
    polarised: Any,
    valve_a: Any,
    valve_b: Any,
    drop_v: Any,
    limit_a: float,
    volts: Any,
    left: Any,
) -> None:
    """Fill `volts` row by row; `left` stays true for rows that need the ordinary solver."""
    rails = len(rail_v)
    parent = np.empty(places, np.int64)
    level = np.empty(places, volts.dtype)
    total = np.empty(places, volts.dtype)
    drawn = np.empty(places, volts.dtype)
    island = np.empty(places, np.int64)
    tied = np.empty(len(load_a), np.int64)
    for row in range(len(closed)):
        if not join_contacts(closed[row], contact_a, contact_b, parent, rail_v):
            continue
        for place in range(places):
            total[place] = 0.0
            drawn[place] = 0.0
            island[place] = -1
            level[place] = rail_v[place] if place < rails else np.nan
        count = gather(load_a, load_b, siemens, amps, parent, rails, level, total, drawn, tied)
        if count and not solve_tied(
            tied[:count], load_a, load_b, siemens, amps, parent, places, rails, island, total, drawn, level
        ):
            continue
        for place in range(rails, places):
            if island[place] < 0 and parent[place] == place and total[place] != 0.0:
                level[place] = drawn[place] / total[place]
        if not fits(load_a, load_b, siemens, amps, polarised, valve_a, valve_b, drop_v, limit_a, parent, level):
            continue
        for index in range(len(node)):
            volts[row, index] = level[leader(parent, node[index])]
        left[row] = False


@njit(cache=True, nogil=True)
def join_contacts(closed: Any, contact_a: Any, contact_b: Any, parent: Any, rail_v: Any) -> bool:
    """Groups for one position; False when it joins two rails of unlike volts."""
    rails = len(rail_v)
    for place in range(len(parent)):
        parent[place] = place
    for contact in range(len(contact_a)):
        if closed[contact]:
            a, b = leader(parent, contact_a[contact]), leader(parent, contact_b[contact])
            if a == b:
                continue
            if a < rails and b < rails and abs(rail_v[a] - rail_v[b]) > 1e-6:
                return False
            if a < b:
                parent[b] = a
            else:
                parent[a] = b
    return True


@njit(cache=True, nogil=True)
def gather(
    load_a: Any,
    load_b: Any,
    siemens: Any,
    amps: Any,
    parent: Any,
    rails: int,
    level: Any,
    total: Any,
    drawn: Any,
    tied: Any,
) -> int:
    """Sum up what rails feed into every other group; list the loads between two groups without a rail."""
    count = 0
    for load in range(len(load_a)):
        a, b = leader(parent, load_a[load]), leader(parent, load_b[load])
        if a == b:
            continue
        y, i = siemens[load], amps[load]
        if a >= rails and b >= rails:
            tied[count] = load
            count += 1
        elif a >= rails:
            total[a] += y
            drawn[a] += y * level[b] - i
        elif b >= rails:
            total[b] += y
            drawn[b] += y * level[a] + i
    return count


@njit(cache=True, nogil=True)
def solve_tied(
    tied: Any,
    load_a: Any,
    load_b: Any,
    siemens: Any,
    amps: Any,
    parent: Any,
    places: int,
    rails: int,
    island: Any,
    total: Any,
    drawn: Any,
    level: Any,
) -> bool:
    """Volts of groups that loads tie together, one dense system an island; False when one is too large."""
    for load in tied:  # islands by joining labels: few loads, so plain passes do
        a, b = leader(parent, load_a[load]), leader(parent, load_b[load])
        island[a] = a
        island[b] = b
    changed = True
    while changed:
        changed = False
        for load in tied:
            a, b = leader(parent, load_a[load]), leader(parent, load_b[load])
            low = min(island[a], island[b])
            if island[a] != low or island[b] != low:
                island[a] = low
                island[b] = low
                changed = True
    index = np.full(places, -1, np.int64)
    for first in range(rails, places):
        if island[first] != first:
            continue
        size = 0
        fed = False
        for place in range(first, places):
            if island[place] == first:
                index[place] = size
                size += 1
                fed = fed or total[place] != 0.0
        if not fed:
            continue  # no rail reaches it: its volts are not defined
        if size > MOST_TOGETHER:
            return False
        matrix = np.zeros((size, size), level.dtype)
        right = np.zeros(size, level.dtype)
        for place in range(first, places):
            if island[place] == first:
                matrix[index[place], index[place]] = total[place]
                right[index[place]] = drawn[place]
        for load in tied:
            a, b = leader(parent, load_a[load]), leader(parent, load_b[load])
            if island[a] == first:
                y, i, j = siemens[load], index[a], index[b]
                matrix[i, i] += y
                matrix[j, j] += y
                matrix[i, j] -= y
                matrix[j, i] -= y
                right[i] -= amps[load]
                right[j] += amps[load]
        answer = eliminate(matrix, right)
        for place in range(first, places):
            if island[place] == first:
                level[place] = answer[index[place]]
    return True


@njit(cache=True, nogil=True)
def eliminate(matrix: Any, right: Any) -> Any:
    """Gaussian elimination of a symmetric, diagonally dominant system, in place."""
    size = len(right)
    for k in range(size):
        for i in range(k + 1, size):
            if matrix[i, k] != 0.0:
                factor = matrix[i, k] / matrix[k, k]
                for j in range(k + 1, size):
                    matrix[i, j] -= factor * matrix[k, j]
                right[i] -= factor * right[k]
    for k in range(size - 1, -1, -1):
        for j in range(k + 1, size):
            right[k] -= matrix[k, j] * right[j]
        right[k] /= matrix[k, k]
    return right


@njit(cache=True, nogil=True)
def fits(
    load_a: Any,
    load_b: Any,
    siemens: Any,
    amps: Any,
    polarised: Any,
    valve_a: Any,
    valve_b: Any,
    drop_v: Any,
    limit_a: float,
    parent: Any,
    level: Any,
) -> bool:
    """Whether diodes block, polarised loads conduct forwards and no supply comes to its limit, as was assumed."""
    given = 0.0
    for load in range(len(load_a)):
        across = level[leader(parent, load_a[load])] - level[leader(parent, load_b[load])]
        if polarised[load] and across.real < -1e-9:
            return False
        if across == across:  # not nan
            given += abs(siemens[load] * across + amps[load])
    if given > limit_a:
        return False
    for valve in range(len(valve_a)):
        across = level[leader(parent, valve_a[valve])] - level[leader(parent, valve_b[valve])]
        if across.real > drop_v[valve]:
            return False
    return True
