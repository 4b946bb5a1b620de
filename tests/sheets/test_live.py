"""Live state: what a page toggles, and the same state as a still picture."""

from __future__ import annotations

from circuit_words import WELL_PUMP
from geometry import overlaps, pieces, texts

from panelwright.sheets import LiveState, Potential, looks_of, rung_drawing, shown_as
from panelwright.sheets.display import Drawing, walk
from panelwright.sheets.live import volts_text
from panelwright.sheets.style import line_look

RUNNING = LiveState(
    nets={
        "+": Potential("live", 24.0),
        "-": Potential("zero", 0.0),
        "S1.12": Potential("live", 24.0),
        "S2.14": Potential("live", 24.0),
        "K1.24": Potential("live", 24.0),
    },
    moved=frozenset({"K1.13-14", "K1.23-24", "K1.31-32"}),
    working=frozenset({"K1.coil", "H1.lamp"}),
)


def running(standard: str = "IEC", upright: bool = False) -> Drawing:
    """The well pump with its relay held in."""
    drawing = rung_drawing(WELL_PUMP, standard=standard, upright=upright, live=True)
    return shown_as(drawing, looks_of(WELL_PUMP, RUNNING))


def test_classes_of_nets_and_elements() -> None:
    """Potential first; a closed contact in a live conductor is live, an open one is not; loads say what they do."""
    looks = looks_of(WELL_PUMP, RUNNING)

    assert looks.nets["S1.12"].classes == ("live",)
    assert looks.nets["S1.12"].word == "24 V"
    assert looks.nets["-"].word == "0 V"
    assert looks.nets["K1.32"].classes == ("dead",)
    assert looks.nets["K1.32"].word == ""
    assert looks.elements["S1.11-12"].classes == ("live",)
    assert looks.elements["K1.13-14"].classes == ("moved", "live")
    assert looks.elements["K1.31-32"].classes == ("moved",)
    assert looks.elements["S2.13-14"].classes == ()
    assert (looks.elements["K1.coil"].classes, looks.elements["K1.coil"].word) == (("busy",), "in")
    assert (looks.elements["H2.lamp"].classes, looks.elements["H2.lamp"].word) == ((), "dark")


def test_partial_volts_are_said() -> None:
    """A coil that gets too little says so with its volts; words of one's own replace the usual ones."""
    state = LiveState(partial_v={"K1.coil": 11.94}, words={"H1.lamp": "flickers"})
    looks = looks_of(WELL_PUMP, state)

    assert looks.elements["K1.coil"].word == "partial 11.9 V"
    assert looks.elements["H1.lamp"].word == "flickers"


def test_picture_shows_words_and_moved_contacts() -> None:
    """Volts in their gaps, state words at the loads, moved contacts drawn moved with their rest place dotted."""
    for standard in ("IEC", "NA"):
        for upright in (False, True):
            drawing = running(standard, upright)
            said = [t.text for t, _ in texts(drawing)]

            assert said.count("24 V") == 3
            assert {"in", "lit", "dark"} <= set(said)
            assert overlaps(drawing) == []
            dotted = {p.element for p in pieces(drawing) if p.look == "ghost"}
            makes = {"K1.13-14", "K1.23-24"} if standard == "IEC" else set()  # a North American make has no blade
            assert dotted == {"K1.31-32", *makes}


def test_nothing_moves_but_contacts() -> None:
    """With and without supply every wire, symbol and number stands in the same place."""
    before, after = rung_drawing(WELL_PUMP, live=True), running()

    assert (before.width, before.height) == (after.width, after.height)
    at_rest = [item for item, _ in walk(before.items)]
    places = [item for item, _ in walk(after.items)]
    assert len(at_rest) == len(places)
    assert all(
        (a.x, a.y) == (b.x, b.y) if hasattr(a, "x") else a.points == b.points
        for a, b in zip(at_rest, places, strict=True)
    )


def test_thickness_alone_tells_the_state() -> None:
    """Live, partial, joined to the return and dead differ in width or dash; the operator keeps its thin ink."""
    seen = {
        (line_look("wire", (s,)).width_mm, line_look("wire", (s,)).dash) for s in ("live", "partial", "zero", "dead")
    }

    assert len(seen) == 4
    assert line_look("operator", ("live",)) == line_look("operator")


def test_volts_are_written_as_a_meter_is_read() -> None:
    """Whole volts where a tenth says nothing more."""
    assert [volts_text(v) for v in (24.0, 18.24, 0.0, 231.4, 23.98)] == ["24 V", "18.2 V", "0 V", "231 V", "24 V"]
