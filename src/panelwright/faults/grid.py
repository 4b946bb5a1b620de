"""Every way in which some devices can stand, numbered, and those that a panel can come to.

Gates are worked out over the whole grid at once, 64 positions in a word.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import prod
from typing import TYPE_CHECKING, Any

import numpy as np

from ..behaviour.proof.asking import atoms_of
from ..behaviour.proof.assuming import assume
from ..behaviour.proof.clauses import Step
from ..behaviour.proof.cone import Cone
from ..behaviour.proof.explicit import TooLarge, Walk
from ..behaviour.proof.panel import Panel
from ..circuit import Sentence
from ..electrics.gates import INPUT, Gates

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

MOST_POSITIONS = 1 << 17


class Grid:
    """The positions of some inputs of a gate program: contacts of one device stand together.

    `names`: the inputs. Raises: TooLarge with more than MOST_POSITIONS positions.
    """

    def __init__(self, panel: Panel, names: Iterable[str]) -> None:
        self.names = tuple(sorted(names))
        self.arms = list(_arms(panel, self.names))
        self.count = prod(len(settings) for _, settings in self.arms)
        if self.count > MOST_POSITIONS:
            raise TooLarge(f"{self.count} positions")
        self._rows: dict[str, Words] = {}
        number = np.arange(self.count)
        for names_of, settings in self.arms:
            number, at = np.divmod(number, len(settings))
            for column, name in enumerate(names_of):
                self._rows[name] = packed(np.array([one[column] for one in settings])[at])

    def words(self, gates: Gates, literals: Sequence[int], further: Mapping[str, bool]) -> Words:
        """Literals over the grid, shape (literals, words). `further`: inputs that are not in the grid."""
        count = -(-self.count // 64)
        rows = np.zeros((len(gates.inputs), count), np.uint64)
        for index, name in enumerate(gates.inputs):
            if name in self._rows:
                rows[index] = self._rows[name]
            elif further.get(name):
                rows[index] = ~np.uint64(0)
        return gates.words(rows, literals)

    def reached(self, panel: Panel, tags: set[str]) -> Words:
        """The positions that a panel can come to, at least; shape (words,). Raises TooLarge."""
        bits, states = _walked(panel, tags)
        place = {name: index for index, name in enumerate(bits)}
        number, factor = np.zeros(len(states), np.int64), 1
        for names_of, settings in self.arms:
            if not all(name in place for name in names_of):
                raise TooLarge(f"{names_of[0]} is not in the walk")
            code = sum((states >> place[name] & 1) << k for k, name in enumerate(names_of))
            known = {sum(bool(v) << k for k, v in enumerate(one)): at for at, one in enumerate(settings)}
            table = np.array([known.get(k, 0) for k in range(1 << len(names_of))], np.int64)
            number += factor * table[code]
            factor *= len(settings)
        found = np.zeros(self.count, bool)
        found[number] = True
        return packed(found)


def _arms(panel: Panel, names: Sequence[str]) -> Iterable[tuple[tuple[str, ...], list[tuple[bool, ...]]]]:
    """Inputs that stand together, with the settings that they can have."""
    left = list(names)
    while left:
        name = left[0]
        tag, _, position = name.partition("=")
        if position:
            group = tuple(one for one in names if one.startswith(f"{tag}="))
            settings = [tuple(one == other for other in group) for one in group]
            if len(group) < len(panel.circuit.by_tag[tag].mechanism.positions):
                settings.append((False,) * len(group))
        elif f"{name}:rest" in left:
            group, settings = (name, f"{name}:rest"), [(False, True), (False, False), (True, False)]
        else:
            group, settings = (name,), [(False,), (True,)]
        left = [one for one in left if one not in group]
        yield group, settings


def _walked(panel: Panel, tags: set[str]) -> tuple[list[str], NDArray[np.int64]]:
    """Names of the bits and every state that is reached under what is assumed of hands and plant alone.

    What is assumed of lamps, motors and volts would let a state be reached with one fault and not with another that
    is the same in every state before it.
    """
    cone = Cone(panel, tags)
    assume(cone, tuple(s for s in panel.circuit.assumptions if about_inputs(panel, s)))
    walk = Walk(Step(cone, 0, [bit.now for bit in cone.model.bits]))
    walk.shortest()
    return [bit.name for bit in walk.bits], np.fromiter(walk.parent, np.int64, len(walk.parent))


def about_inputs(panel: Panel, sentence: Sentence) -> bool:
    """Whether a sentence speaks only of what hand and plant move, and of supplies that nothing else feeds."""
    for state in atoms_of(sentence):
        if state.subject == "power":
            lives = [panel.program.live.get(device.tag, 0) for device, _ in panel.circuit.supplies]
            if any(live < 2 or live & 1 or panel.program.gates.left[live >> 1] != INPUT for live in lives):
                return False
            continue
        device = panel.circuit.by_tag.get(state.subject)
        if device is None or device.loads or device.motors or device.sources:
            return False
    return True


def packed(values: Any) -> Words:
    """Truth values as words of 64, the rest of the last word false."""
    filled = np.zeros(-(-len(values) // 64) * 64, bool)
    filled[: len(values)] = values
    return np.packbits(filled, bitorder="little").view(np.uint64)
