"""Wires between terminals: they make the nets, no more and no less, and come in an order one can work by."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import groupby

from hypothesis import given, settings

from panelwright.circuit import (
    Cable,
    Circuit,
    Fact,
    Heading,
    Mount,
    Place,
    Quantity,
    Rung,
    Series,
    Through,
    Use,
    WireRule,
)
from panelwright.wiring import Wire, measures, wire
from tests.wiring.circuits import button, circuits, lamp, relay, strip, supply
from tests.wiring.test_allotment import Joined

MM2 = Quantity(1e-6, "m2", "1 mm2")


@settings(max_examples=80, deadline=None)
@given(circuits())
def test_the_wires_make_the_nets(circuit: Circuit) -> None:
    """Every net is joined by one conductor fewer than it has terminals, and no two nets touch."""
    wiring = wire(circuit)
    joined = Joined()
    for net in wiring.nets:
        for terminal in net.terminals:
            joined.groups[terminal] = {terminal}
    for one in wiring.wires:
        joined.join(*one.ends)

    assert {frozenset(net.terminals) for net in wiring.nets} == {frozenset(g) for g in joined.groups.values()}
    assert sum(len(net.terminals) - 1 for net in wiring.nets) == len(wiring.wires)


@settings(max_examples=80, deadline=None)
@given(circuits())
def test_no_terminal_takes_more_than_it_may_unless_it_is_told(circuit: Circuit) -> None:
    """At most the conductors of the device under each terminal, on each side of a strip."""
    wiring = wire(circuit)
    under: Counter[tuple[str, str]] = Counter()
    for one in wiring.wires:
        for end, side in zip(one.ends, one.sides, strict=True):
            under[end, side] += 1
    over = {
        end
        for (end, _), count in under.items()
        if count > wiring.circuit.by_tag[end.split(".")[0]].conductors_per_terminal
    }

    assert over == {sentence.split(" takes ")[0] for sentence in wiring.told if " takes " in sentence}


@settings(max_examples=80, deadline=None)
@given(circuits())
def test_each_stage_is_finished_before_the_next(circuit: Circuit) -> None:
    """No place, and no side of one, is come back to; wires between places come last."""
    wires = wire(circuit).wires
    stages = [stage for stage, _ in groupby(w.stage for w in wires)]
    between = [w.places[0] != w.places[1] for w in wires]

    assert len(stages) == len(set(stages))
    assert between == sorted(between)


@settings(max_examples=80, deadline=None)
@given(circuits())
def test_the_same_file_gives_the_same_wires(circuit: Circuit) -> None:
    """Ids, numbers and order do not depend on chance."""
    again = replace(circuit)

    assert wire(circuit).wires == wire(again).wires
    assert len({w.id for w in wire(circuit).wires}) == len(wire(circuit).wires)


def rung(*items: object, start: str = "+") -> Rung:
    """A rung from plus to minus."""
    return Rung(start, "-", Series(items))  # type: ignore[arg-type]


def no(tag: str) -> Use:
    """A make contact left open."""
    return Use(tag, "no", "no")


def between(circuit: Circuit) -> list[tuple[str, str]]:
    """Ends of the wires that lead from place to place."""
    return [w.ends for w in wire(circuit).wires if w.places[0] != w.places[1]]


def test_a_field_device_is_reached_through_the_strip_of_its_rung() -> None:
    """The core goes from the strip's outer side, the panel wire to its inner side."""
    body = (Through("X1", "1"), no("S1"), Through("X1", "2"), Use("K1", "coil"))
    circuit = Circuit(
        devices=(supply(), strip("X1"), relay("K1", 1, 0, 0), button("S1", "field")), rungs=(rung(*body),)
    )
    sides = {(end, w.id): side for w in wire(circuit).wires for end, side in zip(w.ends, w.sides, strict=True)}

    assert {
        ("X1.1", "G1.+ X1.1"): "inner",
        ("X1.1", "S1.13 X1.1"): "outer",
        ("X1.2", "S1.14 X1.2"): "outer",
        ("X1.2", "K1.A1 X1.2"): "inner",
    } == {key: side for key, side in sides.items() if key[0].startswith("X1")}


def test_each_further_place_is_reached_once() -> None:
    """Four lamps on the door share one feed and one return across the hinge."""
    lamps = tuple(lamp(f"H{n}", "door") for n in range(1, 5))
    circuit = Circuit(devices=(supply(), *lamps), rungs=tuple(rung(Use(f"H{n}", "")) for n in range(1, 5)))

    assert [("G1.+", "H1.X1"), ("G1.-", "H1.X2")] == between(circuit)
    assert (8, 8, 2, 2) == (
        (m := measures(wire(circuit))).conductors,
        m.conductors_bound,
        m.between,
        m.between_bound,
    )


def test_the_cores_of_a_cable_are_kept() -> None:
    """As the file says which core goes where; others are counted on, and too few cores are told."""
    length = Quantity(42, "m", "42 m")
    cable = Cable("W1", "2 x 1.5 mm2", length, "X1", ("B1", "B2"), core_ends=(("2", "B1.14", "X1.3"),))
    floats = (button("B1", "pit"), button("B2", "pit"))
    rungs = (
        rung(Through("X1", "1"), no("B1"), Through("X1", "3"), Use("K1", "coil")),
        rung(Through("X1", "1"), no("B2"), Through("X1", "4"), Use("K2", "coil")),
    )
    devices = (supply(), strip("X1"), relay("K1", 1, 0, 0), relay("K2", 1, 0, 0), *floats)
    wiring = wire(Circuit(devices=devices, rungs=rungs, cables=(cable,)))
    cores = {(w.ends, w.core, w.length) for w in wiring.wires if w.cable == "W1"}

    assert {
        (("X1.1", "B1.13"), "1", length),
        (("X1.1", "B2.13"), "3", length),
        (("X1.3", "B1.14"), "2", length),
        (("X1.4", "B2.14"), "4", length),
    } == cores
    assert ("Cable W1 has 2 cores and needs 4.",) == wiring.told


def test_the_most_special_rule_gives_colour_and_size() -> None:
    """A point before a rail, a rail before the class."""
    rules = (
        WireRule("control", MM2, "dark-blue"),
        WireRule("-", MM2, "white-blue"),
        WireRule("@7", MM2, "orange"),
    )
    body = (Use("S1", "13-14", terminals=("13", "14")), Use("K1", "coil"))
    rungs = (Rung("+", "@7", Series(body[:1])), rung(body[1], start="@7"))
    circuit = Circuit(devices=(supply(), relay("K1", 1, 0, 0), button("S1", "door")), rungs=rungs, wire_rules=rules)

    assert {"+": "dark-blue", "7": "orange", "-": "white-blue"} == {w.number: w.colour for w in wire(circuit).wires}


def test_terminals_for_one_conductor_stand_at_the_ends_of_the_chain() -> None:
    """Three terminals, two of which take one conductor: the third is in the middle."""
    devices = (
        replace(supply(), conductors_per_terminal=1),
        replace(lamp("H1", "plate"), conductors_per_terminal=1),
        lamp("H2", "plate"),
    )
    circuit = Circuit(devices=devices, rungs=(rung(Use("H1", "")), rung(Use("H2", ""))))
    wiring = wire(circuit)

    assert () == wiring.told
    assert {"G1.+ H2.X1", "H1.X1 H2.X1", "G1.- H2.X2", "H1.X2 H2.X2"} == {w.id for w in wiring.wires}


def test_what_does_not_fit_under_a_terminal_is_told() -> None:
    """Four lamps on a supply whose terminals, like theirs, take one conductor: a strip is needed."""
    devices = [replace(d, conductors_per_terminal=1) for d in (supply(), *(lamp(f"H{n}", "plate") for n in (1, 2, 3)))]
    circuit = Circuit(devices=tuple(devices), rungs=tuple(rung(Use(f"H{n}", "")) for n in (1, 2, 3)))
    told = wire(circuit).told

    assert "G1.+ takes one conductor, and wire + needs more there: lead it over a strip (X1.1 in the rung)." in told


def test_a_plate_wired_from_both_sides_is_turned_once() -> None:
    """The base wired from behind is done after the front is finished, and the mirror view is told."""
    behind = replace(relay("K1", 2, 0, 0), facts=(Fact("wired-from-behind", "wired-from-behind"),))
    rungs = (rung(no("K1"), Use("H1", "")), rung(no("K1"), Use("H2", "")), rung(Use("H3", "")))
    circuit = Circuit(devices=(supply(), behind, *(lamp(f"H{n}", "plate") for n in (1, 2, 3))), rungs=rungs)
    stages = [stage for stage, _ in groupby(w.stage for w in wire(circuit).wires)]

    assert [
        "On plate",
        "Turn plate over: from here on left and right are exchanged",
        "On plate, from the front to the back",
    ] == stages


def test_a_net_goes_to_the_back_once() -> None:
    """Bases wired from behind between lamps in front: one conductor to the back, whatever the order on the plate."""
    fact = Fact("wired-from-behind", "wired-from-behind")
    devices = [d for n in (1, 2, 3) for d in (replace(relay(f"K{n}", 1, 0, 0), facts=(fact,)), lamp(f"H{n}", "plate"))]
    rungs = tuple(r for n in (1, 2, 3) for r in (rung(Use(f"K{n}", "coil")), rung(Use(f"H{n}", ""))))
    wires = wire(Circuit(devices=(supply(), *devices), rungs=rungs)).wires

    assert 2 == sum(w.sides[0] != w.sides[1] for w in wires)


def row_of_relays(count: int, rails: int) -> Circuit:
    """Relays side by side on some rails of a plate, each fed from plus and minus."""
    tags = [f"K{n}" for n in range(1, count + 1)]
    per = -(-count // rails)
    mounts = tuple(
        Mount("rail", str(n), "plate", 0.0, 0.2 * n, 0.5, devices=tuple(tags[n * per : (n + 1) * per]))
        for n in range(rails)
    )
    scattered = sorted(tags, key=lambda tag: hash_of(tag))
    rungs = tuple(rung(Use(tag, "coil")) for tag in scattered)
    return Circuit(places=(Place("plate"),), mounts=mounts, devices=(*(relay(t, 1, 0, 0) for t in tags),), rungs=rungs)


def hash_of(tag: str) -> int:
    """A scattering that is the same every day."""
    return int(tag[1:]) * 7919 % 101


def test_devices_in_one_row_are_chained_from_end_to_end() -> None:
    """The way equals its bound: nothing is shorter than the row itself."""
    measured = measures(wire(row_of_relays(12, 1)))

    assert round(measured.way_bound_m, 6) == round(measured.way_m, 6)


def test_devices_in_rows_are_chained_row_by_row() -> None:
    """Within a tenth of the bound of the shortest tree."""
    measured = measures(wire(row_of_relays(24, 3)))

    assert measured.way_m <= 1.1 * measured.way_bound_m


def labels(wires: tuple[Wire, ...]) -> set[tuple[str, str]]:
    """What is printed at the two ends."""
    return {w.labels for w in wires}


def test_by_other_end_each_end_names_the_far_terminal() -> None:
    """The label at one end is the terminal at the other."""
    circuit = Circuit(
        Heading(wire_numbers="by other end"), devices=(supply(), lamp("H1", "plate")), rungs=(rung(Use("H1", "")),)
    )
    wires = wire(circuit).wires

    assert {w.ends[::-1] for w in wires} == labels(wires)
    assert 2 == len(wires)
