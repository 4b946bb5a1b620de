"""A meter with two leads anywhere on the panel."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from ..electrics import UnknownPlace
from ..finding.meters import Meter, meters
from ..finding.probing import Shown, shown

if TYPE_CHECKING:
    from .course import Course

UNITS = {"volts": "V", "ohms": "ohm"}


class Probe:
    """Which meter is used, what it is set to, and where its leads are ("" nowhere, "earth", or "K1.13")."""

    def __init__(self) -> None:
        self.red = ""
        self.black = ""
        self.reads: Literal["volts", "ohms"] = "volts"
        self.meter: Meter = next(iter(meters().values()))

    def put(self, which: Literal["red", "black"], at: str) -> None:
        """Put a lead somewhere."""
        if which == "red":
            self.red = at
        else:
            self.black = at

    def take(self, name: str) -> None:
        """Take another meter. Raises KeyError for one that there is not."""
        self.meter = meters()[name]
        if self.reads not in self.meter.reads:
            self.reads = "ohms" if self.reads == "volts" else "volts"

    def set_to(self, reads: Literal["volts", "ohms"]) -> None:
        """Turn the switch, if the meter has that range."""
        if reads in self.meter.reads:
            self.reads = reads

    def reading(self, course: Course) -> dict[str, Any]:
        """Places, setting, what the meter shows and what to mind."""
        value, mind = self._read(course)
        return {
            "red": self.red,
            "black": self.black,
            "meter": self.meter.name,
            "ranges": self.meter.reads,
            "reads": self.reads,
            "value": value,
            "mind": mind,
        }

    def shown(self, course: Course) -> Shown | None:
        """What the meter shows; None when its leads are not both somewhere."""
        if course.run is None or not (self.red and self.black):
            return None
        try:
            return shown(course.seen_by_meter, self.red, self.black, self.meter, UNITS[self.reads])
        except UnknownPlace:
            return None

    def _read(self, course: Course) -> tuple[str, str]:
        if course.run is None or not (self.red and self.black):
            return "", "put both leads somewhere"
        gone = next((at for at in (self.red, self.black) if not course.knows(at)), "")
        if gone:
            return "", f"there is nothing called {gone} in this circuit any more; move that lead"
        seen = self.shown(course)
        return (seen.text, seen.mind) if seen is not None else ("", "nothing can be read there")


def meter_names() -> list[tuple[str, str]]:
    """Every meter with what it is, to choose from."""
    return [(meter.name, meter.says) for meter in meters().values()]
