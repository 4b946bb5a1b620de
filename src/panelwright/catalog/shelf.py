"""The catalogue as it stands in the data files: kinds, facts, words, figures, numberings, bases.

Everything is read once, when first asked for. Each file is checked on reading: an unknown key, a missing source or
an unknown trust is a `CatalogError` that names the file. Other folders can be laid over the catalogue with `using`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Literal, get_args

import msgspec

Origin = Literal["trade", "standard", "ours"]
Trust = Literal["seen", "seen in part", "from memory", "common practice"]
TRUSTS: tuple[str, ...] = get_args(Trust)
FOLDER = Path(__file__).parent / "kinds"


class CatalogError(ValueError):
    """A data file of the catalogue is wrong. `path` is the file."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(f"{path.name}: {what}")
        self.path = path


class Row(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Whatever stands in a data file says where it is from."""

    source: str
    trust: Trust


class Figure(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """One number, in SI units or as a fraction of the rated value; its name says which."""

    value: float


class FactRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A fact that kinds may take. `takes` names its shape, `lead` the words that begin it, `form` shows it written.

    `origin` tells whose words these are. `least`, `most`: what it can be at all; `among`: the letters it
    can be. `bare`: its lead words may be left out.
    """

    name: str
    takes: str
    form: str
    says: str
    lead: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    among: tuple[str, ...] = ()
    bare: bool = False
    origin: Origin = "trade"


class WordRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A word that stands alone ("LED", "forcibly-guided"). Two of one `group` contradict each other."""

    name: str
    says: str
    also: tuple[str, ...] = ()
    group: str = ""
    figures: tuple[str, ...] = ()
    mechanism: str = ""
    symbol: str = ""
    origin: Origin = "trade"


class PartRow(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A part that every device of the kind has. `marks` by IEC, `na` by North American numbering if that differs.

    Where `marks` is the name of a numbering, there is one part for each pole.
    `when`: only if this fact or word is said; `unless`: only if it is not.
    `sort`, `drives`, `form`, `timing`, `phases`: as in the part itself. `rated`: the fact that holds its rating.
    `figures`: a table of figures that holds for this part alone.
    """

    part: str
    name: str = ""
    marks: tuple[str, ...] | str = ()
    na: tuple[str, ...] | str = ()
    when: str = ""
    unless: str = ""
    sort: str = ""
    drives: str = ""
    rated: str = ""
    figures: str = ""
    phases: int = 1
    form: Literal["no", "nc"] = "no"
    timing: Literal["plain", "timed", "instant"] = "plain"


class KindRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A device kind. In a file, `like` names another kind from which all that is not written is taken over.

    `iec`, `na`: its tag letters. `poles`: how many it has when the line does not say;
    `most_poles`: how many it can have.

    `forms`: facts written as this kind would say them, for messages ("volts" of a motor: 400 V).
    `numbering`: how its contacts are marked. `contacts`: those it has when the line names none.
    """

    name: str
    says: str
    iec: str
    na: str = ""
    also: tuple[str, ...] = ()
    symbol: str = ""
    mechanism: str = "fixed"
    starts: str = ""
    facts: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    numbering: str = ""
    contacts: str = ""
    poles: int = 1
    most_poles: int = 4
    parts: tuple[PartRow, ...] = ()
    figures: tuple[str, ...] = ()
    grows: bool = False
    extra_marks: tuple[str, ...] = ()
    forms: dict[str, str] = {}
    conductors_per_terminal: int = 2


class NumberingRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """How contacts are marked, for one standard.

    `layouts`: marks of whole sets, make contacts first, then break, then change-over ("1 NO + 1 NC" to
    "13-14 21-22"). Else the patterns, position by position: `{n}` is the position from 1, `{a}` to `{d}` four numbers
    that run on. `poles`: entering and leaving mark of each main pole.
    """

    name: str
    standard: str = "IEC"
    no: str = ""
    nc: str = ""
    co: str = ""
    timed_no: str = ""
    timed_nc: str = ""
    timed_co: str = ""
    poles: tuple[str, ...] = ()
    layouts: dict[str, str] = {}


class BaseRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A plug-in base. `contacts`: one "common-nc-no" per pole. `pins`: column and row, seen from the front."""

    name: str
    says: str
    shape: Literal["round", "square"]
    coil: str
    contacts: tuple[str, ...]
    pins: dict[str, tuple[float, float]]
    also: tuple[str, ...] = ()


class SuppressorRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """What stands across a coil: how much later it lets go, and on which current it may be used."""

    name: str
    says: str
    release_factor: float
    current: Literal["dc", "ac", "either"]
    also: tuple[str, ...] = ()
    diode: bool = False


class WindingRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """How a primary of several coils is linked for one of these voltages: its ends, and the links to place."""

    name: str
    volts: tuple[float, ...]
    marks: str
    links: tuple[str, ...] = ()


class ColourRow(Row, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A colour of buttons and lamps."""

    name: str
    also: tuple[str, ...] = ()


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    about: str = ""
    kind: tuple[KindRow, ...] = ()
    fact: tuple[FactRow, ...] = ()
    word: tuple[WordRow, ...] = ()
    figures: dict[str, dict[str, Figure]] = {}
    numbering: tuple[NumberingRow, ...] = ()
    base: tuple[BaseRow, ...] = ()
    suppressor: tuple[SuppressorRow, ...] = ()
    colour: tuple[ColourRow, ...] = ()
    winding: tuple[WindingRow, ...] = ()


@dataclass(frozen=True)
class Shelf:
    """All rows, by name. Later files win over earlier ones."""

    kinds: dict[str, KindRow] = field(default_factory=dict)
    facts: dict[str, FactRow] = field(default_factory=dict)
    words: dict[str, WordRow] = field(default_factory=dict)
    figures: dict[str, dict[str, Figure]] = field(default_factory=dict)
    numberings: dict[tuple[str, str], NumberingRow] = field(default_factory=dict)
    bases: dict[str, BaseRow] = field(default_factory=dict)
    suppressors: dict[str, SuppressorRow] = field(default_factory=dict)
    colours: dict[str, ColourRow] = field(default_factory=dict)
    windings: list[WindingRow] = field(default_factory=list)
    families: dict[str, str] = field(default_factory=dict)  # kind -> file stem
    written: dict[str, dict[str, object]] = field(default_factory=dict)  # kinds as the files have them

    def form(self, kind: KindRow, fact: FactRow) -> str:
        """An example of the fact as this kind would say it."""
        return kind.forms.get(fact.name, fact.form)

    @cached_property
    def kind_names(self) -> dict[str, KindRow]:
        """Every name and synonym, in small letters with single blanks, to its kind."""
        found: dict[str, KindRow] = {}
        for row in self.kinds.values():
            for name in (row.name, *row.also):
                found[plain(name)] = row
        return found

    def _completed(self, row: dict[str, object]) -> dict[str, object]:
        """A kind that is `like` another takes over all that it does not say itself, synonyms apart."""
        like = row.pop("like", None)
        full = {**self.written.get(str(like), {}), "also": [], **row} if like else row
        if like and str(like) not in self.written:
            raise msgspec.ValidationError(f"kind {row.get('name')} is like {like}, which is not known so far")
        self.written[str(row.get("name"))] = full
        return full

    def add(self, path: Path) -> None:
        """Read one more file. Raises CatalogError."""
        try:
            read = tomllib.loads(path.read_text(encoding="utf-8"))
            read["kind"] = [self._completed(row) for row in read.get("kind", [])]
            rows = msgspec.convert(read, _File)
        except (tomllib.TOMLDecodeError, msgspec.ValidationError, UnicodeDecodeError) as reason:
            raise CatalogError(path, str(reason)) from reason
        for kind in rows.kind:
            self.kinds[kind.name] = kind
            self.families[kind.name] = path.stem
        self.facts.update((row.name, row) for row in rows.fact)
        self.words.update((row.name, row) for row in rows.word)
        self.figures.update(rows.figures)
        self.numberings.update(((row.name, row.standard), row) for row in rows.numbering)
        self.bases.update((row.name, row) for row in rows.base)
        self.suppressors.update((row.name, row) for row in rows.suppressor)
        self.colours.update((row.name, row) for row in rows.colour)
        self.windings.extend(rows.winding)


@lru_cache(maxsize=4096)
def plain(text: str) -> str:
    """Small letters, single blanks, hyphens as blanks: "Push-Button" and "push button" are one name."""
    return " ".join(text.lower().replace("-", " ").replace("_", " ").split())


def load(*folders: Path) -> Shelf:
    """A catalogue of all `*.toml` in the folders. Raises CatalogError."""
    shelf = Shelf()
    for folder in folders:
        for path in sorted(folder.glob("*.toml")):
            shelf.add(path)
    return shelf


_shelves: list[Shelf] = []


def shelf() -> Shelf:
    """The catalogue in force; the data files are read at the first call."""
    if not _shelves:
        _shelves.append(load(FOLDER))
    return _shelves[-1]


@contextmanager
def using(*folders: Path) -> Iterator[Shelf]:
    """Lay the kinds of these folders over the catalogue while the block runs. Raises CatalogError."""
    shelf()
    _shelves.append(load(FOLDER, *folders))
    try:
        yield _shelves[-1]
    finally:
        _shelves.pop()
