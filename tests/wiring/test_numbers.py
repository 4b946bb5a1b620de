"""Wire numbers: one for each net, whatever the scheme, and those in the panel stay."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from panelwright.circuit import Circuit, Device, Heading, Mechanism, Rung, Series, Use
from panelwright.wiring import Renumbered, renumbering, rewire, terminal_numbers, wire, wire_numbered
from panelwright.wiring.seats import seats_of
from tests.panels import well_pump
from tests.wiring.circuits import SCHEMES, circuits, lamp, relay, supply
from tests.wiring.test_well_pump import as_written


def pump(scheme: str = "running") -> Circuit:
    """The well pump, its wires numbered by a scheme."""
    return replace(as_written(), heading=Heading("Orchard well pump", wire_numbers=scheme))


@settings(max_examples=60, deadline=None)
@given(circuits())
def test_no_number_is_on_two_nets_and_no_net_has_two(circuit: Circuit) -> None:
    """Node-true in every scheme; rails and points keep their names."""
    wiring = wire(circuit)

    assert len(set(wiring.numbers.values())) == len(wiring.nets) == len(wiring.numbers)
    assert {net.id for net in wiring.nets if net.rails or net.points} <= set(wiring.numbers.values())


@pytest.mark.parametrize(
    ("scheme", "numbers"),
    [
        ("running", ["+", "-", "1", "2", "3", "4"]),
        ("by rung", ["+", "-", "101", "102", "201", "301"]),
        ("by device end", ["+", "-", "S1.12", "S2.14", "K1.8", "K1.4"]),
        ("by other end", ["+", "-", "1", "2", "3", "4"]),
        ("by text", ["+", "-", "Stop 12", "Start 14", "Pump run 8", "Pump run 4"]),
    ],
)
def test_the_well_pump_in_every_scheme(scheme: str, numbers: list[str]) -> None:
    """Four nets of its own between the two rails."""
    wiring = wire(pump(scheme))

    assert numbers == [wiring.numbers[net.id] for net in wiring.nets]


def test_a_point_called_like_a_running_number_is_skipped() -> None:
    """The point 1 is wire 1; the next wire is 2."""
    rungs = (Rung("+", "@1", Series((Use("K1", "no", "no"),))), Rung("@1", "-", Series((Use("H1", ""),))))
    more = Rung("+", "-", Series((Use("K1", "no", "no"), Use("H2", ""))))
    devices = (supply(), relay("K1", 2, 0, 0), lamp("H1", "door"), lamp("H2", "door"))
    wiring = wire(Circuit(devices=devices, rungs=(*rungs, more)))

    assert ["+", "-", "1", "2"] == [wiring.numbers[net.id] for net in wiring.nets]


def test_numbers_in_the_panel_stay() -> None:
    """Whatever the scheme would say; what has no number gets one that is not in use."""
    wiring = wire_numbered(pump(), {"S1.12": "57", "K1.9": "57", "K1.8": "1"})

    assert ["+", "-", "57", "2", "1", "3"] == [wiring.numbers[net.id] for net in wiring.nets]
    assert () == wiring.told


def test_two_numbers_on_one_wire_are_told() -> None:
    """The number on most ends stays; the others want a new label."""
    wiring = wire_numbered(pump(), {"S1.12": "57", "S2.13": "57", "K1.9": "58"})

    assert ("Wires 58 and 57 are one wire now; it is called 57: put new labels on K1.9.",) == wiring.told


def test_one_number_on_two_wires_is_told() -> None:
    """It stays where it is on most ends."""
    wiring = wire_numbered(pump(), {"S1.12": "57", "S2.13": "57", "K1.8": "57"})

    assert ("Number 57 stood on two different wires; it stays with S1.12: put new labels on K1.8.",) == wiring.told
    assert "57" != wiring.numbers["K1.8"]


def test_old_to_new_when_the_scheme_changes() -> None:
    """Each changed number once, with the ends that need a label."""
    changed = renumbering(wire(pump()), wire(pump("by rung")))

    assert Renumbered("1", "101", ("S1.12", "S2.13", "K1.9")) == changed[0]
    assert ["1", "2", "3", "4"] == [one.old for one in changed]


@settings(max_examples=60, deadline=None)
@given(circuits(), st.sampled_from(SCHEMES))
def test_carrying_all_numbers_over_changes_none(circuit: Circuit, scheme: str) -> None:
    """Nothing is renumbered silently, whatever scheme the heading has by now."""
    before = wire(circuit)
    now = wire_numbered(
        replace(circuit, heading=replace(circuit.heading, wire_numbers=scheme)), terminal_numbers(before)
    )

    assert () == renumbering(before, now)


@settings(max_examples=60, deadline=None)
@given(circuits(poles=8), st.integers(0, 4))
def test_a_rung_taken_out_leaves_the_other_wires_alone(circuit: Circuit, gone: int) -> None:
    """After an edit the contacts, numbers and wires of the other rungs are where they were."""
    before = wire(circuit)
    assume(not before.shortages)  # imaginary contacts are nothing that is built
    rungs = tuple(r for n, r in enumerate(circuit.rungs) if n != gone % len(circuit.rungs))
    now = rewire(replace(circuit, rungs=rungs), before)
    still_there = {t for net in now.nets for t in net.terminals}
    joined = {end: net.id for net in now.nets for end in net.terminals}
    wires = {w.id for w in before.wires if {*w.ends} <= still_there and joined[w.ends[0]] == joined[w.ends[1]]}

    assert wires <= {w.id for w in now.wires}
    assert () == renumbering(before, now) or now.told


@settings(max_examples=40, deadline=None)
@given(circuits(poles=8))
def test_rewiring_what_did_not_change_changes_nothing(circuit: Circuit) -> None:
    """The same circuit again, the same wires."""
    before = wire(circuit)
    assume(not before.shortages)

    assert {w.id: w.number for w in before.wires} == {w.id: w.number for w in rewire(replace(circuit), before).wires}


def test_a_rung_put_in_front_takes_contacts_that_are_free() -> None:
    """The built wires stay and the new rung takes what is left, where a fresh plan would move contacts."""
    devices = (supply(), relay("K1", 2, 0, 0), lamp("H1", "door"), lamp("H2", "door"))
    first = Rung("+", "-", Series((Use("K1", "no", "no"), Use("H1", ""))))
    new = Rung("+", "-", Series((Use("K1", "no", "no"), Use("H2", ""))))
    before = wire(Circuit(devices=devices, rungs=(first,)))
    now = rewire(replace(before.circuit, devices=devices, rungs=(new, first), allotted=False), before)

    assert {w.id for w in before.wires} < {w.id for w in now.wires}
    assert ("21", "24") == now.circuit.rungs[0].body.items[0].terminals  # type: ignore[union-attr]


def test_an_allotted_pump_is_numbered_like_the_written_one() -> None:
    """Wiring an allotted circuit again changes nothing."""
    assert wire(as_written()).wires == wire(well_pump()).wires


def test_contact_blocks_on_a_selector_stay() -> None:
    """Blocks are added as rungs use them: 13-14, 23-24; a rung put in front takes the next one."""
    selector = Device("SA1", "selector", "door", "Mode", Mechanism("selector"), (), (), grows=True)
    auto, hand = (Use("SA1", p, "at", positions=frozenset({p})) for p in ("AUTO", "HAND"))
    devices = (supply(), selector, *(lamp(f"H{n}", "door") for n in (1, 2, 3)))
    rungs = tuple(Rung("+", "-", Series((u, Use(f"H{n}", "")))) for n, u in enumerate((auto, hand, auto), 1))
    before = wire(Circuit(devices=devices, rungs=rungs[:2]))
    now = rewire(Circuit(devices=devices, rungs=(rungs[2], *rungs[:2])), before)

    assert ["13-14", "23-24"] == [s.use.name for s in seats_of(before.circuit) if s.use.form]
    assert ["33-34", "13-14", "23-24"] == [s.use.name for s in seats_of(now.circuit) if s.use.form]
