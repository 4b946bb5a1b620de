"""Courses of presses, many side by side: what is worked at each step in each lane.

Supplies stay on, disconnects and breakers closed and emergency stops out: with those free, most courses would show a
panel without power, in which no fault can be seen.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ..circuit import Circuit, Contact, Device

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

BREAK_SHARE, MAKE_SHARE = 0.08, 0.3  # how often a stop, and anything else, is operated


class Presses:
    """`steps` settings of everything that is worked by hand or plant, in 64 x `words` lanes; the first is all at rest.

    The same circuit and seed give the same courses on every machine.
    """

    def __init__(self, circuit: Circuit, steps: int = 8, words: int = 8, seed: int = 1) -> None:
        self.circuit, self.steps, self.words = circuit, steps, words
        random = np.random.Generator(np.random.PCG64(seed))
        lanes = 64 * words
        self.operated: dict[str, NDArray[np.bool_]] = {}
        self.positions: dict[str, NDArray[np.int64]] = {}
        for device in circuit.devices:
            sort = device.mechanism.sort
            if device.mechanism.positions:
                at = random.integers(0, len(device.mechanism.positions), (steps, lanes))
                start = device.mechanism.start or device.mechanism.positions[0]
                at[0] = device.mechanism.positions.index(start)
                self.positions[device.tag] = at
            elif sort in ("push", "field", "trip"):
                drawn = random.random((steps, lanes)) < _share(device)
                drawn[0] = False
                self.operated[device.tag] = drawn
            elif sort in ("switch", "latched push"):
                self.operated[device.tag] = np.full((steps, lanes), device.mechanism.start == "on")

    def contact(self, device: Device, contact: Contact) -> Words:
        """The words of one contact, shape (steps, words)."""
        if contact.form == "at":
            wanted = [index for index, p in enumerate(device.mechanism.positions) if p in contact.positions]
            return packed(np.isin(self.positions[device.tag], wanted))
        operated = self.operated[device.tag]
        return packed(operated if contact.form == "no" else ~operated)

    def told(self, step: int, lane: int) -> str:
        """One setting in words: what is not at rest."""
        said = [f"{tag} operated" for tag, drawn in self.operated.items() if drawn[step, lane]]
        for tag, at in self.positions.items():
            said.append(f"{tag} at {self.circuit.by_tag[tag].mechanism.positions[at[step, lane]]}")
        return ", ".join(said) or "everything at rest"


def _share(device: Device) -> float:
    return BREAK_SHARE if any(contact.form == "nc" for contact in device.contacts) else MAKE_SHARE


def packed(lanes: Any) -> Words:
    """Truth values, shape (steps, lanes), as words, shape (steps, lanes / 64)."""
    return np.packbits(np.ascontiguousarray(lanes), axis=1, bitorder="little").view(np.uint64)
