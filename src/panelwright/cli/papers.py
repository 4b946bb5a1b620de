"""The panel files that a command was given: files, folders, or `-` for what is typed or piped in."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import click

from .answering import CouldNot

SUFFIX = ".panel"
TYPED = "-"
UTF_16 = (b"\xff\xfe", b"\xfe\xff")


class CannotRead(CouldNot):
    """A path that leads to no panel file. Says what is near."""


@dataclass(frozen=True, slots=True)
class Paper:
    """One panel file: `name` as the user would type it, `path` None when it was piped in."""

    name: str
    octets: bytes
    path: Path | None = None

    @property
    def text(self) -> str:
        """Its text, in whatever encoding and with whatever line ends it came."""
        from ..language.lines import decode

        return decode(self.octets)[0].replace("\r\n", "\n").replace("\r", "\n")


def papers(names: Iterable[str]) -> Iterator[Paper]:
    """The panel files meant by files, folders (searched all the way down) and `-`, each once.

    Raises: CannotRead.
    """
    seen: set[Path] = set()
    for name in names:
        if name == TYPED:
            if sys.stdin.isatty():
                click.echo("Type or paste a panel file; end it with Ctrl+D (Windows: Ctrl+Z, Enter).", err=True)
            yield Paper("typed", sys.stdin.buffer.read())
            continue
        for path in _files(Path(name)):
            if path.resolve() not in seen:
                seen.add(path.resolve())
                yield Paper(str(path), _octets(path), path)


def _files(path: Path) -> list[Path]:
    if path.is_dir():
        found = sorted(one for one in path.rglob(f"*{SUFFIX}") if not _hidden(one.relative_to(path)))
        if not found:
            raise CannotRead(f"there is no {SUFFIX} file in the folder {path}.")
        return found
    if not path.exists():
        raise CannotRead(f"there is no file {path}.{_nearest(path)}")
    return [path]


def _hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def _nearest(path: Path) -> str:
    """A file that was probably meant: with the ending left out, or with a slip in the name."""
    if not path.parent.is_dir():
        return f" There is no folder {path.parent} either."
    near = sorted(one.name for one in path.parent.glob(f"*{SUFFIX}"))
    close = difflib.get_close_matches(path.name, near, 1) or difflib.get_close_matches(path.name + SUFFIX, near, 1)
    if close:
        return f" Did you mean {path.with_name(close[0])}?"
    return f" Panel files there: {', '.join(near[:7])}." if near else ""


def _octets(path: Path) -> bytes:
    try:
        octets = path.read_bytes()
    except OSError as reason:
        raise CannotRead(f"{path} cannot be read: {reason.strerror}.") from reason
    if b"\0" in octets[:4096] and not octets.startswith(UTF_16):
        raise CannotRead(f"{path} is not a text file. A panel file is plain text, UTF-8.")
    return octets
