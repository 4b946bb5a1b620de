"""The user's own stock list: a CSV or TOML file, each part described in the words of a panel file."""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import PurePath
from typing import Any

from ..catalog import DeviceLine, Word, read_device
from ..catalog.shelf import plain
from ..circuit import Circuit, Device
from ..language.lines import decode

COLUMNS = ("name", "part", "price", "pack", "have")
NEEDED = ("name", "part")
MOST = 1e9  # of money and pieces: what no store has
NOT_SAID = "PW155"  # a stock line need not say all that a panel file has to
BLOCK = re.compile(r"contact block\s+(\d+)\s*(NO|NC)\b(.*)", re.IGNORECASE)
ACCESSORIES = ("base", "fuse holder", "fuse link", "terminal", "protective terminal", "cable", "wire", "wire marker",
               "ferrule")  # fmt: skip


@dataclass(frozen=True, slots=True)
class StockPart:
    """One part of the list. `price` of a pack, None when it cannot be bought; `have`: pieces at hand, free of cost.

    `device`: what the line describes; None for a contact block (then `block` is "NO" or "NC", of `blocks` contacts)
    and for accessories, which are compared word for word.
    """

    name: str
    part: str
    price: float | None = None
    pack: int = 1
    have: int = 0
    device: Device | None = field(default=None, compare=False)
    block: str = ""
    blocks: int = 0


@dataclass(frozen=True, slots=True)
class StockTrouble:
    """What is wrong in one line of a stock list. `row` counts lines of a CSV file, parts of a TOML file."""

    row: int
    what: str
    why: str
    mend: str

    def told(self, name: str) -> str:
        """As a sentence for the terminal."""
        return f"{name}:{self.row}: {self.what}\n  why:  {self.why}\n  mend: {self.mend}"


@dataclass(frozen=True, slots=True)
class Stock:
    """The parts that could be read, and what was wrong with the others."""

    parts: tuple[StockPart, ...]
    troubles: tuple[StockTrouble, ...] = ()


def read_stock(content: str | bytes, name: str = "stock.csv", circuit: Circuit | None = None) -> Stock:
    """Read a stock list; by the end of its name TOML (`[[part]]`), else CSV with a head line. Never raises on bad text.

    `circuit`: whose way of numbering contacts holds where a line does not write them; IEC when none is given.
    """
    text = content if isinstance(content, str) else decode(content)[0]
    standard = circuit.heading.symbols if circuit is not None else "IEC"
    rows = _toml_rows(text) if PurePath(name).suffix.lower() == ".toml" else _csv_rows(text)
    parts: list[StockPart] = []
    troubles: list[StockTrouble] = []
    names: set[str] = set()
    for number, row in rows:
        if isinstance(row, StockTrouble):
            troubles.append(row)
            continue
        found = _part(number, row, standard)
        if isinstance(found, StockPart) and found.name in names:
            why = "nobody could tell which of the two is meant."
            found = StockTrouble(number, f"the name {found.name} is there twice", why, "give one of them another name.")
        if isinstance(found, StockTrouble):
            troubles.append(found)
        else:
            names.add(found.name)
            parts.append(found)
    return Stock(tuple(parts), tuple(troubles))


# ---- files
Rows = Iterator[tuple[int, Mapping[str, Any] | StockTrouble]]


def _csv_rows(text: str) -> Rows:
    """The rows of a CSV file by column; a comma, a semicolon or a tab parts them, whichever the head has most of."""
    lines = text.lstrip("\ufeff").splitlines()
    first = next((at for at, line in enumerate(lines) if line.strip() and not line.startswith("#")), None)
    if first is None:
        yield 1, StockTrouble(1, "the stock list is empty", "nothing can be chosen from it.", f"begin with: {_head()}")
        return
    mark = max(",;\t", key=lines[first].count)
    heads = [head.strip().lower() for head in next(csv.reader([lines[first]], delimiter=mark))]
    trouble = _wrong_head(first + 1, heads)
    if trouble is not None:
        yield first + 1, trouble
        return
    for number, line in enumerate(lines[first + 1 :], first + 2):
        if not line.strip() or line.startswith("#"):
            continue
        cells = next(csv.reader([line], delimiter=mark))
        if len(cells) != len(heads):
            why = f"the head has {len(heads)} columns; a text with a comma in it has to stand in quotes."
            yield (
                number,
                StockTrouble(number, f"this line has {len(cells)} cells", why, f"as many as in: {','.join(heads)}"),
            )
            continue
        yield number, dict(zip(heads, (cell.strip() for cell in cells), strict=True))


def _wrong_head(row: int, heads: Sequence[str]) -> StockTrouble | None:
    """What is wrong with the names of the columns, with the name that may be meant."""
    known = f"it has to have {', '.join(NEEDED)} and may have {', '.join(COLUMNS[2:])}."
    unknown = next((head for head in heads if head not in COLUMNS), None)
    twice = next((head for head in heads if heads.count(head) > 1), None)
    lacking = next((head for head in NEEDED if head not in heads), None)
    if unknown is not None:
        near = get_close_matches(unknown, [column for column in COLUMNS if column not in heads], 1)
        mend = f"write {near[0]} instead" if near else f"begin the list with: {_head()}"
        return StockTrouble(row, f'the head of the list has no column "{unknown}"', known, f"{mend}.")
    if twice is not None:
        return StockTrouble(row, f"the head of the list has the column {twice} twice", known, "take one of them out.")
    if lacking is not None:
        return StockTrouble(row, f"the head of the list lacks the column {lacking}", known, f"write: {_head()}")
    return None


def _head() -> str:
    return ",".join(COLUMNS)


def _toml_rows(text: str) -> Rows:
    try:
        read = tomllib.loads(text)
    except tomllib.TOMLDecodeError as reason:
        where = re.search(r"line (\d+)", str(reason))
        line = int(where[1]) if where else 1
        yield (
            line,
            StockTrouble(line, "this is no TOML", f"{reason}.", 'write parts as: [[part]] name = "R1" part = "..."'),
        )
        return
    rows = read.get("part")
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        yield (
            1,
            StockTrouble(
                1, "there are no parts in it", "each part begins with [[part]].", 'write: [[part]] and name = "..."'
            ),
        )
        return
    for number, row in enumerate(rows, 1):
        wrong = [key for key in row if key not in COLUMNS]
        if wrong:
            yield number, StockTrouble(number, f'part {number} has an unknown key "{wrong[0]}"', "nothing reads it.",
                                       f"take one of {', '.join(COLUMNS)}.")  # fmt: skip
        else:
            yield number, row


# ---- parts
def _part(number: int, row: Mapping[str, Any], standard: str) -> StockPart | StockTrouble:
    name, line = str(row.get("name", "")).strip(), str(row.get("part", "")).strip()
    if not name:
        return StockTrouble(number, "this part has no name", "it could not be told from others.", "write its name.")
    if not line:
        why, mend = "it says what the part is, in the words of a panel file.", "write for example lamp red 24 V dc."
        return StockTrouble(
            number, f"{name} has nothing in the column part", why, "write for example lamp red 24 V dc."
        )
    price, pack, have = (_number(row.get(column, "")) for column in ("price", "pack", "have"))
    for column, value in (("price", price), ("pack", pack), ("have", have)):
        if not _fits_column(column, value):
            what = f'{column} of {name} is "{row.get(column)}"'
            why = "it has to be money." if column == "price" else "it has to be a whole number of pieces."
            mend = "write a plain number without sign of the currency, for example 1234.50." if column == "price" else (
                "write a plain number, for example 4.")  # fmt: skip
            return StockTrouble(number, what, why, mend)
    kept = StockPart(name, line, _plain(price), int(_plain(pack) or 1), int(_plain(have) or 0))
    if (trouble := _wrong_block(number, name, line)) is not None:
        return trouble
    if (block := BLOCK.fullmatch(line)) is not None:
        return StockPart(name, line, kept.price, kept.pack, kept.have, None, block[2].upper(), int(block[1]))
    if any(plain(line).startswith(word) for word in ACCESSORIES):
        return kept
    words = tuple(Word(m[0], m.start() + 1, len(m[0])) for m in re.finditer(r"\S+", line))
    reading = read_device(DeviceLine(name, words, line=number, standard=standard))
    real = [problem for problem in reading.problems if problem.code != NOT_SAID]
    if real:
        what = real[0].message if real[0].message.startswith(f"{name} ") else f"{name}: {real[0].message}"
        return StockTrouble(number, what, real[0].why, real[0].mend)
    return StockPart(name, line, kept.price, kept.pack, kept.have, reading.device)


def _wrong_block(number: int, name: str, line: str) -> StockTrouble | None:
    """What is wrong with the line of a contact block; None for a right one and for all that is none."""
    words = line.lower().split()
    if not get_close_matches(" ".join(words[:2]), ["contact block", "contact blocks"], 1, 0.8):
        return None
    block = BLOCK.fullmatch(line)
    rest = block[3].split() if block is not None else []
    if block is not None and int(block[1]) > 0 and (not rest or (rest[0].lower() == "rated" and len(rest) > 1)):
        return None
    why = "heads and blocks are put together by the number and the form of contacts; their rating may stand behind."
    mend = "write contact block 1 NO, or contact block 1 NC rated A600 Q300."
    return StockTrouble(number, f'{name}: "{line}" is not understood as a contact block', why, mend)


def _fits_column(column: str, value: float | str | None) -> bool:
    """Money is not negative; pieces are whole, and at least one in a pack."""
    if value is None:
        return True
    if isinstance(value, str) or not 0 <= value <= MOST:
        return False
    return column == "price" or (value == int(value) and (column == "have" or value >= 1))


def _number(cell: object) -> float | str | None:
    """A number; a decimal comma is understood. None for an empty cell, the text for what is no number."""
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return float(cell)
    text = str(cell).strip()
    if not text:
        return None
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def _plain(value: float | str | None) -> float | None:
    return value if isinstance(value, float) else None
