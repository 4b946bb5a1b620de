"""Symbols: every one can be read, stands on the grid, and says where it comes from."""

from __future__ import annotations

import pytest

from panelwright.sheets.display import Line, Text, box_around
from panelwright.sheets.fonts import missing_characters
from panelwright.sheets.symbols import (
    NotationError,
    Symbol,
    contact_symbol,
    operator_names,
    part_symbol,
    symbol_names,
)
from panelwright.sheets.symbols.notation import read_strokes
from panelwright.sheets.symbols.sheet import symbol_sheet

STANDARDS = ("IEC", "NA")
CONTACTS = [contact_symbol(f, o, s) for f in ("make", "break") for o in ("", *operator_names()) for s in STANDARDS]
PARTS = [part_symbol(name, s) for name in symbol_names("IEC") for s in STANDARDS]


def strokes(symbol: Symbol, *, moved: bool = False) -> tuple:
    """Everything that a symbol draws in one of its forms."""
    return (*symbol.lead_a, *symbol.lead_b, *symbol.fixed, *(symbol.moved if moved else symbol.rest))


@pytest.mark.parametrize("symbol", [*CONTACTS, *PARTS], ids=lambda s: s.name)
def test_symbol_says_its_source_and_trust(symbol: Symbol) -> None:
    """No symbol without words, source and how far it can be trusted."""
    assert all((symbol.words, symbol.source, symbol.trust))


@pytest.mark.parametrize("symbol", CONTACTS, ids=lambda s: s.name)
def test_contact_is_drawn_differently_when_moved(symbol: Symbol) -> None:
    """A moved contact is drawn moved, in both standards."""
    assert symbol.rest != symbol.moved


@pytest.mark.parametrize("symbol", [*CONTACTS, *PARTS], ids=lambda s: s.name)
def test_symbol_keeps_to_its_four_units(symbol: Symbol) -> None:
    """Along the conductor nothing reaches beyond the two terminals."""
    box = box_around(tuple(i for i in strokes(symbol) if not isinstance(i, Text)))

    assert box is not None
    assert box[1] >= -0.3
    assert box[3] <= 4.3


@pytest.mark.parametrize("symbol", CONTACTS, ids=lambda s: s.name)
def test_contact_begins_and_ends_on_the_grid(symbol: Symbol) -> None:
    """Leads start at (0, 0) and end at (0, 4)."""
    ends = [p for i in (*symbol.lead_a, *symbol.lead_b) if isinstance(i, Line) for p in i.points]

    assert any(abs(x) < 1e-9 and abs(y) < 1e-9 for x, y in ends)
    assert any(abs(x) < 1e-9 and abs(y - 4) < 1e-9 for x, y in ends)


def test_closed_make_contact_joins_its_leads() -> None:
    """IEC: a make contact at rest leaves a gap, moved it closes it."""
    symbol = contact_symbol("make")
    rest, moved = symbol.rest[0], symbol.moved[0]
    assert isinstance(rest, Line)
    assert isinstance(moved, Line)

    assert rest.points[-1] != (0.0, 1.0)
    assert moved.points[-1] == (0.0, 1.0)


def test_operation_moves_a_contact_to_the_right() -> None:
    """IEC 61082-1, movement of contacts in drawings: to the right, or upwards when level (from memory)."""
    for form in ("make", "break"):
        symbol = contact_symbol(form)
        rest, moved = symbol.rest[0], symbol.moved[0]
        assert isinstance(rest, Line)
        assert isinstance(moved, Line)

        assert rest.points[-1][0] < moved.points[-1][0]


def test_level_symbol_is_the_upright_one_turned() -> None:
    """X = y, Y = -x, so that what lies left in an upright path lies below in a level rung."""
    upright, level = contact_symbol("make", "push"), contact_symbol("make", "push").level()
    for one, other in zip(upright.rest, level.rest, strict=True):
        if isinstance(one, Line) and isinstance(other, Line):
            assert tuple((y, -x) for x, y in one.points) == other.points


def test_wrong_strokes_are_refused_with_the_stroke() -> None:
    """A mistake in a symbol file names the stroke that cannot be read."""
    with pytest.raises(NotationError, match=r"'o 1,2' cannot be read"):
        read_strokes("0,0 0,1; o 1,2")
    with pytest.raises(NotationError, match="fewer than two points"):
        read_strokes("0,0")


def test_sheet_shows_every_symbol() -> None:
    """The symbol sheet has a cell for each, and the face can print every word on it."""
    texts = [i for i in symbol_sheet().items if isinstance(i, Text)]

    assert set(symbol_names("IEC")) <= {t.text for t in texts}
    assert not set().union(*(missing_characters(t.text) for t in texts))
