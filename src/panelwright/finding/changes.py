"""What changed before it failed, and what that makes likelier: rows of `changes.toml`."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from ..circuit import Circuit
from .causes import Cause
from .evidence import Unclear
from .naming import devices_called


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that changed. `tags`: devices that were named; `says`: the row of the table; `words`: as typed."""

    says: str
    words: str
    tags: tuple[str, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """Whether it says that nothing changed."""
        return not _row(self.says).keys() & {"kinds", "wired", "at"}

    def weight(self, cause: Cause, new: bool) -> float:
        """Weight of a cause beforehand, with this change known. `new`: the whole panel was just wired."""
        row = _row(self.says)
        about = bool(set(self.tags) & set(cause.tags))
        altered = new or (row.get("wired", False) and (about or not self.tags))
        weight = (cause.new if altered else cause.used) * float(row.get("kinds", {}).get(cause.kind, 1.0))
        return weight * (float(row["at"]) if about and "at" in row else 1.0)

    def may_miswire(self, cause: Cause) -> bool:
        """Whether a wiring mistake has to be thought of at once."""
        return bool(_row(self.says).get("wired")) and (not self.tags or bool(set(self.tags) & set(cause.tags)))


@cache
def changes() -> tuple[dict[str, Any], ...]:
    """The rows of `changes.toml`."""
    return tuple(tomllib.loads(files(__package__).joinpath("changes.toml").read_text("utf-8"))["change"])


def _row(says: str) -> dict[str, Any]:
    return next(row for row in changes() if row["says"] == says)


def read_change(circuit: Circuit, words: str) -> Change:
    """A change from words ("K1 was replaced", "it was wet"). Raises Unclear."""
    plain = " ".join(words.lower().strip(" .!").split())
    for row in changes():
        for pattern in row["like"]:
            match = re.fullmatch(pattern, plain)
            if match is None:
                continue
            if "thing" not in match.groupdict():
                return Change(row["says"], words.strip())
            devices = devices_called(circuit, match["thing"])
            if devices:
                return Change(row["says"], words.strip(), tuple(device.tag for device in devices))
    known = "; ".join(row["says"] for row in changes())
    raise Unclear(f"'{words}' is no change that is understood. Say it like one of: {known}")


def weight_of(cause: Cause, new: bool, known: tuple[Change, ...]) -> float:
    """Weight of a cause before anything is seen: the product over all changes."""
    plain = cause.new if new else cause.used
    weight = plain
    for change in known:
        weight *= change.weight(cause, new) / (plain or 1.0)
    return weight
