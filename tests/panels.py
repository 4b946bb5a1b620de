"""Small circuits put together by hand, for tests that should not depend on the reader."""

from __future__ import annotations

from panelwright.circuit import (
    Base,
    Circuit,
    Contact,
    Device,
    Heading,
    Load,
    Mechanism,
    Parallel,
    Rung,
    Series,
    Source,
    Use,
)

BLADE_8 = Base(
    "blade-8",
    (("1", 0, 0), ("4", 1, 0), ("5", 0, 1), ("8", 1, 1), ("9", 0, 2), ("12", 1, 2), ("13", 0, 3), ("14", 1, 3)),
    "square",
)


def button(tag: str, form: str, text: str) -> Device:
    """A push-button with one contact."""
    a, b = ("13", "14") if form == "no" else ("11", "12")
    contact = Contact(f"{a}-{b}", a, b, form)  # type: ignore[arg-type]
    return Device(tag, "pushbutton", "door", text, Mechanism("push", travel_s=0.002), (contact,), (a, b), symbol="push")


def lamp(tag: str, text: str) -> Device:
    """A 24 V LED lamp."""
    load = Load("lamp", "X1", "X2", "lamp", 24, "dc", 1200, works_v=16, rests_v=6, polarised=True)
    return Device(tag, "lamp", "door", text, Mechanism("fixed"), (load,), ("X1", "X2"), symbol="lamp")


def blade_relay(tag: str, text: str) -> Device:
    """A 24 V dc relay with two change-over contacts on an 8-blade base."""
    parts = (
        Load("coil", "13", "14", "coil", 24, "dc", 650, works_v=19.2, rests_v=2.4, drives="coil"),
        Contact("9-5", "9", "5", "no", changeover=1),
        Contact("9-1", "9", "1", "nc", changeover=1),
        Contact("12-8", "12", "8", "no", changeover=2),
        Contact("12-4", "12", "4", "nc", changeover=2),
    )
    moves = Mechanism("relay", operate_s=0.015, release_s=0.010, travel_s=0.003, tolerance=0.2)
    marks = ("1", "4", "5", "8", "9", "12", "13", "14")
    return Device(tag, "relay", "plate", text, moves, parts, marks, symbol="relay", base=BLADE_8)


def dc_supply(tag: str = "G1") -> Device:
    """24 V dc, earthed at the minus rail."""
    source = Source("out", ("+", "-"), ("+", "-"), "dc", 24, amps=2.5, earthed_at="-", earthing="earthed")
    return Device(tag, "dc supply", "plate", "Control supply", Mechanism("fixed"), (source,), ("+", "-"))


def use(device: str, part: str, form: str = "", name: str = "", ends: tuple[str, str] | None = None) -> Use:
    """A use; with `ends` it is allotted."""
    return Use(device, part, form, part[2:] if form else "", terminals=ends, name=name)


def well_pump(allotted: bool = True) -> Circuit:
    """Start-stop with hold-in and two lamps; allotted as a wireman would."""
    stop, start = use("S1", "nc", "nc", "11-12", ("11", "12")), use("S2", "no", "no", "13-14", ("13", "14"))
    hold, coil = use("K1", "no1", "no", "9-5", ("9", "5")), use("K1", "coil", "", "coil", ("13", "14"))
    runs, rests = use("K1", "no", "no", "12-8", ("12", "8")), use("K1", "nc", "nc", "12-4", ("12", "4"))
    lamps = [use(tag, "", "", "lamp", ("X1", "X2")) for tag in ("H1", "H2")]
    rungs = (
        Rung(
            "+",
            "-",
            Series((stop, Parallel((Series((start,)), Series((hold,)))), coil)),
            "Run, held in by K1",
            ("+", "-"),
        ),
        Rung("+", "-", Series((runs, lamps[0])), "Running", ("+", "-")),
        Rung("+", "-", Series((rests, lamps[1])), "Stopped", ("+", "-")),
    )
    devices = (
        dc_supply(),
        button("S1", "nc", "Stop"),
        button("S2", "no", "Start"),
        lamp("H1", "Running"),
        lamp("H2", "Stopped"),
        blade_relay("K1", "Pump run"),
    )
    return Circuit(Heading("Orchard well pump"), devices=devices, rungs=rungs, allotted=allotted)
