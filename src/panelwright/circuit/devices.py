"""What a device is: a mechanism that moves, and parts that conduct between its terminals.

Every device kind of the catalogue, however exotic, is put together from the few parts of this module, so that
the electrical and the time engine know these parts alone and never a kind by name.
Terminals are named by their printed mark ("13", "A1", "X2"); `K1.13` is the mark 13 on the device K1.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from .problems import Span
from .quantities import Quantity

CurrentKind = Literal["ac", "dc", "either"]
Form = Literal["no", "nc", "at"]
Timing = Literal["plain", "timed", "instant"]


@dataclass(frozen=True, slots=True)
class Contact:
    """A contact between two terminals, moved by the mechanism of its device.

    `form`: "no" closed while operated, "nc" closed at rest, "at" closed in `positions` (selectors).
    `changeover`: contacts with the same number above 0 are one change-over; they share terminal `a`, the common.
    `main`: a pole for the load current. `ohms`: closed resistance.
    """

    name: str
    a: str
    b: str
    form: Form
    timing: Timing = "plain"
    changeover: int = 0
    positions: frozenset[str] = frozenset()
    main: bool = False
    ohms: float = 0.0


@dataclass(frozen=True, slots=True)
class Load:
    """A part that takes current: coil, lamp, horn, solenoid, resistor, primary winding.

    `drives` is what it does to the mechanism: "" nothing; "coil" operates it; "set", "reset", "pulse".
    `ohms` and `reactance_ohms` at rated frequency (sealed, for a coil; hot, for a lamp).
    `works_v`: at or above it the part surely does its work; `rests_v`: at or below it it surely does not.
    Between the two it may do either. Source of both: the catalogue row of the kind.
    `polarised`: works only with `a` positive; reversed it does not conduct.
    """

    name: str
    a: str
    b: str
    sort: Literal["coil", "lamp", "sounder", "solenoid", "resistor", "primary", "sensor", "capacitor"]
    rated_v: float
    current: CurrentKind
    ohms: float
    reactance_ohms: float = 0.0
    hertz: float = 0.0
    works_v: float = 0.0
    rests_v: float = 0.0
    inrush_va: float = 0.0
    polarised: bool = False
    drives: Literal["", "coil", "set", "reset", "pulse"] = ""


@dataclass(frozen=True, slots=True)
class Diode:
    """Conducts from `a` (anode) to `b` (cathode) above `drop_v`."""

    name: str
    a: str
    b: str
    drop_v: float = 0.7
    amps: float = 1.0


@dataclass(frozen=True, slots=True)
class Fuse:
    """A fuse element or one breaker pole; opens when more than its rating flows for long enough.

    In a device with the mechanism "switch" (a breaker) it also opens with the handle.
    """

    name: str
    a: str
    b: str
    amps: float
    resettable: bool = False


@dataclass(frozen=True, slots=True)
class Link:
    """Two terminals joined inside the device: a strip terminal, an overload heater, a rail clip."""

    name: str
    a: str
    b: str
    ohms: float = 0.0


@dataclass(frozen=True, slots=True)
class Motor:
    """The windings of a motor.

    `leads`: terminal marks; ("U", "V", "W") three leads, ("U1", "V1", "W1", "W2", "U2", "V2") six, ("U1", "U2") single
    phase. `volts` between lines, `amps` rated.
    """

    name: str
    leads: tuple[str, ...]
    phases: int
    volts: float
    amps: float
    watts: float


@dataclass(frozen=True, slots=True)
class Source:
    """Where current comes from. `terminals` pairs the rails with the terminals of the device, in the order of `rails`.

    dc: two terminals, the first positive. ac: one phase, two terminals; three phases, L1 L2 L3 and perhaps N;
    a terminal for PE belongs to the earth and carries no voltage.
    `volts`: dc, or effective value (three phases: between lines). `amps` or `va`: what it can give, 0 unknown.
    `ohms`: inner resistance. `fed_by`: name of the primary Load that it lives from, "" when ideal.
    """

    name: str
    terminals: tuple[str, ...]
    rails: tuple[str, ...]
    current: Literal["ac", "dc"]
    volts: float
    hertz: float = 0.0
    phases: int = 1
    amps: float = 0.0
    va: float = 0.0
    ohms: float = 0.0
    earthed_at: str = ""  # rail joined to earth; "" floating or not said
    earthing: Literal["earthed", "floating", "unsaid"] = "unsaid"
    fed_by: str = ""

    @property
    def a(self) -> str:
        """First terminal."""
        return self.terminals[0]

    @property
    def b(self) -> str:
        """Second terminal."""
        return self.terminals[1]


Part = Contact | Load | Diode | Fuse | Link | Motor | Source


@dataclass(frozen=True, slots=True)
class Mechanism:
    """What moves in a device, and how.

    `sort`, one of:
      "fixed"        nothing moves (lamp, fuse, strip)
      "push"         pressed while held; "press", "release"
      "latched push" stays pressed until released on purpose (emergency stop, maintained push)
      "selector"     stands at one of `positions`, passes through those between
      "spring selector" the same, but returns to `start` when let go
      "field"        made or clear from outside (limit, float, pressure, remote contact)
      "trip"         tripped or reset (overload relay, thermal cut-out)
      "switch"       on or off by hand (disconnect, breaker); stands at `start`, "on" or "off", before anything is done
      "relay"        follows its coil (relay, contactor)
      "latching"     set coil, reset coil, stays
      "impulse"      changes over at each pulse of its coil
      "alternating"  changes over each time its coil is released
      "on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta"  timers; `delay_s`
    Times in seconds; `tolerance` as a fraction of each of them (0.2: plus or minus 20 %).
    `travel_s`: from opening of the break contact to closing of the make contact (both open between).
    """

    sort: str
    operate_s: float = 0.0
    release_s: float = 0.0
    travel_s: float = 0.0
    tolerance: float = 0.0
    delay_s: float = 0.0
    delay_tolerance_s: float = 0.0
    second_delay_s: float = 0.0
    positions: tuple[str, ...] = ()
    start: str = ""


@dataclass(frozen=True, slots=True)
class Base:
    """A plug-in base. `pins`: (mark, column, row) as seen from the front, on a grid; from behind columns mirror."""

    name: str
    pins: tuple[tuple[str, float, float], ...]
    shape: Literal["round", "square"]


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact as written after the tag: a word, a quantity or a phrase ("2 CO"). For lists, drawings and sizing.

    `other`: the second quantity of a range ("4 A to 6.3 A"), a pair ("480 V / 120 V") or a tolerance.
    """

    name: str
    text: str
    quantity: Quantity | None = None
    other: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Device:
    """One device of the panel; a supply is a device whose parts include a Source."""

    tag: str
    kind: str
    place: str
    text: str
    mechanism: Mechanism
    parts: tuple[Part, ...]
    terminals: tuple[str, ...]
    facts: tuple[Fact, ...] = ()
    symbol: str = ""
    colour: str = ""
    base: Base | None = None
    grows: bool = False  # contact blocks are added as rungs use them (selectors)
    conductors_per_terminal: int = 2
    watts: float = 0.0
    release_factor: float = 1.0  # a suppressor across the coil makes it let go this much later
    span: Span | None = field(default=None, compare=False)

    def part(self, name: str) -> Part:
        """The part called `name`. Raises KeyError."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(f"{self.tag} has no part {name}")

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """Its contacts, main poles included."""
        return tuple(p for p in self.parts if isinstance(p, Contact))

    @property
    def loads(self) -> tuple[Load, ...]:
        """Its loads."""
        return tuple(p for p in self.parts if isinstance(p, Load))

    @property
    def sources(self) -> tuple[Source, ...]:
        """Its sources."""
        return tuple(p for p in self.parts if isinstance(p, Source))

    @property
    def motors(self) -> tuple[Motor, ...]:
        """Its motors."""
        return tuple(p for p in self.parts if isinstance(p, Motor))


def two_terminal_parts(device: Device) -> Iterator[Contact | Load | Diode | Fuse | Link]:
    """The parts that stand between exactly two terminals."""
    for part in device.parts:
        if not isinstance(part, Motor | Source):
            yield part
