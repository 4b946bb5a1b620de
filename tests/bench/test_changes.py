"""Drawings are sent in pieces; pieces put together give the drawing that was meant."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given
from hypothesis import strategies as st

from panelwright.bench.page_view import difference
from panelwright.bench.working import pieces_of, work_out

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
    drawn = worked.drawn("rungs")
    assert drawn is not None
    head, pieces = drawn

    assert len(pieces) > 10
    for piece in pieces:
        ElementTree.fromstring(piece)  # raises when cut in the middle
    assert pieces_of(head + "\n" + "\n".join(pieces) + "\n</svg>")[1] == pieces


def test_an_edit_of_one_rung_sends_few_pieces() -> None:
    """A longer remark beside one rung does not send the sheet again."""
    text = (ORCHARD / "lift-station.panel").read_text(encoding="utf-8")
    before = work_out(text, "lift-station").drawn("rungs")
    after = work_out(text.replace("Second pump: both", "Second pump: all"), "lift-station").drawn("rungs")
    assert before is not None
    assert after is not None

    assert "svg" not in difference(before, after)
