"""A meter with two leads, as a technician uses it: volts with the power on, ohms with it off."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from ..electrics import Level, UnknownPlace

if TYPE_CHECKING:
    from .course import Course


class Meter:
    """Where its leads are ("" nowhere, "earth", or "K1.13") and what it is set to."""

    def __init__(self) -> None:
        self.red = ""
        self.black = ""
        self.reads: Literal["volts", "ohms"] = "volts"

    def put(self, which: Literal["red", "black"], at: str) -> None:
        """Put a lead somewhere."""
        if which == "red":
            self.red = at
        else:
            self.black = at

    def reading(self, course: Course) -> dict[str, Any]:
        """Places, setting, value and what it means."""
        value, words, why = self._read(course)
        return {
            "red": self.red, "black": self.black, "reads": self.reads, "value": value, "words": words, "why": why,
        }  # fmt: skip

    def _read(self, course: Course) -> tuple[str, str, str]:
        if course.run is None or not (self.red and self.black):
            return "", "Put both leads somewhere.", ""
        try:
            if self.reads == "volts":
                return volts_read(course.run.state.solution.volts(self.red, self.black))
            return ohms_read(course, self.red, self.black)
        except UnknownPlace as place:
            return "", f"There is no {place} in this circuit any more. Move that lead.", ""


def volts_read(level: Level) -> tuple[str, str, str]:
    """What the meter shows, what that means, and what to mind."""
    if level.floating:
        return "0.0 V", "No path between the two leads: a real meter shows stray volts, or nothing.", ""
    if level.ac_effective > abs(level.dc):
        return f"{level.ac_effective:.1f} V", "alternating", ""
    mind = "The red lead is at the lower side." if level.dc < -0.05 else ""
    return f"{level.dc:.1f} V".replace("-0.0", "0.0"), "direct", mind


def ohms_read(course: Course, red: str, black: str) -> tuple[str, str, str]:
    """Ohms between two places, with the power off."""
    raise NotImplementedError
