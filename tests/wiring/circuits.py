"""Random control circuits, written by hand as the reader would hand them over: contacts open, parts named."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Fact,
    Heading,
    Here,
    Item,
    Load,
    Mechanism,
    Parallel,
    Place,
    Rung,
    Series,
    Source,
    Through,
    Use,
)

RELAYS = ("K1", "K2", "K3")
BUTTONS = ("S1", "S2")
SCHEMES = ("running", "by rung", "by device end", "by other end", "by text")


def relay(tag: str, changeovers: int, makes: int, rests: int, place: str = "plate", conductors: int = 2) -> Device:
    """A relay with printed marks 11-14-12, 21-24-22 for change-overs and, for blocks, 1003-1004 and 2001-2002."""
    parts: list[Contact | Load] = [Load("coil", "A1", "A2", "coil", 24, "dc", 650, drives="coil")]
    for n in range(1, changeovers + 1):
        parts.append(Contact(f"{n}1-{n}4", f"{n}1", f"{n}4", "no", changeover=n))
        parts.append(Contact(f"{n}1-{n}2", f"{n}1", f"{n}2", "nc", changeover=n))
    parts += [Contact(f"{n}3-{n}4", f"{n}3", f"{n}4", "no") for n in range(100, 100 + makes)]
    parts += [Contact(f"{n}1-{n}2", f"{n}1", f"{n}2", "nc") for n in range(200, 200 + rests)]
    marks = tuple(dict.fromkeys(mark for part in parts for mark in (part.a, part.b)))
    moves = Mechanism("relay")
    return Device(tag, "relay", place, f"Relay {tag}", moves, tuple(parts), marks, conductors_per_terminal=conductors)


def button(tag: str, place: str) -> Device:
    """A push-button with a change-over contact, as many limit switches have."""
    parts = (Contact("13-14", "13", "14", "no", changeover=1), Contact("13-12", "13", "12", "nc", changeover=1))
    return Device(tag, "pushbutton", place, f"Button {tag}", Mechanism("push"), parts, ("13", "14", "12"))


def lamp(tag: str, place: str) -> Device:
    """A lamp."""
    load = Load("lamp", "X1", "X2", "lamp", 24, "dc", 1200)
    return Device(tag, "lamp", place, f"Lamp {tag}", Mechanism("fixed"), (load,), ("X1", "X2"))


def strip(tag: str, place: str = "plate") -> Device:
    """A terminal strip."""
    marks = tuple(str(n) for n in range(1, 9))
    return Device(tag, "terminal strip", place, "", Mechanism("fixed"), (), marks)


def supply() -> Device:
    """24 V dc."""
    source = Source("out", ("+", "-"), ("+", "-"), "dc", 24)
    return Device("G1", "dc supply", "plate", "Supply", Mechanism("fixed"), (source,), ("+", "-"))


@st.composite
def contacts(draw: st.DrawFn) -> Use:
    """An open contact of a relay or a button."""
    tag = draw(st.sampled_from(RELAYS + BUTTONS))
    form = draw(st.sampled_from(("no", "nc")))
    return Use(tag, form, form)


@st.composite
def branches(draw: st.DrawFn, depth: int) -> Series:
    """Contacts in series, some of them side by side, a named point or a strip terminal between."""
    items: list[Item] = []
    for _ in range(draw(st.integers(1, 3))):
        what = draw(st.sampled_from(("contact",) * 6 + ("parallel", "point", "strip")))
        if what == "contact":
            items.append(draw(contacts()))
        elif what == "parallel" and depth:
            items.append(Parallel(tuple(draw(branches(depth - 1)) for _ in range(draw(st.integers(2, 3))))))
        elif what == "point":
            items.append(Here(draw(st.sampled_from(("4", "5")))))
        elif what == "strip":
            items.append(Through("X1", str(draw(st.integers(1, 8)))))
    return Series((*items, draw(contacts())))


@st.composite
def circuits(draw: st.DrawFn, poles: int = 0) -> Circuit:
    """A supply, three relays, two buttons, a strip, and up to five rungs that each end in a load.

    Relays have `poles` to `poles` + 2 contacts of each kind; with 0 the panel is often short of some.
    """
    place = st.sampled_from(("plate", "door", "field"))
    devices = [supply(), strip("X1")]
    few = st.integers(poles, poles + 2)
    for tag in RELAYS:
        drawn = relay(tag, draw(few), draw(few), draw(few), draw(place), draw(st.integers(1, 3)))
        behind = draw(st.booleans())
        devices.append(replace(drawn, facts=(Fact("wired-from-behind", "wired-from-behind"),)) if behind else drawn)
    devices += [button(tag, draw(place)) for tag in BUTTONS]
    rungs = []
    for n in range(1, draw(st.integers(1, 5)) + 1):
        if n <= len(RELAYS):
            load = Use(f"K{n}", "coil")
        else:
            devices.append(lamp(f"H{n}", draw(place)))
            load = Use(f"H{n}", "")
        start = draw(st.sampled_from(("+", "+", "+", "@4")))
        rungs.append(Rung(start, "-", Series((*draw(branches(1)).items, load)), f"Rung {n}", ("+", "-")))
    scheme = draw(st.sampled_from(SCHEMES))
    places = (Place("field"),)
    return Circuit(Heading("Drawn by chance", wire_numbers=scheme), places, devices=tuple(devices), rungs=tuple(rungs))
