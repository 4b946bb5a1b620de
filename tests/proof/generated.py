"""Whole panels by lot, as their users would write them: every kind of device, sentence and assumption that is proved.

A panel is a text, a function of its number alone: whatever goes wrong with one can be written to a file and looked at.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from panelwright.circuit import Circuit
from panelwright.language import read
from panelwright.wiring import Wiring, wire

KINDS = {
    "relay": "relay 4 CO coil 24 V dc",
    "contactor": "contactor 3 poles 4 NO + 4 NC coil 24 V dc",
    "latching": "latching relay 4 CO coil 24 V dc",
    "impulse": "impulse relay 4 CO coil 24 V dc",
    "alternating": "alternating relay 4 CO coil 24 V dc",
    "on-delay": "on-delay timer 2 s 4 CO coil 24 V dc",
    "off-delay": "off-delay timer 2 s 4 CO coil 24 V dc",
    "interval": "interval timer 2 s 4 CO coil 24 V dc",
    "flasher": "flasher 1 s 4 CO coil 24 V dc",
}
EXTRAS = (
    "none", "none", "interlock", "latching", "impulse", "alternating", "on-delay", "off-delay", "interval", "flasher",
)  # fmt: skip
HEADINGS = ("supplies", "devices on door", "devices on plate", "assumptions", "promises")
POLES = 4


@dataclass
class Drawing:
    """A panel in the making: which devices there are, and how many of their contacts are used."""

    rng: random.Random
    coils: dict[str, str] = field(default_factory=dict)  # tag to kind
    used: dict[str, int] = field(default_factory=dict)
    inputs: dict[str, str] = field(default_factory=dict)  # tag to line of the file
    lamps: dict[str, str] = field(default_factory=dict)
    rungs: list[str] = field(default_factory=list)
    interlock: bool = False
    second_supply: bool = False

    def contact(self) -> str:
        """A contact of any device that has one left."""
        free = [tag for tag in (*self.coils, *self.inputs, *self.inputs) if self.used.get(tag, 0) < POLES]
        tag = self.rng.choice(free)
        if tag == "SA1":
            return f"SA1.{self.rng.choice(('HAND', 'AUTO'))}"
        self.used[tag] = self.used.get(tag, 0) + 1
        if tag[0] in "SBF":
            return f"{tag}.{'nc' if ' NC' in self.inputs[tag] else 'no'}"
        return f"{tag}.{self.rng.choice(('no', 'nc'))}"

    def branch(self, most: int) -> str:
        """One to so many contacts in series."""
        return " ".join(self.contact() for _ in range(self.rng.randint(1, most)))

    def rung(self, load: str) -> None:
        """Contacts, some side by side, then the load, perhaps with something on its way back."""
        rng = self.rng
        words = [self.branch(2)]
        if rng.random() < 0.5:
            words = ["(", *words, "|", self.branch(1), ")"]
        if rng.random() < 0.3:
            words.append(self.contact())
        words.append(load)
        if rng.random() < 0.15:
            words.append(self.contact())  # a contact on the earthed side
        self.rungs.append(" ".join(words))


def panel_by_lot(number: int, *, selector: bool = True, promises: int = 5) -> str:
    """A panel file. `selector`: it may have one; a run cannot be compared where it is turned."""
    drawing = Drawing(random.Random(number))
    _devices(drawing, selector=selector)
    for tag, kind in drawing.coils.items():
        if kind == "latching":
            drawing.rung(f"{tag}.set")
            drawing.rung(f"{tag}.reset")
        else:
            drawing.rung(f"{tag}.coil")
    _loads(drawing)
    rows = [*_head(drawing), *_assumptions(drawing), "promises", *_promises(drawing, promises)]
    headings = (*HEADINGS, rows[0], *(row for row in rows if row.startswith("rungs")))
    return "".join(f"{row}\n" if row in headings else f"  {row}\n" for row in rows)


def read_panel(text: str) -> Circuit:
    """The circuit of a generated file, which has no mistakes that keep it from being read."""
    reading = read(text)
    assert reading.ok, reading.problems
    return reading.circuit


def wired(text: str) -> Wiring:
    """The same, its contacts allotted."""
    return wire(read_panel(text))


# ---- what there is
def _devices(drawing: Drawing, *, selector: bool) -> None:
    rng = drawing.rng
    extra = rng.choice(EXTRAS)
    drawing.coils = {"K1": rng.choice(("relay", "contactor")), "K2": rng.choice(("relay", "contactor"))}
    if extra == "interlock":
        drawing.interlock = True
        drawing.coils = {"K1": "contactor", "K2": "contactor"}
    elif extra in ("on-delay", "off-delay", "interval", "flasher"):
        drawing.coils["T1"] = extra
    elif extra != "none":
        drawing.coils["K3"] = extra
    drawing.inputs = {"S1": "S1 pushbutton 4 NO", "S2": "S2 pushbutton 4 NC"}
    more = rng.choice(("", "", "floats", "overload", "selector" if selector else "overload"))
    if more == "floats":
        drawing.inputs = {"S1": "S1 pushbutton 4 NO", "B1": "B1 float switch 4 NO", "B2": "B2 float switch 4 NO"}
    elif more == "overload":
        drawing.inputs["F2"] = "F2 overload relay 4 NC 1 A to 1.6 A"
    elif more == "selector":
        drawing.inputs["SA1"] = "SA1 selector HAND OFF AUTO starts at OFF"
    drawing.second_supply = rng.random() < 0.15


def _loads(drawing: Drawing) -> None:
    """Lamps in rungs of their own, across, in front of a coil, behind a diode, on the other supply."""
    rng = drawing.rng
    way = rng.choice(("", "lamp", "series", "across", "diode", "change-over", "other supply"))
    if way == "other supply" and not drawing.second_supply:
        way = "lamp"
    if way:
        drawing.lamps["H1"] = "H1 lamp 24 V dc 2 W"
    if way == "lamp":
        drawing.rung("H1")
    elif way == "series":  # the coil and the lamp get a part of the volts each
        drawing.rungs[0] = drawing.rungs[0].replace("K1.coil", f"( H1 | {drawing.contact()} ) K1.coil")
    elif way == "across":
        drawing.rungs[0] = drawing.rungs[0].replace("K1.coil", "( K1.coil | H1 )")
    elif way == "diode":
        drawing.lamps["V1"] = "V1 diode 1 A"
        drawing.rungs[0] = drawing.rungs[0].replace("K1.coil", "@7 K1.coil")
        drawing.rungs.append("@7 V1 @8")
        drawing.rungs.append("@8 H1")
        drawing.rungs.append(f"{drawing.contact()} @8")
    elif way == "change-over" and drawing.used.get("K2", 0) < POLES and drawing.coils["K2"] == "relay":
        drawing.used["K2"] = drawing.used.get("K2", 0) + 1
        drawing.rungs.append(f"{drawing.contact()} @9")
        drawing.rungs.append("@9 K2.no7 H1")
        drawing.lamps["H2"] = "H2 lamp 24 V dc 2 W"
        drawing.rungs.append("@9 K2.nc7 H2")
    elif way:
        drawing.rung("H1")


def _head(drawing: Drawing) -> Iterator[str]:
    yield from ('panel "By lot"', "supplies", "G1 dc supply 24 V 5 A rails + - earthed at -")
    if drawing.second_supply:
        yield "G2 dc supply 24 V 5 A rails P -"
    yield "devices on door"
    yield from drawing.inputs.values()
    yield from drawing.lamps.values()
    yield "devices on plate"
    yield from (f"{tag} {KINDS[kind]}" for tag, kind in drawing.coils.items())
    if drawing.interlock:
        yield "K1 and K2 interlocked mechanically"
    if drawing.second_supply:  # the second rung lives from it
        yield from ("rungs from P to -", drawing.rungs.pop(1))
    yield "rungs from + to -"
    yield from drawing.rungs


# ---- what is assumed
def _assumptions(drawing: Drawing) -> list[str]:
    rng = drawing.rng
    tags = list(drawing.inputs)
    found = []
    if rng.random() < 0.45:
        found.append("inputs change only at rest")
    if rng.random() < 0.25:
        found.append("inputs change one at a time")
    if rng.random() < 0.2:
        found.append("power stays on")
    if "B2" in tags and rng.random() < 0.7:
        found.append("B1 makes before B2 and clears after B2")
    if "B1" in tags and rng.random() < 0.4:
        found.append(f"B1 makes only while K1 is {rng.choice(('in', 'out'))}")
    if "SA1" in tags and rng.random() < 0.3:
        found.append(f"SA1 stays at {rng.choice(('HAND', 'OFF', 'AUTO'))}")
    if "S2" in tags and rng.random() < 0.2:
        found.append("never S1 is pressed and S2 is pressed")
    return ["assumptions", *found] if found else []


# ---- what is promised
def _promises(drawing: Drawing, count: int) -> Iterator[str]:
    """So many sentences of any form, in an order of their own."""
    ask = _Asking(drawing)
    forms = list(FORMS)
    drawing.rng.shuffle(forms)
    for form in forms[:count]:
        yield FORMS[form](ask)


class _Asking:
    """Words for sentences about the devices of a panel."""

    def __init__(self, drawing: Drawing) -> None:
        self.rng = drawing.rng
        self.lamps = [tag for tag in drawing.lamps if tag.startswith("H")]
        self.coils = list(drawing.coils)
        self.inputs = list(drawing.inputs)

    def coil(self) -> str:
        return self.rng.choice(self.coils)

    def two(self) -> tuple[str, str]:
        one, other = self.rng.sample(self.coils, 2)
        return one, other

    def operated(self, tag: str = "") -> str:
        """An input as something that holds."""
        tag = tag or self.rng.choice(self.inputs)
        if tag == "SA1":
            return f"SA1 is at {self.rng.choice(('HAND', 'OFF', 'AUTO'))}"
        words = {"S": ("pressed", "released"), "B": ("made", "clear"), "F": ("tripped", "reset")}[tag[0]]
        return f"{tag} is {self.rng.choice(words)}"

    def condition(self) -> str:
        """An input, two of them, or a coil."""
        way = self.rng.random()
        if way < 0.4:
            return self.operated()
        if way < 0.6:
            one, other = self.rng.sample(self.inputs, 2)
            return f"{self.operated(one)} {self.rng.choice(('and', 'or'))} {self.operated(other)}"
        if way < 0.7:
            return f"{self.operated()} and {self.coil()} is not {self.rng.choice(('in', 'out'))}"
        return f"{self.coil()} is {self.rng.choice(('in', 'out'))}"

    def event(self) -> str:
        """Something that happens by hand, by the plant, to the power or to a relay."""
        if self.rng.random() < 0.15:
            return self.rng.choice(("power returns", "power fails"))
        if self.rng.random() < 0.15:
            return f"{self.coil()} {self.rng.choice(('picks up', 'drops out'))}"
        tag = self.rng.choice([one for one in self.inputs if one != "SA1"])
        words = {"S": ("is pressed", "is released"), "B": ("makes", "clears"), "F": ("trips", "is reset")}[tag[0]]
        return f"{tag} {self.rng.choice(words)}"

    def verb(self) -> str:
        return self.rng.choice(("picks up", "drops out"))

    def state(self) -> str:
        return self.rng.choice(("in", "out"))

    def unless(self) -> str:
        return f" unless {self.operated()}" if self.rng.random() < 0.3 else ""

    def shown(self) -> str:
        """A lamp that is lit or dark, or a coil that is in or out."""
        if self.lamps and self.rng.random() < 0.5:
            return f"{self.rng.choice(self.lamps)} is {self.rng.choice(('lit', 'dark'))}"
        return f"{self.coil()} is {self.state()}"


def _in_order(ask: _Asking) -> str:
    one, other = ask.two()
    return f"{one} and {other} {ask.rng.choice(('pick up', 'drop out'))} in order"


FORMS: dict[str, Callable[[_Asking], str]] = {
    "when": lambda ask: f"{ask.coil()} {ask.verb()} when {ask.condition()}{ask.unless()}",
    "at least once when": lambda ask: f"{ask.coil()} picks up at least once when {ask.condition()}{ask.unless()}",
    "only while": lambda ask: f"{ask.shown()} only while {ask.condition()}",
    "exactly while": lambda ask: f"{ask.shown()} exactly while {ask.condition()}",
    "while": lambda ask: f"{ask.shown()} while {ask.condition()}",
    "after": lambda ask: f"{ask.coil()} {ask.verb()} after {ask.event()}{ask.unless()}",
    "stays after": lambda ask: f"{ask.coil()} stays {ask.state()} after {ask.event()}{ask.unless()}",
    "stays until": lambda ask: f"{ask.coil()} stays {ask.state()} until {ask.condition()}",
    "only after": lambda ask: f"{ask.coil()} {ask.verb()} only after {ask.condition()}",
    "never together": lambda ask: "{} and {} are never in together".format(*ask.two()),
    "never": lambda ask: f"never {ask.coil()} {ask.state()} and {ask.condition().split(' or ')[0]}",
    "while always": lambda ask: f"while {ask.coil()} is {ask.state()} always {ask.operated()}",
    "after until": lambda ask: f"after {ask.event()} {ask.coil()} is {ask.state()} until {ask.operated()}",
    "in order": _in_order,
    "take turns": lambda ask: "{} and {} take turns".format(*ask.two()),
    "nothing starts": lambda ask: f"nothing starts when {ask.event()}",
    "again": lambda ask: f"{ask.coil()} picks up again when power returns",
    "rests": lambda ask: f"everything returns to rest after {ask.event()}",
}
