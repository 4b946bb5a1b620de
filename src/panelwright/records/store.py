"""The records of a panel: an SQLite file beside its panel file. Rows are added; none is ever changed or taken away."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

SUFFIX = ".records.sqlite"
EDITION = 1  # of the tables, in user_version
PATIENCE_S = 10.0  # while another program writes

TABLES = """
CREATE TABLE texts (
  hash TEXT PRIMARY KEY,     -- of the panel file as it was tested
  text TEXT NOT NULL
);
CREATE TABLE sittings (
  id INTEGER PRIMARY KEY,
  at TEXT NOT NULL,          -- when it was written down: ISO 8601 with the difference to UTC
  kind TEXT NOT NULL,        -- cold, live
  panel TEXT NOT NULL,       -- number of the panel, as somebody wrote it
  by TEXT NOT NULL,
  meter TEXT NOT NULL,
  date TEXT NOT NULL,        -- as somebody wrote it
  hash TEXT NOT NULL REFERENCES texts(hash)
);
CREATE TABLE lines (
  sitting INTEGER NOT NULL REFERENCES sittings(id),
  number INTEGER NOT NULL,
  do TEXT NOT NULL,
  expect TEXT NOT NULL,
  result TEXT NOT NULL,      -- as somebody wrote it
  verdict TEXT NOT NULL,     -- passed, failed, not understood
  PRIMARY KEY (sitting, number)
);
"""
NEVER = "".join(
    f"CREATE TRIGGER {table}_{verb.lower()} BEFORE {verb} ON {table} "
    "BEGIN SELECT RAISE(ABORT, 'records are added, never changed'); END;\n"
    for table in ("texts", "sittings", "lines")
    for verb in ("UPDATE", "DELETE")
)


class RecordsUnreadable(ValueError):
    """The file beside the panel file holds no records of ours; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a test sheet with its result. `verdict`: passed, failed, not understood."""

    number: int
    do: str
    expect: str
    result: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Sitting:
    """Results that were written down together. `kind`: cold, live. `date` as somebody wrote it."""

    kind: str
    panel: str = ""
    by: str = ""
    meter: str = ""
    date: str = ""
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Kept:
    """A sitting as it was kept: its number, when (ISO 8601), and the hash of the panel file's text."""

    number: int
    at: str
    hash: str
    sitting: Sitting


def beside(panel_file: Path) -> Path:
    """Where the records of a panel file are."""
    return panel_file.with_name(panel_file.stem + SUFFIX)


def text_hash(text: str) -> str:
    """SHA-256 of a panel file's text, whatever its line ends."""
    return hashlib.sha256(text.replace("\r\n", "\n").replace("\r", "\n").encode("utf-8")).hexdigest()


class Records:
    """The records of one panel file. Every call opens the file, and closes it again."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def add(self, sitting: Sitting, text: str, now: datetime | None = None) -> int:
        """Keep a sitting with the text that was tested; the number it gets.

        Raises: RecordsUnreadable, OSError when the file cannot be written.
        """
        at = (now or datetime.now().astimezone()).isoformat(timespec="seconds")
        with self._open() as base:
            base.execute("INSERT OR IGNORE INTO texts VALUES (?, ?)", (text_hash(text), text))
            row = (at, sitting.kind, sitting.panel, sitting.by, sitting.meter, sitting.date, text_hash(text))
            added = base.execute(
                "INSERT INTO sittings (at, kind, panel, by, meter, date, hash) VALUES (?, ?, ?, ?, ?, ?, ?)", row
            )
            number = int(added.lastrowid or 0)
            lines = ((number, one.number, one.do, one.expect, one.result, one.verdict) for one in sitting.lines)
            base.executemany("INSERT INTO lines VALUES (?, ?, ?, ?, ?, ?)", lines)
        return number

    def all(self) -> tuple[Kept, ...]:
        """Everything kept, in order of time; () when there is nothing yet. Raises: RecordsUnreadable."""
        if not self.path.exists():
            return ()
        with self._open() as base:
            lines: dict[int, list[Line]] = {}
            for sitting, *line in base.execute(
                "SELECT sitting, number, do, expect, result, verdict FROM lines ORDER BY sitting, number"
            ):
                lines.setdefault(sitting, []).append(Line(*line))
            rows = base.execute("SELECT id, at, hash, kind, panel, by, meter, date FROM sittings ORDER BY id")
            return tuple(
                Kept(number, at, hash_, Sitting(kind, panel, by, meter, date, tuple(lines.get(number, ()))))
                for number, at, hash_, kind, panel, by, meter, date in rows
            )

    def text(self, hash_: str) -> str:
        """The panel file as it was tested. Raises: KeyError, RecordsUnreadable."""
        with self._open() as base:
            row = base.execute("SELECT text FROM texts WHERE hash = ?", (hash_,)).fetchone()
        if row is None:
            raise KeyError(hash_)
        return str(row[0])

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            with closing(sqlite3.connect(self.path, timeout=PATIENCE_S)) as base, base:
                base.execute("PRAGMA foreign_keys = ON")
                self._make_sure_of_tables(base)
                yield base
        except sqlite3.OperationalError as reason:
            raise OSError(f"{self.path} cannot be written: {reason}") from reason
        except sqlite3.DatabaseError as reason:
            raise RecordsUnreadable(
                f"{self.path} holds no records ({reason}); give it another name, and a new one is begun"
            ) from reason

    def _make_sure_of_tables(self, base: sqlite3.Connection) -> None:
        (edition,) = base.execute("PRAGMA user_version").fetchone()
        if edition == 0 and not base.execute("SELECT 1 FROM sqlite_master").fetchone():
            base.executescript(f"BEGIN; {TABLES}{NEVER}PRAGMA user_version = {EDITION}; COMMIT;")
        elif edition != EDITION:
            raise RecordsUnreadable(
                f"{self.path} was written by another edition of Panelwright (tables {edition}, known {EDITION}); "
                "use that one, or give the file another name, and a new one is begun"
            )


def last_results(kept: Sequence[Kept]) -> tuple[Line, ...]:
    """The last result of every line of every panel and sheet.

    A line is known again by what is done and what must be, whatever number a changed text gives it. Where one sheet has
    several lines of the same words, each counts by its number.
    """
    last: dict[tuple[str, str, str, str], tuple[str, dict[int, Line]]] = {}
    for one in kept:
        for line in one.sitting.lines:
            key = (one.sitting.panel, one.sitting.kind, line.do, line.expect)
            text, by_number = last.get(key, ("", {}))
            if text != one.hash and len(by_number) == 1:
                by_number.clear()  # its number under the text of before
            by_number[line.number] = line
            last[key] = (one.hash, by_number)
    return tuple(line for _, by_number in last.values() for line in by_number.values())
