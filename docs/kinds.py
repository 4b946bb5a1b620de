"""Writes docs/look-up/kinds.md from the catalogue."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from panelwright.catalog.shelf import FOLDER, BaseRow, FactRow, Figure, KindRow, Row, Shelf, plain, shelf

HEAD = """# Kinds of devices

Written by `python3 dev.py docs` from the data files of the catalogue; do not edit.

A line of `devices` or `supplies` is a tag, a kind, and facts in any order.
Every fact has to be one that the kind takes; **bold** ones have to be said.
All names of a kind mean the same; capitals and hyphens do not matter.
Values are typical ones, for where the line says nothing better.
Each table says where they come from and how far to trust them:

- *seen*: read in a published source;
- *seen in part*: some of it;
- *from memory*: to be checked before it is relied on;
- *common practice*: no source.

The nameplate and the maker's data decide.

To add a kind: [add a device kind](../how/add-a-device-kind.md).
"""


def kinds_page() -> str:
    """The whole page."""
    rows = shelf()
    parts = [HEAD]
    for family in dict.fromkeys(rows.families.values()):
        kinds = [row for row in rows.kinds.values() if rows.families[row.name] == family]
        parts += [f"## {family.replace('_', ' ').capitalize()}\n", _about(family), ""]
        for kind in kinds:
            parts += [*_kind(rows, kind), ""]
    parts += _facts(rows)
    parts += _words(rows)
    parts += _bases(rows)
    parts += _numberings(rows)
    parts += _suppressors(rows)
    parts += _windings(rows)
    parts += _figures(rows)
    return "\n".join(parts).rstrip() + "\n"


def example(rows: Shelf, kind: KindRow) -> str:
    """A line with this kind and the facts it needs, as it would stand in a file."""
    tag = f"{kind.iec}1" if kind.iec else "LV"
    return "  ".join([tag, kind.name, *(rows.form(kind, rows.facts[name]) for name in kind.needs)])


def _about(family: str) -> str:
    import tomllib

    return str(tomllib.loads((FOLDER / f"{family}.toml").read_text(encoding="utf-8")).get("about", ""))


def _kind(rows: Shelf, kind: KindRow) -> Iterator[str]:
    yield f"### {kind.name}\n"
    yield kind.says + "\n"
    yield f"`{example(rows, kind)}`\n"
    if kind.also:
        yield f"- also called: {', '.join(sorted(kind.also, key=plain))}"
    facts = [_shown(rows, kind, rows.facts[name]) for name in kind.facts]
    if facts:
        yield f"- facts: {', '.join(facts)}"
    if kind.words:
        yield f"- words: {', '.join(f'`{word}`' for word in kind.words)}"
    if kind.contacts:
        yield f"- contacts when none are said: {kind.contacts}"
    letters = [f"{where} {letter}" for where, letter in (("IEC", kind.iec), ("North American", kind.na)) if letter]
    if letters:
        yield f"- letters: {', '.join(letters)}"
    if kind.numbering:
        yield f"- contacts marked as: [{kind.numbering}](#marks-of-contacts)"
    if kind.figures:
        links = (f"[{name}](#{_anchor(name)}-figures)" for name in kind.figures)
        yield f"- figures: {', '.join(links)}"
    yield f"- source: {kind.source} ({kind.trust})"


def _shown(rows: Shelf, kind: KindRow, fact: FactRow) -> str:
    form = f"`{rows.form(kind, fact)}`"
    return f"**{form}**" if fact.name in kind.needs else form


def _anchor(heading: str) -> str:
    return heading.lower().replace(" ", "-")


def _table(heads: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> list[str]:
    lines = ["| " + " | ".join(heads) + " |", "|" + " --- |" * len(heads)]
    lines += ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return [*lines, ""]


def _origin(row: Row) -> tuple[str, str]:
    return row.source, row.trust


def _facts(rows: Shelf) -> list[str]:
    table = ((f"`{row.form}`", row.says, ", ".join(row.lead), *_origin(row)) for row in rows.facts.values())
    return ["## Facts\n", *_table(("written", "says its", "begins with", "source", "trust"), table)]


def _words(rows: Shelf) -> list[str]:
    table = ((f"`{row.name}`", ", ".join(row.also), row.says, *_origin(row)) for row in rows.words.values())
    colours = ((f"`{row.name}`", ", ".join(row.also), "colour", *_origin(row)) for row in rows.colours.values())
    return ["## Words that stand alone\n", *_table(("word", "also", "says", "source", "trust"), [*table, *colours])]


def _bases(rows: Shelf) -> list[str]:
    table = (
        (f"`{row.name}`", ", ".join(row.also), row.says, row.coil, ", ".join(row.contacts), *_origin(row))
        for row in rows.bases.values()
    )
    heads = ("base", "also", "says", "coil", "contacts: common-break-make", "source", "trust")
    return ["## Bases\n", *_table(heads, table), *(line for row in rows.bases.values() for line in _pins(row))]


def _pins(row: BaseRow) -> Iterator[str]:
    """Pins as seen from the front and from behind, in a text picture."""
    yield f"{row.name}:\n\n```text"
    front, behind = _picture(row, 1.0), _picture(row, -1.0)
    width = max(map(len, front))
    yield f"{'from the front'.ljust(width)}      from behind".rstrip()
    for left, right in zip(front, behind, strict=True):
        yield f"{left.ljust(width)}      {right}".rstrip()
    yield "```\n"


def _picture(row: BaseRow, side: float) -> list[str]:
    across, down = (8, 3) if row.shape == "round" else (5, 1)
    middle = max(column for column, _ in row.pins.values()) / 2
    lines: dict[int, dict[int, str]] = {}
    for mark, (column, height) in row.pins.items():
        at = round((middle + side * (column - middle)) * across)
        lines.setdefault(round(height * down), {})[at] = mark
    width = round(2 * middle * across) + 2
    drawn = []
    for height in range(max(lines) + 1):
        line = [" "] * (width + 2)
        for at, mark in lines.get(height, {}).items():
            line[at : at + len(mark)] = mark
        drawn.append("".join(line).rstrip())
    return drawn


def _numberings(rows: Shelf) -> list[str]:
    table = (
        (
            row.name,
            row.standard,
            "; ".join(f"{name}: {marks}" for name, marks in row.layouts.items()),
            ", ".join(filter(None, [row.no, row.nc, row.co, row.timed_no, row.timed_nc, row.timed_co, *row.poles])),
            *_origin(row),
        )
        for row in rows.numberings.values()
    )
    heads = ("numbering", "symbols", "whole sets", "else, place by place (n the place)", "source", "trust")
    return ["## Marks of contacts\n", *_table(heads, table)]


def _suppressors(rows: Shelf) -> list[str]:
    table = (
        (f"`with {row.name}`", row.says, f"{row.release_factor:g} times", row.current, *_origin(row))
        for row in rows.suppressors.values()
    )
    return ["## Suppressors\n", *_table(("written", "says", "release time", "on", "source", "trust"), table)]


def _windings(rows: Shelf) -> list[str]:
    table = (
        (
            row.name,
            ", ".join(f"{v:g} V" for v in row.volts) or "other volts",
            row.marks,
            ", ".join(row.links),
            *_origin(row),
        )
        for row in rows.windings
    )
    return ["## Primaries\n", *_table(("primary", "for", "fed at", "links", "source", "trust"), table)]


def _figures(rows: Shelf) -> list[str]:
    lines = ["## Figures\n", FIGURES_HEAD]
    for name, figures in rows.figures.items():
        lines += [f"### {name} figures\n", *_table(("figure", "value", "source", "trust"), _figure_rows(figures))]
    return lines


def _figure_rows(figures: dict[str, Figure]) -> Iterator[tuple[str, ...]]:
    for name, figure in figures.items():
        yield f"`{name}`", f"{figure.value:g}", *_origin(figure)


FIGURES_HEAD = """Names end in their unit: `_s` seconds, `_w` watts, `_va` volt-amperes, `_v` volts, `_a` amperes.
`works` and `rests` are fractions of the rated volts.
At or above the first it surely works, at or below the second it surely does not, between them it may do either.
`_dc` and `_ac` hold on that current; `pf` is a power factor.
`tolerance` and `delay_tolerance` are fractions of the times, `regulation` and `loss` of the rating.
"""
