"""Panel files on disk: read, kept safe while they are edited, written only on purpose.

The file itself is written by `save` alone, atomically. Text that was typed and not saved lives in a side file,
so that neither a crash nor a closed page loses it.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_state_path

SUFFIX = ".panel"


class FileChanged(Exception):
    """The file on disk is no longer the one that was opened; carries `path`."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"{path.name} was changed on disk by something else since it was opened here.")
        self.path = path


class CannotWrite(Exception):
    """The file cannot be written; carries `path` and the system's `reason`."""

    def __init__(self, path: Path, reason: str) -> None:
        super().__init__(f"{path.name} could not be written: {reason}. Your text is kept; nothing is lost.")
        self.path = path
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Opened:
    """What was found: `saved` is the text on disk, `unsaved` what was typed last time and not saved (or None)."""

    saved: str
    unsaved: str | None
    saved_is_newer: bool = False

    @property
    def greeting(self) -> str:
        """What to say about unsaved text, "" when there is none."""
        if self.unsaved is None:
            return ""
        newer = " The file on disk was changed after that." if self.saved_is_newer else ""
        return f"Text that was not saved last time is back.{newer} Save writes it to the file; Back to file drops it."


def panel_files(paths: tuple[Path, ...]) -> tuple[Path, ...]:
    """The panel files meant by files and folders, folders searched one level deep, in order, each once.

    Raises: FileNotFoundError for a path that is not there.
    """
    found: dict[Path, None] = {}
    for path in paths:
        if path.is_dir():
            found.update(dict.fromkeys(sorted(one.resolve() for one in path.glob(f"*{SUFFIX}"))))
        elif path.exists():
            found[path.resolve()] = None
        else:
            raise FileNotFoundError(f"{path} is not there.")
    return tuple(found)


class PanelFile:
    """One panel file and its side file. `base` is the hash of the text last seen on disk."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.base = ""

    @property
    def side_path(self) -> Path:
        """Where unsaved text is kept."""
        return self.side_file("unsaved")

    def side_file(self, suffix: str) -> Path:
        """A file of ours beside the panel file, or in the user's own folder when that one is read-only."""
        near = self.path.parent / ".panelwright" / f"{self.path.name}.{suffix}"
        if near.exists() or os.access(self.path.parent, os.W_OK):
            return near
        mark = hashlib.sha256(str(self.path).encode()).hexdigest()[:12]
        return user_state_path("panelwright") / f"{self.path.stem}-{mark}.{suffix}"

    def open(self) -> Opened:
        """Read the file and what was left unsaved. Old temporary files of ours are swept away.

        Raises: OSError when the file cannot be read.
        """
        sweep(self.path.parent)
        saved = self._read()
        side = self.side_path
        if not side.exists():
            return Opened(saved, None)
        unsaved = side.read_text(encoding="utf-8")
        if unsaved == saved:
            self.forget()
            return Opened(saved, None)
        return Opened(saved, unsaved, self.path.stat().st_mtime > side.stat().st_mtime)

    def changed_on_disk(self) -> bool:
        """Whether something else wrote or removed the file since it was last read or written here."""
        try:
            return self.base != _mark(self.path.read_bytes())
        except OSError:
            return True

    def reopen(self) -> str:
        """Read the file again; its text becomes the base. Raises OSError."""
        return self._read()

    def keep(self, text: str) -> None:
        """Put unsaved text into the side file. Raises CannotWrite."""
        write_atomically(self.side_path, text)

    def forget(self) -> None:
        """Remove the side file."""
        self.side_path.unlink(missing_ok=True)

    def save(self, text: str, *, over: bool = False) -> None:
        """Write the file, then remove the side file.

        `over`: also when the file was changed on disk by something else.
        Raises: FileChanged unless `over`; CannotWrite.
        """
        if not over and self.path.exists() and self.changed_on_disk():
            raise FileChanged(self.path)
        write_atomically(self.path, text)
        self.base = _mark(text.encode("utf-8"))
        self.forget()

    def _read(self) -> str:
        octets = self.path.read_bytes()
        self.base = _mark(octets)
        try:
            text = octets.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = octets.decode("latin-1")  # an old Windows file; every octet stays a letter, none is lost
        return text.replace("\r\n", "\n").replace("\r", "\n")


def write_atomically(path: Path, content: str | bytes) -> None:
    """Write octets, or text as utf-8, so that a crash leaves either the old or the new file, never a torn one.

    Raises: CannotWrite.
    """
    target = path.resolve()  # a link stays a link
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        spare, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".writing", dir=target.parent)
        try:
            with os.fdopen(spare, "wb") as out:
                out.write(content.encode("utf-8") if isinstance(content, str) else content)
                out.flush()
                os.fsync(out.fileno())
            if target.exists():
                os.chmod(name, target.stat().st_mode & 0o7777)
            else:
                os.chmod(name, 0o644)
            os.replace(name, target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        _flush_folder(target.parent)
    except OSError as reason:
        raise CannotWrite(path, reason.strerror or str(reason)) from reason


def sweep(folder: Path) -> None:
    """Remove temporary files that a crash of ours left behind."""
    for left in (*folder.glob(f".*{SUFFIX}.*.writing"), *(folder / ".panelwright").glob(".*.writing")):
        left.unlink(missing_ok=True)


def _flush_folder(folder: Path) -> None:
    if os.name != "posix":
        return  # Windows keeps no handle on folders
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _mark(octets: bytes) -> str:
    return hashlib.sha256(octets).hexdigest()
