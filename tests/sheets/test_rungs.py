"""Rung drawings: nothing touches what it should not, every conductor hangs together, everything is said."""

from __future__ import annotations

import pytest
from circuit_words import ALL, BRIDGE, LIFT_STATION, STAR_DELTA, WELL_PUMP, panel
from generated import panels
from geometry import overlaps, texts, torn_nets
from hypothesis import HealthCheck, given, settings

from panelwright.circuit import Circuit, nets_of, uses_in
from panelwright.sheets.display import Drawing, Line, walk
from panelwright.sheets.rungs import rung_drawing, running_numbers

WAYS = [(standard, upright, live) for standard in ("IEC", "NA") for upright in (False, True) for live in (False, True)]


def words(drawing: Drawing) -> list[str]:
    """All texts of a drawing."""
    return [text.text for text, _ in texts(drawing)]


@pytest.mark.parametrize("circuit", ALL, ids=lambda c: c.heading.title)
@pytest.mark.parametrize(("standard", "upright", "live"), WAYS)
def test_nothing_overlaps(circuit: Circuit, standard: str, upright: bool, live: bool) -> None:
    """Texts, symbols and wires keep clear of each other; each net is one piece."""
    drawing = rung_drawing(circuit, standard=standard, upright=upright, live=live)

    assert overlaps(drawing) == []
    assert torn_nets(drawing) == []


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(panels())
def test_nothing_overlaps_in_any_circuit(circuit: Circuit) -> None:
    """The same for nested trees with points and bridges; no element and no wire number is missing."""
    for standard, upright in (("IEC", False), ("NA", True)):
        drawing = rung_drawing(circuit, standard=standard, upright=upright, live=upright)
        said = words(drawing)

        assert overlaps(drawing) == []
        assert torn_nets(drawing) == []
        assert set(running_numbers(circuit).values()) <= set(said)


@pytest.mark.parametrize("upright", [False, True])
def test_every_use_is_drawn_with_its_terminals(upright: bool) -> None:
    """All parts of the lift station are there, each with both terminal numbers."""
    drawing = rung_drawing(LIFT_STATION, upright=upright)
    said = words(drawing)
    for rung in LIFT_STATION.rungs:
        for use in uses_in(rung.body):
            assert use.terminals
            assert set(use.terminals) <= set(said)
    assert [str(n) for n in range(1, 15)] == sorted({w for w in said if w.isdigit() and int(w) < 15}, key=int)


def test_each_net_number_stands_once() -> None:
    """A wire number is written once, in the first gap of its net."""
    said = words(rung_drawing(STAR_DELTA))
    numbers = running_numbers(STAR_DELTA)
    for net in nets_of(STAR_DELTA):
        if not net.rails:
            label = numbers[net.id]
            lines = {str(k) for k in range(1, 6)}
            assert said.count(label) == (2 if label in lines else 1)


def test_contact_and_coil_refer_to_each_other() -> None:
    """Under the contact the line of its coil; beside the coil each contact with its line."""
    said = words(rung_drawing(WELL_PUMP))

    assert said.count("/1") == 3
    assert {"13-14 /2", "23-24 /3", "31-32 /4"} <= set(said)


def test_bridge_may_lead_either_way() -> None:
    """Five contacts that no tree can draw: two points joined by a contact."""
    drawing = rung_drawing(BRIDGE)

    assert torn_nets(drawing) == []
    assert words(drawing).count("S5") == 1


def test_backward_and_looping_rungs_are_drawn() -> None:
    """A rung from a later point to an earlier one, and one that ends where it begins, lose nothing."""
    circuit = panel(["S1.no @1 S2.no @2 K1.coil", "@2 S3.no S4.nc @1", "@2 S5.no @2", "@9 K2.no @8", "@8 K3.coil"])
    for upright in (False, True):
        drawing = rung_drawing(circuit, upright=upright)

        assert overlaps(drawing) == []
        assert {"S1", "S2", "S3", "S4", "S5", "K1", "K2", "K3"} <= set(words(drawing))


def test_several_rails_are_drawn_by_runs() -> None:
    """Two supplies share the rail columns; each run of lines has its own name above it."""
    from dataclasses import replace

    first = panel(["S1.no K1.coil", "S2.no K2.coil"])
    rungs = (first.rungs[0], replace(first.rungs[1], start="L1", end="N", section=("L1", "N")))
    drawing = rung_drawing(replace(first, rungs=rungs))

    assert overlaps(drawing) == []
    assert {"+", "-", "L1", "N"} <= set(words(drawing))


def test_many_rungs_are_laid_out() -> None:
    """Three hundred rungs: no overlap."""
    lines = [f"S{k}.nc ( S{k}.no | K{k}.no ) F{k}.nc K{k}.coil" for k in range(1, 301)]
    drawing = rung_drawing(panel(lines))

    assert overlaps(drawing) == []


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize("width", [120.0, 160.0, 200.0])
def test_long_rungs_are_cut_with_flags(upright: bool, width: float) -> None:
    """No conductor reaches beyond the width; both ends of a cut name each other's line; nothing is lost."""
    line = "S1.nc S2.nc S3.nc E1.nc ( S4.no | K1.no ) F1.nc F2.nc ( B1.no | B2.no K2.nc ) K3.no @7 B3.no K1.coil"
    circuit = panel([line, "@7 S9.no H1", "S5.no K2.coil"])
    drawing = rung_drawing(circuit, width_mm=width, upright=upright)
    rails = [i for i, _ in walk(drawing.items) if isinstance(i, Line) and i.look == "rail"]
    along = sorted(p[1 if upright else 0] for rail in rails for p in rail.points)

    assert overlaps(drawing) == []
    assert torn_nets(drawing) == []
    assert along[-1] - along[0] <= width
    assert {"S1", "S4", "K1", "B1", "K3", "B3", "S9", "H1", "K2"} <= set(words(drawing))
    flags = [w for w in words(drawing) if " /" in w and "-" not in w]
    assert len(flags) >= 2
    assert len(flags) % 2 == 0


def test_unallotted_circuit_is_refused() -> None:
    """A drawing needs terminals; the message says what is missing."""
    from dataclasses import replace

    from panelwright.circuit import Rung, Series, Use

    bare = replace(WELL_PUMP, rungs=(Rung("+", "-", Series((Use("S1", "nc", "nc"),))),))
    with pytest.raises(ValueError, match=r"S1\.nc is not allotted yet"):
        rung_drawing(bare)


def test_every_tag_is_written_in_both_standards() -> None:
    """North American coils carry their tag inside; latching ones have L or U there and the tag above."""
    circuit = panel(["S1.no K1.coil", "S2.no T2.coil", "S3.no K123.coil"])
    for standard in ("IEC", "NA"):
        said = words(rung_drawing(circuit, standard=standard))

        assert {"K1", "T2", "K123"} <= set(said)


@pytest.mark.parametrize(
    "rungs",
    [
        [],
        ["S1.no"],
        ["S1.no @1"],
        ["@1 K1.coil"],
        ["X1.1 X1.2 K1.coil"],
        ["( S1.no | S2.no ) @4", "@4 ( S3.no | S4.no ) @4"],
        [f'S1.no K1.coil "{"A text that says much too much about its rung. " * 3}"'],
    ],
)
def test_odd_circuits_are_drawn(rungs: list[str]) -> None:
    """Half-written circuits are drawn as far as they go: nothing raises, nothing overlaps."""
    circuit = panel(rungs, {"S1": "Eineaußergewöhnlichlangebezeichnung ohne Ende und mit vielen Worten"})
    for upright in (False, True):
        for width in (None, 100.0):
            drawing = rung_drawing(circuit, upright=upright, live=True, width_mm=width)

            assert overlaps(drawing) == []
            assert torn_nets(drawing) == []
