"""Any tangle of contacts, loads and supplies, drawn by hypothesis."""

from __future__ import annotations

from collections.abc import Sequence

from hypothesis import strategies as st

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Diode,
    Heading,
    Load,
    Mechanism,
    Part,
    Rung,
    Series,
    Source,
    Use,
)

SUPPLIES = {
    "dc earthed": Source("out", ("+", "-"), ("+", "-"), "dc", 24, earthed_at="-", earthing="earthed"),
    "dc floating": Source("out", ("+", "-"), ("+", "-"), "dc", 24, earthing="floating"),
    "dc with inner ohms": Source("out", ("+", "-"), ("+", "-"), "dc", 24, ohms=400, earthed_at="-"),
    "second dc on the same return": Source("out", ("+", "-"), ("P", "-"), "dc", 12),
    "second dc on top": Source("out", ("+", "-"), ("P", "+"), "dc", 12),
    "second dc apart": Source("out", ("+", "-"), ("P", "M"), "dc", 48, ohms=250),
    "ac on the same return": Source("out", ("X1", "X2"), ("X1", "-"), "ac", 120, 60),
    "ac apart": Source("out", ("X1", "X2"), ("X1", "X2"), "ac", 120, 50, ohms=300),
    "three-phase": Source("out", ("1", "2", "3", "4"), ("L1", "L2", "L3", "N"), "ac", 400, 50, phases=3),
    "three-phase without neutral": Source("out", ("1", "2", "3"), ("L1", "L2", "L3"), "ac", 480, 60, phases=3),
}
FIRST = ("dc earthed", "dc floating", "dc with inner ohms")
FURTHER = tuple(name for name in SUPPLIES if name not in FIRST)
LOADS = {
    "coil": Load("coil", "A1", "A2", "coil", 24, "dc", 650),
    "lamp": Load("lamp", "A1", "A2", "lamp", 24, "dc", 1200),
    "heater": Load("heater", "A1", "A2", "resistor", 230, "either", 968),
    "ac coil": Load("coil", "A1", "A2", "coil", 120, "ac", 210, 730, 60),
    "snubber": Load("filter", "A1", "A2", "resistor", 230, "either", 220, -6700, 50),
}
PARTS: dict[str, Contact | Diode | Load] = {
    **LOADS,
    "contact": Contact("13-14", "13", "14", "no"),
    "diode": Diode("diode", "A", "K"),
}


@st.composite
def tangles(draw: st.DrawFn, diodes: bool = False) -> tuple[Circuit, frozenset[str]]:
    """A circuit on one to three supplies, and a set of closed contacts; with `diodes` on one dc supply."""
    named = [draw(st.sampled_from(FIRST))]
    if not diodes:
        named += draw(st.lists(st.sampled_from(FURTHER), max_size=2, unique=True))
    supplies = [SUPPLIES[name] for name in named]
    rails = list(dict.fromkeys(rail for source in supplies for rail in source.rails))
    places = [*rails, *(f"@{n}" for n in range(draw(st.integers(2, 9))))]
    ends = st.tuples(st.integers(0, len(places) - 1), st.integers(0, len(places) - 1)).filter(lambda e: e[0] != e[1])
    contacts = draw(st.lists(ends, min_size=2, max_size=16))
    # with a capacitor beside a diode the referee ends in the middle of charging it
    sorts = [sort for sort in sorted(LOADS) if not (diodes and sort == "snubber")]
    loads = draw(st.lists(st.tuples(st.sampled_from(sorts), ends), min_size=2, max_size=14))
    closed = draw(st.sets(st.integers(0, len(contacts) - 1)))
    # a capacitor always stands beside a coil, as in a panel: what lies behind a lone one has no defined dc volts
    beside = [("coil", end) for sort, end in loads if sort == "snubber"]
    pieces = [("contact", end) for end in contacts] + loads + beside
    if diodes:
        pieces += [("diode", end) for end in draw(st.lists(ends, min_size=1, max_size=4))]
    return put_together(supplies, places, pieces), frozenset(f"S{n}.13-14" for n in closed)


def put_together(supplies: Sequence[Source], places: list[str], pieces: list[tuple[str, tuple[int, int]]]) -> Circuit:
    """One rung a piece."""
    devices = [_device(f"G{n}", source, source.terminals) for n, source in enumerate(supplies)]
    rungs = []
    for n, (sort, (start, end)) in enumerate(pieces):
        part = PARTS[sort]
        tag = f"{'S' if sort == 'contact' else 'V' if sort == 'diode' else 'K'}{n}"
        devices.append(_device(tag, part, (part.a, part.b)))
        use = Use(tag, part.name, terminals=(part.a, part.b), name=part.name)
        rungs.append(Rung(places[start], places[end], Series((use,))))
    return Circuit(Heading("a tangle"), devices=tuple(devices), rungs=tuple(rungs), allotted=True)


def _device(tag: str, part: Part, marks: tuple[str, ...]) -> Device:
    return Device(tag, "any", "plate", "", Mechanism("fixed"), (part,), marks)
