"""The circuit: everything that one panel file says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from .devices import Device, Part, Source
from .problems import Span
from .quantities import Quantity
from .rungs import PowerPath, Rung, points_in
from .sentences import Sentence
from .trials import Trial


@dataclass(frozen=True, slots=True)
class Heading:
    """The lines under `panel`."""

    title: str = ""
    symbols: str = "IEC"  # or "NA"
    wire_numbers: str = "running"  # by rung, by device end, by other end, by text
    rules: str = ""
    revision: str = ""
    date: str = ""
    job: str = ""
    drawn_by: str = ""
    checked_by: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """Where devices are: door, plate, field, or a place of the file's own."""

    name: str
    text: str = ""
    width_m: float | None = None
    height_m: float | None = None
    hinged: str = ""
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Mount:
    """A rail or duct on a place: `kind` "rail" or "duct"; position of its left end and size in metres."""

    kind: str
    number: str
    place: str
    x_m: float
    y_m: float
    length_m: float
    width_m: float = 0.0
    height_m: float = 0.0
    devices: tuple[str, ...] = ()
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable with its cores; `core_ends` pairs a core with two terminals ("X1.1", "B1.13")."""

    tag: str
    cores: str
    length: Quantity | None
    start: str
    ends: tuple[str, ...]
    text: str = ""
    core_ends: tuple[tuple[str, str, str], ...] = ()
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class WireRule:
    """Size and colour of the wires of one class: "control", "power", a rail, or a point with its sign."""

    which: str
    size: Quantity | None = None
    colour: str = ""
    length: Quantity | None = None
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class SiteLine:
    """A line under `sizing`: `name` is what it speaks of ("ambient"), `text` the rest as typed.

    `quantity`: temperatures in C, percentages, counts. `words`: names of the catalogue (insulation, method, material).
    `size_m`: height, width, depth of an enclosure.
    """

    name: str
    text: str
    quantity: Quantity | None = None
    words: tuple[str, ...] = ()
    size_m: tuple[float, ...] = ()
    span: Span | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Note:
    """`kind`: source, note or caution."""

    kind: str
    text: str
    span: Span | None = field(default=None, compare=False)


_drawn_by: list[Callable[[Circuit], str]] = []


def show_with(draw: Callable[[Circuit], str]) -> None:
    """Let notebooks show circuits as what `draw` makes of them, an SVG text; the nouns themselves cannot draw."""
    _drawn_by[:] = [draw]


@dataclass(frozen=True)
class Circuit:
    """Immutable; equal when it says the same, wherever in the file that stands."""

    heading: Heading = Heading()
    places: tuple[Place, ...] = ()
    mounts: tuple[Mount, ...] = ()
    devices: tuple[Device, ...] = ()  # supplies first, then in file order
    interlocks: tuple[tuple[str, str], ...] = ()  # pairs interlocked mechanically
    rungs: tuple[Rung, ...] = ()
    power_paths: tuple[PowerPath, ...] = ()
    cables: tuple[Cable, ...] = ()
    wire_rules: tuple[WireRule, ...] = ()
    site: tuple[SiteLine, ...] = field(default=(), kw_only=True)
    notes: tuple[Note, ...] = ()
    assumptions: tuple[Sentence, ...] = ()
    promises: tuple[Sentence, ...] = ()
    trials: tuple[Trial, ...] = ()
    allotted: bool = field(default=False, kw_only=True)

    @cached_property
    def by_tag(self) -> dict[str, Device]:
        """Devices by tag."""
        return {device.tag: device for device in self.devices}

    @cached_property
    def elements(self) -> dict[str, tuple[Device, Part]]:
        """Every part of every device by element id ("K1.13-14")."""
        return {f"{d.tag}.{p.name}": (d, p) for d in self.devices for p in d.parts}

    def _repr_svg_(self) -> str | None:
        """The circuit as its drawing, for notebooks; None where nobody draws or nothing can be drawn."""
        return _drawn_by[0](self) if _drawn_by and self.rungs else None

    @cached_property
    def supplies(self) -> tuple[tuple[Device, Source], ...]:
        """Every source with its device, in file order."""
        return tuple((device, source) for device in self.devices for source in device.sources)

    @cached_property
    def points(self) -> tuple[str, ...]:
        """Names of all points, without their sign, in reading order: "3", "P.1"."""
        lines: tuple[Rung | PowerPath, ...] = (*self.rungs, *self.power_paths)
        ends = [end for line in lines for end in _ends_of(line)]
        inner = [point for rung in self.rungs for point in points_in(rung.body)]
        return tuple(dict.fromkeys([*(end[1:] for end in ends if end.startswith("@")), *inner]))

    @cached_property
    def rails(self) -> dict[str, tuple[str, ...]]:
        """Rail name to the supply terminals on it ("G1.+"), in file order."""
        found: dict[str, tuple[str, ...]] = {}
        for device, source in self.supplies:
            for rail, mark in zip(source.rails, source.terminals, strict=True):
                found[rail] = (*found.get(rail, ()), f"{device.tag}.{mark}")
        return found


def _ends_of(line: Rung | PowerPath) -> tuple[str, ...]:
    return (line.start, line.end) if isinstance(line, Rung) else (*line.starts, *line.ends)
