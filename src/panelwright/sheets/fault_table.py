"""The table of single faults against promises: a word in a shape for each cell, readable in black and white."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from .display import Circle, Drawing, Group, Item, Line, Rect, Text
from .words import width_mm, wrapped

Effect = Literal["kept", "unsafe", "hidden", "stops", "light", "undecided"]

EFFECTS: dict[Effect, str] = {
    "unsafe": "promise broken, on the dangerous side",
    "hidden": "the same, and nothing shows it",
    "stops": "broken, on the safe side",
    "light": "only a light or a sound is wrong",
    "undecided": "not decided",
}
TITLE = "Single faults against promises"
MARGIN_MM = 8.0
MOST_WITH_WORDS = 40  # rows; beyond, cells are small and only faults that break something are listed
_LONGEST_PROMISE_MM = 62.0
_LONGEST_FAULT_MM = 60.0


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One fault: the part that breaks, how, its effect on each promise, and the verdict in words.

    `danger`: the verdict is set in bold.
    """

    part: str
    fault: str
    effects: tuple[Effect, ...]
    verdict: str = ""
    danger: bool = False


def fault_table(promises: Sequence[str], rows: Sequence[FaultRow], *, title: str = TITLE, said: str = "") -> Drawing:
    """The table. `said`: a line under the title, e.g. how far the effects were searched.

    Up to 40 faults each cell has its word; beyond, the shapes stand alone and faults without effect are only counted.
    Raises: ValueError when a row has not one effect for each promise.
    """
    return _Table(promises, rows, title, said).draw()


def fault_pages(
    promises: Sequence[str], rows: Sequence[FaultRow], width: float, height: float, *, said: str = ""
) -> tuple[Drawing, ...]:
    """The table on as many pages as it needs, heads and legend on each; mm of a page that may be turned.

    Faults that break no promise are counted on the last page, like the sums. Raises: as `fault_table`.
    """
    whole = _Table(promises, rows, TITLE, said, small=True)
    turned = whole.right + MARGIN_MM > width
    room = min(width, height) if turned else max(width, height)
    most = max(1, int((room - whole.top - whole.foot_mm) / whole.row_mm))
    parts = [whole.rows[start : start + most] for start in range(0, len(whole.rows), most)] or [[]]
    tables = [_Table(promises, part, TITLE, said, small=True, like=whole) for part in parts]
    for table in tables:
        table.summed = whole if table is tables[-1] else None
    return tuple(table.draw() for table in tables)


class _Table:
    """One table. `small`: shapes without words; `like`: of a table on several pages, the whole, for its widths."""

    def __init__(
        self,
        promises: Sequence[str],
        rows: Sequence[FaultRow],
        title: str,
        said: str,
        *,
        small: bool | None = None,
        like: _Table | None = None,
    ) -> None:
        self.promises, self.title, self.said = promises, title, said
        for row in rows:
            if len(row.effects) != len(promises):
                raise ValueError(f"{row.part} {row.fault}: {len(row.effects)} effects for {len(promises)} promises")
        self.small = len(rows) > MOST_WITH_WORDS if small is None else small
        self.rows = [r for r in rows if not self.small or any(e != "kept" for e in r.effects)]
        self.left_out = len(rows) - len(self.rows)
        self.row_mm, self.cell_mm = (5.0, 6.5) if self.small else (7.2, 17.5)
        self.summed: _Table | None = self  # the table whose sums stand below the rows
        self.listed: list[FaultRow] = like.listed if like else list(rows)
        part = max((width_mm(r.part, "tag") for r in self.listed), default=0.0) + 5
        fault = max((width_mm(r.fault, "function") for r in self.listed), default=0.0)
        self.fault_x = MARGIN_MM + part
        self.cells_x = self.fault_x + min(fault, _LONGEST_FAULT_MM) + 6
        self.verdict_x = self.cells_x + len(promises) * self.cell_mm + 5
        self.headings = [wrapped(p, _LONGEST_PROMISE_MM, "note")[:3] for p in promises]
        self.top = MARGIN_MM + 13 + max((width_mm(line, "note") for h in self.headings for line in h), default=0.0) + 3

    @property
    def right(self) -> float:
        """Where the longest verdict ends."""
        verdicts = max((width_mm(r.verdict, "tag") for r in self.listed), default=0.0)
        return max(self.verdict_x + verdicts, MARGIN_MM + width_mm(self.title, "title"))

    @property
    def foot_mm(self) -> float:
        """What sums and legend take below the rows."""
        _, end = self.legend(15.0)
        return end + MARGIN_MM

    def draw(self) -> Drawing:
        """The drawing."""
        right = self.right
        items: list[Item] = [Text(MARGIN_MM, MARGIN_MM + 3.5, self.title, "title")]
        for k, line in enumerate(wrapped(self.said, right - MARGIN_MM, "subtitle")):
            items.append(Text(MARGIN_MM, MARGIN_MM + 9 + k * 3.7, line, "subtitle"))
        items += self.heads()
        for index, row in enumerate(self.rows):
            items.append(Group(tuple(self.row(index, row, right)), role="fault", label=f"{row.part} {row.fault}"))
        bottom = self.top + len(self.rows) * self.row_mm
        items.append(Line(((MARGIN_MM, bottom), (right, bottom)), "hair"))
        items += self.summed.sums(bottom) if self.summed else []
        legend, end = self.legend(bottom + 15)
        items += legend
        words = f"{self.title}: {len(self.rows)} faults listed, {self.left_out} more without effect."
        right = max(right, *(i.x + i.width for i in items if isinstance(i, Text) and not i.turn_deg))
        return Drawing(right + MARGIN_MM, end + MARGIN_MM, tuple(items), self.title, words)

    def cell_x(self, column: int) -> float:
        """Middle of a column."""
        return self.cells_x + (column + 0.5) * self.cell_mm

    def heads(self) -> list[Item]:
        """The promises, reading upwards, in at most as many lines as a column holds."""
        items: list[Item] = []
        most, apart = (2, 3.6) if self.small else (3, 4.0)
        for column, lines in enumerate(self.headings):
            shown = lines if len(lines) <= most else [*lines[: most - 1], f"{lines[most - 1]}…"]
            for k, line in enumerate(shown):
                x = self.cell_x(column) + (k - (len(shown) - 1) / 2) * apart + 1.25
                items.append(Text(x, self.top - 2.5, line, "note", "start", -90.0))
        return items

    def row(self, index: int, row: FaultRow, right: float) -> list[Item]:
        y = self.top + index * self.row_mm
        base = y + self.row_mm / 2 + 1.25
        items: list[Item] = [Line(((MARGIN_MM, y), (right, y)), "rule")]
        if index == 0 or self.rows[index - 1].part != row.part:
            items.append(Text(MARGIN_MM, base, row.part, "tag"))
        fault = row.fault
        while fault and width_mm(fault, "function") > _LONGEST_FAULT_MM:
            fault = f"{fault[:-2].rstrip()}…"
        items.append(Text(self.fault_x, base, fault, "function"))
        for column, effect in enumerate(row.effects):
            items += self.cell(effect, self.cell_x(column), y + self.row_mm / 2)
        items.append(Text(self.verdict_x, base, row.verdict, "tag" if row.danger else "note"))
        return items

    def cell(self, effect: Effect, x: float, y: float, *, worded: bool | None = None) -> list[Item]:
        """The shape of an effect with its middle at (x, y), and its word where there is room."""
        if effect == "kept":
            return [Circle(x, y, 0.35, "dot")]
        words = not self.small if worded is None else worded
        wide, high = (15.5, 5.8) if words else (4.2, 3.4)
        shape = Rect(x - wide / 2, y - high / 2, wide, high, f"fault-{effect}")
        if not words:
            return [shape, Text(x, y + 1.0, "?", "note", "middle")] if effect == "undecided" else [shape]
        look = {"unsafe": "fault-word", "hidden": "level-word"}.get(effect, "note")
        word = "?" if effect == "undecided" else effect
        return [shape, Text(x, y + 1.25, word, look, "middle")]

    def sums(self, bottom: float) -> list[Item]:
        items: list[Item] = [Text(MARGIN_MM, bottom + 5.0, "broken", "note")]
        for column in range(len(self.promises)):
            count = sum(row.effects[column] not in ("kept", "undecided") for row in self.rows)
            items.append(Text(self.cell_x(column), bottom + 5.0, str(count), "level-word", "middle"))
        if self.left_out:
            words = f"{self.left_out} faults break no promise and are not listed"
            items.append(Text(MARGIN_MM, bottom + 9.5, words, "note"))
        return items

    def legend(self, top: float) -> tuple[list[Item], float]:
        """What the shapes mean, one beside the other as far as there is room; and where that ends."""
        used = {effect for row in self.listed for effect in row.effects} - {"kept"}
        items: list[Item] = []
        x, y = MARGIN_MM, top
        for effect, words in [*EFFECTS.items(), (None, "promise kept")]:
            if effect is not None and effect not in used:
                continue
            wide = (19 if effect else 5) + width_mm(words, "note") + 6
            if x > MARGIN_MM and x + wide > self.right:
                x, y = MARGIN_MM, y + 7.2
            if effect is None:
                items += [Circle(x + 1.5, y, 0.35, "dot"), Text(x + 4.5, y + 1.25, words, "note")]
            else:
                items += [*self.cell(effect, x + 7.75, y, worded=True), Text(x + 17.5, y + 1.25, words, "note")]
            x += wide
        return items, y + 5
