"""Gates for 64 settings in a word: a compiled loop where numba is installed, whole levels in numpy elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .gates import Gates

    Words = NDArray[np.uint64]

ALL = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
_levels_of: WeakKeyDictionary[Gates, list[tuple[Any, ...]]] = WeakKeyDictionary()
_arrays_of: WeakKeyDictionary[Gates, tuple[Any, Any]] = WeakKeyDictionary()


def evaluate(gates: Gates, rows: Words, wanted: Sequence[int]) -> Words:
    """See `Gates.words`. Raises ValueError when the rows do not match the inputs."""
    if rows.ndim != 2 or len(rows) != len(gates.inputs):
        raise ValueError(f"{len(gates.inputs)} rows of words are needed, one an input; got an array of {rows.shape}")
    value = np.zeros((len(gates.left), rows.shape[1]), np.uint64)
    value[list(gates.input_nodes)] = rows
    loop = compiled_loop()
    if loop is None:
        by_levels(gates, value)
    else:
        if gates not in _arrays_of:
            _arrays_of[gates] = np.array(gates.left, np.int64), np.array(gates.right, np.int64)
        loop(*_arrays_of[gates], value)
    literals = np.asarray(wanted, np.int64)
    flipped = np.where(literals & 1, ALL, np.uint64(0)).astype(np.uint64)
    found: Words = value[literals >> 1] ^ flipped[:, None]
    return found


def by_levels(gates: Gates, value: Words) -> None:
    """Fill in `value` level by level."""
    if gates not in _levels_of:
        _levels_of[gates] = _levels(gates)
    for nodes, left, right, flip_left, flip_right in _levels_of[gates]:
        value[nodes] = (value[left] ^ flip_left) & (value[right] ^ flip_right)


def _levels(gates: Gates) -> list[tuple[Any, ...]]:
    level = [0] * len(gates.left)
    by_level: dict[int, list[int]] = {}
    for node, left, right in gates.walk():
        level[node] = 1 + max(level[left >> 1], level[right >> 1])
        by_level.setdefault(level[node], []).append(node)
    lefts, rights = np.array(gates.left, np.int64), np.array(gates.right, np.int64)
    found = []
    for _, listed in sorted(by_level.items()):
        nodes = np.array(listed)
        a, b = lefts[nodes], rights[nodes]
        flips = [np.where(side & 1, ALL, np.uint64(0)).astype(np.uint64)[:, None] for side in (a, b)]
        found.append((nodes, a >> 1, b >> 1, *flips))
    return found


@lru_cache(maxsize=1)
def compiled_loop() -> Callable[[Any, Any, Any], None] | None:
    """The loop over gates as machine code; None without numba."""
    try:
        from numba import njit
    except ImportError:
        return None

    @njit(cache=True, nogil=True)
    def loop(left: Any, right: Any, value: Any) -> None:
        full = np.uint64(0xFFFFFFFFFFFFFFFF)
        for node in range(1, len(left)):
            a, b = left[node], right[node]
            if a < 0:
                continue
            flip_a = full if a & 1 else np.uint64(0)
            flip_b = full if b & 1 else np.uint64(0)
            for word in range(value.shape[1]):
                value[node, word] = (value[a >> 1, word] ^ flip_a) & (value[b >> 1, word] ^ flip_b)

    return loop
