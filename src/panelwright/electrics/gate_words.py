"""Gates for 64 settings in a word, as a compiled loop. Imported when first needed: compiling takes a moment."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

import numpy as np
from numba import njit

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from .gates import Gates

    Words = NDArray[np.uint64]

ALL = np.uint64(0xFFFF_FFFF_FFFF_FFFF)
_arrays_of: WeakKeyDictionary[Gates, tuple[Any, Any]] = WeakKeyDictionary()


def evaluate(gates: Gates, rows: Words, wanted: Sequence[int]) -> Words:
    """See `Gates.words`. Raises ValueError when the rows do not match the inputs."""
    if rows.ndim != 2 or len(rows) != len(gates.inputs):
        raise ValueError(f"{len(gates.inputs)} rows of words are needed, one an input; got an array of {rows.shape}")
    if gates not in _arrays_of:
        _arrays_of[gates] = np.array(gates.left, np.int64), np.array(gates.right, np.int64)
    value = np.zeros((len(gates.left), rows.shape[1]), np.uint64)
    value[list(gates.input_nodes)] = rows
    loop(*_arrays_of[gates], value)
    literals = np.asarray(wanted, np.int64)
    flipped = np.where(literals & 1, ALL, np.uint64(0)).astype(np.uint64)
    found: Words = value[literals >> 1] ^ flipped[:, None]
    return found


@njit(cache=True, nogil=True)
def loop(left: Any, right: Any, value: Any) -> None:
    """Fill in the words of every gate; those of the inputs are there."""
    full = np.uint64(0xFFFFFFFFFFFFFFFF)
    for node in range(1, len(left)):
        a, b = left[node], right[node]
        if a < 0:
            continue
        flip_a = full if a & 1 else np.uint64(0)
        flip_b = full if b & 1 else np.uint64(0)
        for word in range(value.shape[1]):
            value[node, word] = (value[a >> 1, word] ^ flip_a) & (value[b >> 1, word] ^ flip_b)
