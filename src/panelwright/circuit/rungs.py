"""Rungs and power paths, as written: trees of uses of device parts.

A rung is first read with contacts left open ("K1.no"); allotting picks real ones, after which every `Use` has
its `terminals`. Drawing and wiring both work on the allotted tree.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from .problems import Span


@dataclass(frozen=True, slots=True)
class Use:
    """A two-terminal part of a device, used at one place of a rung.

    `part`: what was written after the dot ("no1", "nc", "13-14", "coil", "HAND+AUTO", "" for a lone device).
    `form`: for a contact left open: "no", "nc" or "at"; "" otherwise. `timing` likewise "plain", "timed" or
    "instant". `label`: the digits of "no1" as text. `positions`: for selectors.
    `terminals`: marks; the first faces the start of the rung; None until allotted.
    `name`: name of the Part, "" until allotted; `K1.name` is the element id.
    """

    device: str
    part: str
    form: str = ""
    label: str = ""
    timing: str = "plain"
    positions: frozenset[str] = frozenset()
    terminals: tuple[str, str] | None = None
    name: str = ""
    span: Span | None = field(default=None, compare=False)

    @property
    def element(self) -> str:
        """Element id, e.g. "K1.13-14"."""
        return f"{self.device}.{self.name}"


@dataclass(frozen=True, slots=True)
class Through:
    """The wire passes one terminal (a strip terminal): no change of wire number."""

    device: str
    terminal: str
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Here:
    """A named point inside a rung: the wire at this place is called `name`."""

    name: str
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Series:
    """Items one after the other."""

    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Parallel:
    """Branches side by side."""

    branches: tuple[Series, ...]


Item = Use | Through | Here | Series | Parallel


@dataclass(frozen=True, slots=True)
class Rung:
    """`start` and `end` are a rail name ("+") or a point with its sign ("@4").

    `section`: the rails of the section that it stands in, e.g. ("+", "-"); drawings group by it.
    """

    start: str
    end: str
    body: Series
    text: str = ""
    section: tuple[str, str] = ("", "")
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class PathUse:
    """A multi-pole part on a power path: one pair of marks (entering, leaving) per wire; `names` its Parts.

    At the end of a path (a motor, a primary) the leaving marks are "".
    """

    device: str
    part: str
    pairs: tuple[tuple[str, str], ...]
    names: tuple[str, ...] = ()
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Swap:
    """Two wires of the path change places; indices from 0."""

    first: int
    second: int


@dataclass(frozen=True, slots=True)
class Star:
    """All wires of the path are joined here; the path ends."""


PathItem = PathUse | Swap | Star


@dataclass(frozen=True, slots=True)
class PowerPath:
    """Some wires side by side. `starts` and `ends`: one rail name or point ("@P.1") per wire; no ends: ends ().

    A path may begin at a device's leads, then `starts` is () and the first PathUse has the entering marks "".
    """

    starts: tuple[str, ...]
    items: tuple[PathItem, ...]
    ends: tuple[str, ...] = ()
    text: str = ""
    section: tuple[str, ...] = ()
    span: Span | None = field(default=None, compare=False)


def uses_in(item: Item) -> Iterator[Use]:
    """Every use in reading order."""
    if isinstance(item, Use):
        yield item
    elif isinstance(item, Series):
        for inner in item.items:
            yield from uses_in(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from uses_in(branch)


def points_in(item: Item) -> Iterator[str]:
    """The names of the points inside a rung, in reading order."""
    if isinstance(item, Here):
        yield item.name
    elif isinstance(item, Series):
        for inner in item.items:
            yield from points_in(inner)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from points_in(branch)
