"""Connection drawings: every wire of the plan ends at its two terminals, and can be followed or read."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from geometry import overlaps, texts

from panelwright.api import read, read_file
from panelwright.sheets.connections import connection_drawing
from panelwright.sheets.display import Circle, Drawing, Group, Line, Rect, walk
from panelwright.wiring import Wiring, wire

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["orchard/well-pump", "orchard/grader-conveyor", "orchard/lift-station", "orchard/bridge"]


@cache
def plan(name: str) -> Wiring:
    """The wiring plan of one example panel."""
    circuit = read_file(EXAMPLES / f"{name}.panel").circuit
    assert circuit is not None
    return wire(circuit)


def conductors(drawing: Drawing) -> dict[str, Line]:
    """Wire id to its line."""
    return {
        groups[-1].wire: item
        for item, groups in walk(drawing.items)
        if isinstance(item, Line) and groups and groups[-1].role == "conductor"
    }


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("form", ["lines", "stubs"])
@pytest.mark.parametrize("behind", [False, True])
def test_nothing_overlaps(name: str, form: str, behind: bool) -> None:
    """No text on a text or a line, in both forms, from the front and from behind."""
    wiring = plan(name)

    assert overlaps(connection_drawing(wiring.circuit, wiring, form=form, behind=behind)) == []


@pytest.mark.parametrize("name", NAMES)
def test_each_line_ends_on_its_two_terminals(name: str) -> None:
    """A wire starts on a screw or blade of its first device and ends on one of its second."""
    wiring = plan(name)
    drawing = connection_drawing(wiring.circuit, wiring, form="lines")
    screws: dict[str, list[tuple[float, float]]] = {}
    for item, groups in walk(drawing.items):
        device = next((g.device for g in groups if g.device), "")
        if device and isinstance(item, Circle) and item.look == "screw":
            screws.setdefault(device, []).append((item.x, item.y))
        elif device and isinstance(item, Rect) and item.look == "screw":
            screws.setdefault(device, []).append((item.x + item.width / 2, item.y + item.height / 2))
    lines = conductors(drawing)

    assert set(lines) == {w.id for w in wiring.wires}
    for w in wiring.wires:
        for end, point in zip(w.ends, (lines[w.id].points[0], lines[w.id].points[-1]), strict=True):
            near = [
                s for s in screws[end.partition(".")[0]] if abs(s[0] - point[0]) < 1.5 and abs(s[1] - point[1]) < 1.5
            ]
            assert len(near) == 1, (w, end)


@pytest.mark.parametrize("name", NAMES)
def test_lines_of_different_wires_never_run_on_one_another(name: str) -> None:
    """Crossings are plain; no two conductors share a stretch."""
    wiring = plan(name)
    lines = conductors(connection_drawing(wiring.circuit, wiring, form="lines"))
    runs: dict[tuple[int, float], list[tuple[float, float, str]]] = {}
    for wire_id, line in lines.items():
        for a, b in pairwise(line.points):
            for axis in (0, 1):
                if abs(a[1 - axis] - b[1 - axis]) < 1e-6 and abs(a[axis] - b[axis]) > 1e-6:
                    key = (axis, round(a[1 - axis], 2))
                    runs.setdefault(key, []).append((min(a[axis], b[axis]), max(a[axis], b[axis]), wire_id))
    for stretches in runs.values():
        stretches.sort()
        for one, other in pairwise(stretches):
            assert one[2] == other[2] or other[0] >= one[1] - 1e-6, (one, other)


@pytest.mark.parametrize("form", ["lines", "stubs"])
def test_every_end_shows_its_number(form: str) -> None:
    """The number stands once at each used terminal; a stub also says where the wire goes."""
    wiring = plan("orchard/well-pump")
    said = [t.text for t, _ in texts(connection_drawing(wiring.circuit, wiring, form=form))]
    ends = {end: w.number for w in wiring.wires for end in w.ends}
    for number in set(ends.values()):
        at_terminals = [
            t
            for t, groups in texts(connection_drawing(wiring.circuit, wiring, form=form))
            if t.look == "sleeve-number" and t.text == number
        ]

        assert len(at_terminals) == sum(n == number for n in ends.values())
    if form == "stubs":
        assert all(any(end in text for text in said) for end in ends)


def test_from_behind_left_and_right_are_exchanged() -> None:
    """The blades of a base mirror, and words say so."""
    wiring = plan("orchard/well-pump")

    def column(behind: bool, mark: str) -> float:
        drawing = connection_drawing(wiring.circuit, wiring, behind=behind)
        found = [t for t, groups in texts(drawing) if t.text == mark and any(g.device == "K1" for g in groups)]
        return found[0].box[0]

    assert column(False, "13") < column(False, "14")
    assert column(True, "13") > column(True, "14")
    said = [t.text for t, _ in texts(connection_drawing(wiring.circuit, wiring, behind=["plate"]))]
    assert {"from behind", "Plate, from behind", "Door"} <= set(said)


@pytest.mark.parametrize("scheme", ["by device end", "by other end", "by rung"])
@pytest.mark.parametrize("form", ["", "lines", "stubs"])
def test_every_numbering_scheme_fits(scheme: str, form: str) -> None:
    """Long numbers, and ends that carry different labels, stand beside each other without touching."""
    text = (EXAMPLES / "orchard" / "well-pump.panel").read_text(encoding="utf-8")
    circuit = read(text.replace("wire numbers running", f"wire numbers {scheme}")).circuit
    assert circuit is not None
    wiring = wire(circuit)
    drawing = connection_drawing(wiring.circuit, wiring, form=form)
    said = [t.text for t, _ in texts(drawing) if t.look == "sleeve-number"]

    assert overlaps(drawing) == []
    assert {label for w in wiring.wires for label in w.labels} <= set(said)


def test_many_wires_become_stubs() -> None:
    """Lines while they can be followed, labelled stubs beyond."""
    few, many = plan("orchard/well-pump"), plan("orchard/lift-station")

    assert connection_drawing(few.circuit, few).marks["form"] == "lines"
    assert connection_drawing(many.circuit, many).marks["form"] == "stubs"


def test_one_stage_of_the_work_can_be_drawn_alone() -> None:
    """Only the wires of that stage, and only the devices that they touch."""
    wiring = plan("orchard/well-pump")
    stage = wiring.wires[0].stage
    drawing = connection_drawing(wiring.circuit, wiring, stage=stage)
    groups = [g for item in drawing.items if isinstance(item, Group) for g in [item]]

    assert {g.wire for g in groups if g.role == "conductor"} == {w.id for w in wiring.wires if w.stage == stage}
