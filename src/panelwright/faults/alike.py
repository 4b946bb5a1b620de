"""Broken panels that are the same to a promise wherever they can come: proved once, however many faults lead there.

Two panels are alike to a promise when every coil, lamp, motor and supply that it depends on is the same function of
where the devices stand, over the positions that one of them can come to. Step for step the other then comes to the
same positions, so that whatever is proved of one, kept or broken, holds for the other. A wire that is open at one
end, a contact that does not close and a coil that is open are mostly one panel to a promise; so are a sound one and
one with a contact that is welded where it is closed anyhow.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import product
from typing import TYPE_CHECKING

import numpy as np

from ..behaviour.proof.explicit import TooLarge
from ..behaviour.proof.panel import Panel
from ..behaviour.proof.proving import Proof
from ..circuit import Sentence
from .grid import Grid, about_inputs
from .signatures import Look, devices_of, look_at, signature

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Words = NDArray[np.uint64]

MOST_FREE = 4  # inputs outside the grid that are tried both ways
MOST_KINDS = 400  # kinds of one family that are remembered


@dataclass
class Kind:
    """Panels that are alike. `reached`: where they can come, shape (words,); `table`: what works there.

    `doubtful`: some coil may get part of its volts there. `proofs`: by promise.
    """

    reached: Words
    table: Words
    doubtful: bool
    proofs: dict[Sentence, Proof] = field(default_factory=dict)


@dataclass
class Family:
    """Kinds that promises look at in the same way: the same devices, the same names, the same grid."""

    tags: set[str]
    sources: set[str]
    names: tuple[str, ...]
    stuck: dict[str, bool]
    assumed: tuple[tuple[str, bool], ...]
    grid: Grid
    kinds: list[Kind] = field(default_factory=list)

    def takes(self, panel: Panel, look: Look) -> bool:
        """Whether functions are all that has to be compared."""
        held = _held(panel, self.tags)
        return self.names == look.names and self.stuck == held and self.assumed == _assumed(panel)


class Alike:
    """What was proved, to be found again for panels that are alike."""

    def __init__(self) -> None:
        self._families: list[Family] = []
        self._of_promise: dict[Sentence, list[Family]] = {}
        self._exact: dict[tuple[Sentence, str], Proof] = {}
        self._too_large: list[set[str]] = []  # devices with too many states together

    def place(self, panel: Panel, promise: Sentence) -> Place:
        """Where a proof of this promise on this panel belongs; it may be there already."""
        key = key_of(promise)
        if panel.is_retimed:
            return Place(key)  # functions say nothing about times
        if promise.form != "everything rests after":  # it compares with a position that may not be reached
            try:
                return Place(key, kind=self._kind(panel, promise, key))
            except TooLarge:
                pass
        return Place(key, exact=self._exact, signature=signature(panel, promise))

    def _kind(self, panel: Panel, promise: Sentence, key: Sentence) -> Kind:
        """The kind of a panel, a new one if it is like no other. Raises TooLarge."""
        families = self._of_promise.setdefault(key, [])
        tags = devices_of(panel, promise)
        sources = _sources(panel, tags)
        for family in families:
            kind = _like(family, panel, promise) if family.sources == sources else None
            if kind is not None:
                return kind
        if any(large <= tags for large in self._too_large):
            raise TooLarge("as for other panels")
        try:
            family = self._family(panel, tags, promise)
            if family not in families:
                families.append(family)
            return _like(family, panel, promise) or _new_kind(family, panel, promise)
        except TooLarge:
            self._too_large.append(tags)
            raise

    def _family(self, panel: Panel, tags: set[str], promise: Sentence) -> Family:
        """The smallest family that a panel of these devices can be compared in."""
        for family in sorted(self._families, key=lambda family: len(family.tags)):
            if tags <= family.tags and family.sources == _sources(panel, tags):
                look = look_at(panel, family.tags, promise)
                names = set(panel.program.gates.inputs_of(look.literals))
                if names <= set(family.grid.names) and family.takes(panel, look):
                    return family
        look = look_at(panel, tags, promise)
        grid = Grid(panel, panel.program.gates.inputs_of(look.literals))
        held, sources = _held(panel, tags), _sources(panel, tags)
        self._families.append(Family(tags, sources, look.names, held, _assumed(panel), grid))
        return self._families[-1]


def _sources(panel: Panel, tags: set[str]) -> set[str]:
    """The supplies among some devices: one that a promise does not depend on counts as on."""
    return {device.tag for device, _ in panel.circuit.supplies if device.tag in tags}


def _held(panel: Panel, tags: set[str]) -> dict[str, bool]:
    return {tag: at for tag, at in panel.stuck.items() if tag in tags}


def _assumed(panel: Panel) -> tuple[tuple[str, bool], ...]:
    return tuple((s.text, about_inputs(panel, s)) for s in panel.circuit.assumptions)


@dataclass
class Place:
    """A place for one proof: with a kind of panels, or where cones are too large for that, with its exact function."""

    key: Sentence
    kind: Kind | None = None
    exact: dict[tuple[Sentence, str], Proof] = field(default_factory=dict)
    signature: tuple[str, bool] = ("", False)

    @property
    def known(self) -> Proof | None:
        """The proof, when it is there."""
        return self.kind.proofs.get(self.key) if self.kind else self.exact.get((self.key, self.signature[0]))

    def keep(self, panel: Panel, proof: Proof) -> None:
        """Put a proof there, unless it hangs on the volts of half fed coils, which no function tells.

        Kept with half fed coils free to do either is kept whatever their volts are.
        """
        doubtful = self.kind.doubtful if self.kind else self.signature[1]
        if doubtful and (proof.outcome != "kept" or panel.facts):
            return
        if self.kind:
            self.kind.proofs[self.key] = proof
        else:
            self.exact[self.key, self.signature[0]] = proof


def key_of(promise: Sentence) -> Sentence:
    """A promise without its words and without the faults it may speak of."""
    return replace(promise, text="", faults=(), one_fault=False, not_kept=False, why="")


def _like(family: Family, panel: Panel, promise: Sentence) -> Kind | None:
    """The kind that a panel belongs to, None when it is unlike all of them."""
    look = look_at(panel, family.tags, promise)
    if not family.takes(panel, look):
        return None
    further = [name for name in panel.program.gates.inputs_of(look.literals) if name not in family.grid.names]
    if len(further) > MOST_FREE:
        return None
    tables = [family.grid.words(panel.program.gates, look.literals, way) for way in _ways(further)]
    for kind in family.kinds:
        if all(not ((table ^ kind.table) & kind.reached).any() for table in tables):
            return kind
    return None


def _ways(names: list[str]) -> Iterator[dict[str, bool]]:
    for values in product((False, True), repeat=len(names)):
        yield dict(zip(names, values, strict=True))


def _new_kind(family: Family, panel: Panel, promise: Sentence) -> Kind:
    """A kind of its own for a panel that is like no other. Raises TooLarge."""
    if len(family.kinds) >= MOST_KINDS:
        raise TooLarge(f"{MOST_KINDS} kinds of panels")
    look = look_at(panel, family.tags, promise)
    reached = family.grid.reached(panel, family.tags)
    table = family.grid.words(panel.program.gates, look.literals, {})
    doubtful = any(((table[full] ^ table[may]) & reached).any() for full, may in look.coils)
    kind = Kind(reached, table, bool(doubtful))
    family.kinds.append(kind)
    return kind
