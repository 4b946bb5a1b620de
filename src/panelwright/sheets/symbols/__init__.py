"""The symbols of both standards as strokes: read from `iec.toml` and `north_american.toml`, one frame for all.

A symbol comes in the upright frame: first terminal (0, 0) above, second (0, 4) below, unit M = 2.5 mm.
`Symbol.level()` turns it for a horizontal rung.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

from ..display import Arc, Circle, Item, Line, Text
from .notation import Blade, M, NotationError, level_to_upright, read_strokes, to_mm, upright_to_level

__all__ = ["M", "NotationError", "Standard", "Symbol", "contact_symbol", "part_symbol", "symbol_names", "to_mm"]

Standard = Literal["IEC", "NA"]
_FILES = {"IEC": "iec.toml", "NA": "north_american.toml"}
FORMS = ("make", "break")


@dataclass(frozen=True, slots=True)
class Symbol:
    """Strokes of one symbol, in M.

    `lead_a`, `lead_b` belong to the nets on either side; `fixed` never changes; `rest` and `moved` stand for each
    other (`moved` is () when nothing moves); `ghost`: the blade at rest, shown dotted behind a moved one.
    """

    name: str
    words: str
    lead_a: tuple[Item, ...]
    lead_b: tuple[Item, ...]
    fixed: tuple[Item, ...]
    rest: tuple[Item, ...]
    moved: tuple[Item, ...] = ()
    ghost: tuple[Item, ...] = ()
    source: str = ""
    trust: str = ""

    def level(self) -> Symbol:
        """The same symbol in a horizontal rung: first terminal (0, 0), second (4, 0)."""
        turn = {
            key: tuple(upright_to_level(item) for item in getattr(self, key))
            for key in ("lead_a", "lead_b", "fixed", "rest", "moved", "ghost")
        }
        return replace(self, **turn)  # type: ignore[arg-type]

    def marked(self, letter: str) -> Symbol:
        """The symbol with the device's letter where the file says `*`."""

        def write(item: Item) -> Item:
            return replace(item, text=letter) if isinstance(item, Text) and item.text == "*" else item

        return replace(self, rest=tuple(write(item) for item in self.rest if letter or not _is_star(item)))


def _is_star(item: Item) -> bool:
    return isinstance(item, Text) and item.text == "*"


@cache
def _file(standard: Standard) -> dict[str, Any]:
    text = (Path(__file__).parent / _FILES[standard]).read_text(encoding="utf-8")
    return tomllib.loads(text)


def _strokes(text: str, standard: Standard, blade: Blade | None = None) -> tuple[Item, ...]:
    items = read_strokes(text, blade)
    if _file(standard)["frame"] == "level":
        return tuple(level_to_upright(item) for item in items)
    return items


def symbol_names(standard: Standard) -> tuple[str, ...]:
    """Names of the part symbols that one standard's file holds, in file order."""
    return tuple(_file(standard)["symbol"])


def operator_names() -> tuple[str, ...]:
    """Names of all operators of contacts, in file order."""
    return tuple(_file("IEC")["operator"])


@cache
def part_symbol(name: str, standard: Standard = "IEC") -> Symbol:
    """The symbol of a part that is not a contact: "coil", "lamp", "fuse", ... Raises KeyError."""
    if name not in _file(standard)["symbol"]:
        standard = "IEC"
    row = _file(standard)["symbol"][name]
    leads = _file("IEC")["leads"]
    own = {key: _strokes(row[key], standard) for key in ("a", "b") if key in row}
    return Symbol(
        name,
        row["words"],
        own["a"] if "a" in own else read_strokes(leads["a"]),
        own["b"] if "b" in own else read_strokes(leads["b"]),
        _strokes(row.get("fixed", ""), standard),
        _strokes(row["rest"], standard),
        _strokes(row.get("moved", ""), standard),
        source=row.get("source", _file(standard)["source"]),
        trust=row.get("trust", _file(standard)["trust"]),
    )


@cache
def contact_symbol(form: str, operator: str = "", standard: Standard = "IEC") -> Symbol:
    """A contact, "make", "break" or "change-over", with what works it ("" for a relay contact). Raises KeyError."""
    if standard == "NA" and form in FORMS:
        return _north_american_contact(form, operator)
    return _iec_contact(form, operator)


def _iec_contact(form: str, operator: str) -> Symbol:
    file = _file("IEC")
    row = file["form"][form]
    worked: dict[str, Any] = file["operator"][operator] if operator else {}

    def state(which: str) -> tuple[Item, ...]:
        blade = read_strokes(row[which])
        line = blade[0]
        assert isinstance(line, Line)
        hold = Blade(line.points[0], line.points[-1])
        own = worked.get(f"{form}_{which}", worked.get("strokes", ""))
        return (*blade, *read_strokes(own, hold))

    return Symbol(
        f"{operator} {form}".strip(),
        ", ".join(part for part in (row["words"], worked.get("words", "")) if part),
        read_strokes(row.get("a", file["leads"]["a"])) + read_strokes(row.get("fixed", "")),
        read_strokes(row.get("b", file["leads"]["b"])),
        (),
        state("rest"),
        state("moved"),
        read_strokes(row["rest"]),
        source=worked.get("source", file["source"]),
        trust=worked.get("trust", file["trust"]),
    )


def _north_american_contact(form: str, operator: str) -> Symbol:
    file = _file("NA")
    plain: dict[str, Any] = {"plain": True}
    worked = file["operator"][operator] if operator else plain
    row = file["form"][form]
    words = ", ".join(part for part in (row["words"], worked.get("words", "")) if part)
    trust = {"source": worked.get("source", file["source"]), "trust": worked.get("trust", file["trust"])}
    if worked.get("plain"):
        lead_a, lead_b = (_strokes(file["leads"][key], "NA") for key in ("a", "b"))
        rest, moved, ghost = (_strokes(row.get(key, ""), "NA") for key in ("rest", "moved", "ghost"))
        return Symbol(f"{operator} {form}".strip(), words, lead_a, lead_b, (), rest, moved, ghost, **trust)
    body = file["bridge" if "top" in worked else "arm"][form]
    place = "top" if "top" in worked else "middle"
    head = worked.get(f"{form}_below", worked.get("top", worked.get("below", "")))

    def state(which: str) -> tuple[Item, ...]:
        dx, dy = body[f"{which}_{place}"]
        own = tuple(_shift(item, dx, dy) for item in read_strokes(head))
        return tuple(level_to_upright(item) for item in (*read_strokes(body[which]), *own))

    bare = tuple(level_to_upright(item) for item in read_strokes(body["rest"])[:1])
    studs = file["studs"]
    return Symbol(
        f"{operator} {form}",
        words,
        _strokes(studs["a"], "NA"),
        _strokes(studs["b"], "NA"),
        (),
        state("rest"),
        state("moved"),
        bare,
        **trust,
    )


def _shift(item: Item, dx: float, dy: float) -> Item:
    if isinstance(item, Line):
        return replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
    if isinstance(item, Circle | Arc | Text):
        return replace(item, x=item.x + dx, y=item.y + dy)
    raise TypeError(type(item).__name__)
