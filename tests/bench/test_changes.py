"""Drawings are sent in pieces; pieces put together give the drawing that was meant."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from panelwright.bench.page_view import difference
from panelwright.bench.working import draw, pieces_of, work_out

from .conftest import ORCHARD

Pieces = st.lists(st.sampled_from("abcdefgh"), max_size=12).map(tuple)


@given(Pieces, Pieces)
def test_a_mended_drawing_is_the_new_drawing(old: tuple[str, ...], new: tuple[str, ...]) -> None:
    """Whatever changed, the page ends with the pieces of the new one."""
    change = difference(("<svg>", old), ("<svg>", new))
    if "svg" in change:
        made = tuple(change["svg"].removeprefix("<svg>").removesuffix("</svg>"))
    else:
        start, drop = change["from"], change["drop"]
        made = (*old[:start], *change["put"], *old[start + drop :])

    assert new == made


def test_pieces_are_whole_elements() -> None:
    """Cut between elements, never inside one; together they are the drawing."""
    worked = work_out((ORCHARD / "well-pump.panel").read_text(encoding="utf-8"), "well-pump")
    assert worked.wiring is not None
    head, pieces = draw(worked.wiring, "rungs")

    assert len(pieces) > 10
    for piece in pieces:
        ElementTree.fromstring(piece)  # raises when cut in the middle
    assert pieces_of(head + "\n" + "\n".join(pieces) + "\n</svg>")[1] == pieces


def test_an_edit_of_one_rung_sends_few_pieces() -> None:
    """A longer remark beside one rung does not send the sheet again."""
    text = (ORCHARD / "lift-station.panel").read_text(encoding="utf-8")
    drawn = []
    for edition in (text, text.replace("Second pump: both", "Second pump: all")):
        wiring = work_out(edition, "lift-station").wiring
        assert wiring is not None
        drawn.append(draw(wiring, "rungs"))

    assert "svg" not in difference(*drawn)
