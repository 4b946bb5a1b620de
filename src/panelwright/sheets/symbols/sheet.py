"""The symbol sheet: every symbol of both standards, at rest and moved, with its words."""

from __future__ import annotations

from ..display import Drawing, Group, Item, Line, Rect, Text
from . import M, Standard, Symbol, contact_symbol, operator_names, part_symbol, symbol_names, to_mm

_CELL_W, _CELL_H, _COLUMNS = 66.0, 27.0, 6


def symbol_items(symbol: Symbol, x: float, y: float, *, moved: bool = False) -> tuple[Item, ...]:
    """The strokes of a symbol in mm, its first terminal at (x, y), in the frame the symbol is in."""
    if moved:
        ghost = tuple(to_mm(_as_ghost(item), x, y) for item in symbol.ghost)
        own = symbol.moved
    else:
        ghost, own = (), symbol.rest
    strokes = (*symbol.lead_a, *symbol.lead_b, *symbol.fixed, *own)
    return (*ghost, *(to_mm(item, x, y) for item in strokes))


def _as_ghost(item: Item) -> Item:
    return Line(item.points, "ghost", item.closed) if isinstance(item, Line) else item


def symbol_sheet() -> Drawing:
    """Every contact with every operator, then every part; IEC upright left, North American level right."""
    cells: list[tuple[str, list[tuple[Symbol, Standard, bool]]]] = []
    for operator in ("", *operator_names()):
        for form in ("make", "break"):
            for moved in (False, True):
                pair: list[tuple[Symbol, Standard, bool]] = [
                    (contact_symbol(form, operator, standard), standard, moved) for standard in ("IEC", "NA")
                ]
                name = f"{operator or 'relay contact'}, {form}{', moved' if moved else ''}"
                cells.append((name, pair))
    cells.append(("change-over", [(contact_symbol("change-over"), "IEC", moved) for moved in (False, True)]))
    for name in symbol_names("IEC"):
        cells.append(
            (name, [(part_symbol(name, s).marked("CR" if "coil" in name else "G"), s, False) for s in ("IEC", "NA")])
        )
    items: list[Item] = [Text(10, 14, "Symbols on one grid", "title")]
    items.append(
        Text(10, 19.5, "left: IEC, upright path    right: North American, level rung    grid 2.5 mm", "subtitle")
    )
    for index, (name, pair) in enumerate(cells):
        x, y = 10 + index % _COLUMNS * _CELL_W, 24 + index // _COLUMNS * _CELL_H
        items.append(Rect(x, y, _CELL_W - 2, _CELL_H - 2, "rule"))
        items.append(Text(x + 2, y + _CELL_H - 4, name, "note"))
        for column, (symbol, standard, moved) in enumerate(pair):
            level = standard == "NA"
            shape = symbol.level() if level else symbol
            left = x + (16 if column == 0 else 46) - (2 * M if level else 0)
            top = y + (12.5 if level else 5)
            items.append(Group(symbol_items(shape, left, top, moved=moved and bool(symbol.moved or symbol.ghost))))
    rows = -(-len(cells) // _COLUMNS)
    return Drawing(20 + _COLUMNS * _CELL_W, 30 + rows * _CELL_H, tuple(items), "Symbols on one grid")
