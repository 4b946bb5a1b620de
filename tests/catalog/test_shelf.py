"""The data files: everything has a source, everything named is there, and a wrong file is told."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwright.catalog.parts import PARTS
from panelwright.catalog.shapes import SHAPES
from panelwright.catalog.shelf import TRUSTS, CatalogError, KindRow, Row, load, plain, shelf, using
from panelwright.circuit import two_terminal_parts
from panelwright.sheets.rungs.faces import symbol_of
from panelwright.sheets.symbols import Standard, operator_names, symbol_names

from .typed import KINDS, codes, device, example

STANDARDS: tuple[Standard, ...] = ("IEC", "NA")
# Symbols that the drawing finds by the mechanism rather than by this word.
BY_MECHANISM = {
    "relay", "contactor", "latching relay", "impulse relay", "alternating relay", "latched breaker",
    "on-delay timer", "off-delay timer", "interval timer", "flasher", "star-delta timer",
}  # fmt: skip


def every_row() -> Iterator[tuple[str, Row]]:
    """All rows with a name to find them by."""
    rows = shelf()
    tables = (rows.kinds, rows.facts, rows.words, rows.numberings, rows.bases, rows.suppressors, rows.colours)
    for table in tables:
        yield from ((str(name), row) for name, row in table.items())
    yield from ((row.name, row) for row in rows.windings)
    for name, figures in rows.figures.items():
        yield from ((f"{name}: {figure}", row) for figure, row in figures.items())


def test_every_value_says_where_it_comes_from() -> None:
    """No number and no row without a source and one of the four trusts."""
    bare = [name for name, row in every_row() if not row.source.strip() or row.trust not in TRUSTS]

    assert [] == bare


def test_there_are_as_many_kinds_as_the_trade_needs() -> None:
    """The families of the order book; a renamed file would silently drop one."""
    assert {
        "actuators", "contactors", "control_switches", "field_contacts", "lamps", "motors", "protection", "relays",
        "sensors", "small_parts", "supplies", "timers",
    } == set(shelf().families.values())  # fmt: skip
    assert len(KINDS) >= 70


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_kind_names_only_what_is_there(kind: KindRow) -> None:
    """Facts, words, figures, numberings, parts and symbols exist; what it needs it also takes."""
    rows = shelf()

    assert set() == {*kind.facts} - {*rows.facts}
    assert set() == {*kind.needs} - {*kind.facts}
    assert set() == {*kind.forms} - {*rows.facts}
    assert set() == {*kind.words} - {*rows.words}
    assert set() == {*kind.figures, *(p.figures for p in kind.parts if p.figures)} - {*rows.figures}
    assert set() == {part.part for part in kind.parts} - {*PARTS}
    assert not kind.numbering or (kind.numbering, "IEC") in rows.numberings
    known = {*symbol_names("IEC"), *operator_names(), *BY_MECHANISM, "push", "selector", "proximity"}
    assert kind.symbol in known


def test_facts_have_shapes_that_can_be_read() -> None:
    """And words bring figures that exist."""
    rows = shelf()

    assert set() == {fact.takes for fact in rows.facts.values()} - {*SHAPES}
    assert set() == {figures for word in rows.words.values() for figures in word.figures} - {*rows.figures}


def test_no_figure_stands_unused() -> None:
    """A table that no kind, part or word calls would never be looked at again."""
    rows = shelf()
    used = {name for kind in KINDS for name in kind.figures}
    used |= {part.figures for kind in KINDS for part in kind.parts}
    used |= {name for word in rows.words.values() for name in word.figures}

    assert set() == {*rows.figures} - used


def test_no_two_kinds_share_a_name() -> None:
    """A synonym belongs to one kind only."""
    owners: dict[str, list[str]] = {}
    for kind in KINDS:
        for name in {plain(one) for one in (kind.name, *kind.also)}:
            owners.setdefault(name, []).append(kind.name)

    assert {} == {name: kinds for name, kinds in owners.items() if len(kinds) > 1}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_a_kind_with_the_facts_it_needs_reads_without_a_problem(kind: KindRow) -> None:
    """Under every name, with IEC and with North American marks, and it has parts or terminals or grows."""
    for standard in ("IEC", "NA"):
        for name in (kind.name, *kind.also):
            text = example(kind).replace(kind.name, name, 1)
            found = device(text, standard)

            assert kind.name == found.kind
            assert found.terminals or found.grows
            assert len({part.name for part in found.parts}) == len(found.parts)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_part_of_a_kind_can_be_drawn(kind: KindRow) -> None:
    """With the symbols of both standards."""
    for standard in STANDARDS:
        found = device(example(kind), standard)
        for part in two_terminal_parts(found):
            assert symbol_of(found, part, standard).name


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_every_fact_and_word_of_a_kind_can_be_said(kind: KindRow) -> None:
    """One by one, beside what the kind needs."""
    for fact in kind.facts:
        needs_two_positions = fact == "contacts" and "positions" in kind.facts
        wanted = ["PW175"] if needs_two_positions else []

        assert wanted == codes(example(kind, fact)), fact
    for word in kind.words:
        assert [] == codes(f"{example(kind)} {word}"), word


def test_a_row_without_a_source_stops_the_catalogue(tmp_path: Path) -> None:
    """The error names the file and the key."""
    (tmp_path / "bad.toml").write_text('[figures.x]\na = { value = 1.0, trust = "seen" }\n', encoding="utf-8")

    with pytest.raises(CatalogError, match=r"bad\.toml: .*missing required field `source`"):
        load(tmp_path)


def test_an_unknown_key_or_trust_stops_the_catalogue(tmp_path: Path) -> None:
    """A slip in a data file is never passed over."""
    for name, text in {
        "key": '[figures.x]\na = { value = 1.0, source = "s", trust = "seen", vlaue = 2 }\n',
        "trust": '[figures.x]\na = { value = 1.0, source = "s", trust = "sure" }\n',
        "toml": "[figures.x\n",
        "like": '[[kind]]\nname = "x"\nlike = "nowhere"\n',
    }.items():
        folder = tmp_path / name
        folder.mkdir()
        (folder / "bad.toml").write_text(text, encoding="utf-8")
        with pytest.raises(CatalogError, match=r"bad\.toml"):
            load(folder)


def test_kinds_laid_over_the_catalogue_go_away_again(tmp_path: Path) -> None:
    """`using` holds for its block only."""
    text = '[[kind]]\nname = "gate"\nlike = "limit switch"\nsource = "s"\ntrust = "from memory"\nsays = "x"\n'
    (tmp_path / "own.toml").write_text('[[kind]]\nname = "x"\n', encoding="utf-8")
    with pytest.raises(CatalogError), using(tmp_path):
        raise AssertionError("not reached")
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    with using(tmp_path):
        assert [] == codes("B1 gate 1 NO")

    assert ["PW151"] == codes("B1 gate 1 NO")
