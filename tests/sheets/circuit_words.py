"""Small allotted circuits from a few words, so that drawings can be tested without the reader of panel files."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Diode,
    Fuse,
    Heading,
    Here,
    Item,
    Load,
    Mechanism,
    Parallel,
    Part,
    Rung,
    Series,
    Source,
    Through,
    Use,
)

_SORTS = {
    "S": ("pushbutton", "push"), "K": ("relay", "relay"), "H": ("lamp", "fixed"), "F": ("overload relay", "trip"),
    "B": ("float switch", "field"), "T": ("on-delay timer", "on-delay"), "P": ("horn", "fixed"),
    "V": ("diode", "fixed"), "U": ("fuse", "fixed"), "E": ("emergency stop", "latched push"),
    "A": ("selector", "selector"), "X": ("terminal strip", "fixed"), "Y": ("solenoid", "fixed"),
}  # fmt: skip


@dataclass
class _Shelf:
    devices: dict[str, Device] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)

    def device(self, tag: str) -> Device:
        if tag not in self.devices:
            kind, sort = _SORTS[tag[0]]
            text = self.words.get(tag, "")
            self.devices[tag] = Device(tag, kind, "plate", text, Mechanism(sort), (), ())
        return self.devices[tag]

    def add(self, tag: str, part: Part) -> None:
        device = self.device(tag)
        marks = tuple(m for m in (part.a, part.b) if m not in device.terminals)  # type: ignore[union-attr]
        self.devices[tag] = replace(device, parts=(*device.parts, part), terminals=(*device.terminals, *marks))

    def use(self, word: str) -> Use | Through:
        tag, _, part = word.partition(".")
        device = self.device(tag)
        if tag[0] == "X":
            return Through(tag, part)
        if part in ("no", "nc"):
            number = len(device.contacts) + 1
            low, high = ("1", "2") if part == "nc" else ("3", "4")
            if device.kind == "overload relay":
                low, high = ("5", "6") if part == "nc" else ("7", "8")
                number = 9 + sum(c.form == part for c in device.contacts)
            a, b = f"{number}{low}", f"{number}{high}"
            timing = "timed" if tag[0] == "T" else "plain"
            self.add(tag, Contact(f"{a}-{b}", a, b, part, timing))  # type: ignore[arg-type]
            return Use(tag, part, part, terminals=(a, b), name=f"{a}-{b}")
        if tag[0] == "V":
            self.add(tag, Diode("diode", "A", "K"))
            return Use(tag, "K-A", terminals=("K", "A"), name="diode")
        if tag[0] == "U":
            self.add(tag, Fuse("fuse", "1", "2", 2.0))
            return Use(tag, "", terminals=("1", "2"), name="fuse")
        sort = {"K": "coil", "T": "coil", "P": "sounder", "Y": "solenoid"}.get(tag[0], "lamp")
        a, b = ("A1", "A2") if sort == "coil" else ("X1", "X2")
        drives = "coil" if sort == "coil" else ""
        self.add(tag, Load(sort, a, b, sort, 24.0, "dc", 500.0, drives=drives))  # type: ignore[arg-type]
        return Use(tag, part, terminals=(a, b), name=sort)


def panel(
    rungs: list[str],
    words: dict[str, str] | None = None,
    rails: tuple[str, str] = ("+", "-"),
    title: str = "Small panel",
) -> Circuit:
    """A circuit from lines like `@1 S1.nc ( S2.no | K1.no ) K1.coil @2 "Run"`; other ends are the rails."""
    shelf = _Shelf(words=words or {})
    made = tuple(_rung(line, shelf, rails) for line in rungs)
    source = Source("dc", rails, rails, "dc", 24.0)
    supply = Device("G1", "dc supply", "plate", "Control supply", Mechanism("fixed"), (source,), rails)
    return Circuit(Heading(title), devices=(supply, *shelf.devices.values()), rungs=made, allotted=True)


def _rung(line: str, shelf: _Shelf, rails: tuple[str, str]) -> Rung:
    match = re.fullmatch(r'([^"]*)(?:"([^"]*)")?\s*', line)
    assert match, line
    words = match[1].split()
    start, end = rails
    if words[0].startswith("@"):
        start = words.pop(0)
    if words and words[-1].startswith("@"):
        end = words.pop()
    items, rest = _series(words, shelf)
    assert not rest, line
    return Rung(start, end, items, match[2] or "", rails)


def _series(words: list[str], shelf: _Shelf) -> tuple[Series, list[str]]:
    items: list[Item] = []
    while words and words[0] not in ("|", ")"):
        word, *words = words
        if word == "(":
            branches: list[Series] = []
            while True:
                branch, words = _series(words, shelf)
                branches.append(branch)
                if words.pop(0) == ")":
                    break
            items.append(Parallel(tuple(branches)))
        elif word.startswith("@"):
            items.append(Here(word[1:]))
        else:
            items.append(shelf.use(word))
    return Series(tuple(items)), words


WELL_PUMP = panel(
    ['S1.nc ( S2.no | K1.no ) K1.coil "Run, held in by K1"', 'K1.no H1 "Running"', 'K1.nc H2 "Stopped"'],
    {"S1": "Stop", "S2": "Start", "K1": "Pump run"},
    title="Orchard well pump",
)
STAR_DELTA = panel(
    [
        'F5.nc S1.nc @2 "Stop"',
        "@2 S2.no @3",
        '@2 K2.no @4 "Line holds itself"',
        '@3 K1.no @4 "Star brings in line"',
        "@3 K3.nc @5",
        "@5 T4.coil",
        '@5 T4.nc K1.coil "Star"',
        '@4 K2.coil "Line"',
        '@4 K1.nc K3.coil "Delta"',
    ],
    {"F5": "Overload", "S1": "Stop", "S2": "Start"},
    ("X1", "X2"),
    "Apple crusher, star-delta",
)
BRIDGE = panel(
    ["S1.no @1", "S2.no @2", '@1 S5.no @2 "Bridge"', "@1 S3.no @3", "@2 S4.no @3", '@3 ( K1.coil | V1.K-A ) "Gate"'],
    title="Gate with a bridge contact",
)
LIFT_STATION = panel(
    [
        'X1.1 B1.no X1.2 @20 "Level above low"',
        '@20 ( B2.no | K1.no ) K1.coil "First pump called, until low"',
        '@20 ( B3.no | K2.no ) K2.coil "Second pump called, until low"',
        'K1.no K7.coil "Turn changes when the call ends"',
        "K1.no @21",
        '@21 K7.nc @22 "Turn of pump 1"',
        '@21 K7.no @23 "Turn of pump 2"',
        'K2.no @22 "Second pump: both"',
        "K2.no @23",
        "A1.no @24",
        "@22 A1.no @24",
        '@24 F1.nc K11.coil "Pump 1"',
        "A2.no @25",
        "@23 A2.no @25",
        '@25 F2.nc K12.coil "Pump 2"',
        "K11.no H1",
        "K12.no H2",
        "K2.no H3",
    ],
    {"B1": "Low: stop", "B2": "First pump", "B3": "Second pump and alarm", "F1": "Pump 1", "F2": "Pump 2"},
    title="Lift station, two pumps in turn",
)
RETURNS = panel(
    [
        'S1.nc @1 "Stop"',
        '@1 ( S2.no | K1.no ) S3.nc K1.coil @9 "Forward"',
        '@1 ( S3.no | K2.no ) S2.nc K2.coil @9 "Reverse"',
        "@9 F2.nc",
        'U1 ( S5.no ( S6.no | S7.no S8.no ) | E1.nc ) ( K3.coil | H3 | S9.no P1 ) "Many branches"',
    ],
    title="Hoist with a common return",
)
ALL = (WELL_PUMP, STAR_DELTA, BRIDGE, LIFT_STATION, RETURNS)
