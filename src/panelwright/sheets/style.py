"""How each class of line and text looks. The one list from which the SVG style sheet and the PDF writer take it.

Lengths in millimetres on paper. Colours are roles ("ink", "soft", "accent", ...) that each theme fills.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

THEMES: dict[str, dict[str, str]] = {
    "light": {
        "paper": "#FBF7EE", "ink": "#1B2733", "soft": "#5C6670", "rule": "#D8D0BF",
        "body": "#F4EEDF", "accent": "#8F1F63", "wash": "#F3E6EE",
    },
    "dark": {
        "paper": "#191B1E", "ink": "#E8E1D2", "soft": "#A3A199", "rule": "#3B3D40",
        "body": "#222428", "accent": "#F2A3CF", "wash": "#37222E",
    },
    "print": {
        "paper": "#FFFFFF", "ink": "#000000", "soft": "#333333", "rule": "#999999",
        "body": "#FFFFFF", "accent": "#000000", "wash": "#FFFFFF",
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class LineLook:
    """A stroke; `fill` "" means none. `dash`: on and off lengths in mm, () for a solid line."""

    width_mm: float
    colour: str = "ink"
    dash: tuple[float, ...] = ()
    fill: str = ""


@dataclass(frozen=True, slots=True)
class TextLook:
    """A line of text: height of its capitals, weight, colour; `underlined` for break contacts in references."""

    cap_mm: float
    weight: int
    colour: str = "ink"
    underlined: bool = False


LINES: dict[str, LineLook] = {
    "wire": LineLook(0.3),
    "symbol": LineLook(0.35),
    "lead": LineLook(0.3),
    "solid": LineLook(0.35, fill="ink"),
    "shade": LineLook(0.35),
    "operator": LineLook(0.35),
    "operator-solid": LineLook(0.35, fill="ink"),
    "link": LineLook(0.25, dash=(1.1, 0.7)),
    "ghost": LineLook(0.25, "soft", (0.5, 0.7)),
    "rail": LineLook(0.5),
    "dot": LineLook(0.0, "", fill="ink"),
    "flag": LineLook(0.3, fill="paper"),
    "frame": LineLook(0.7),
    "rule": LineLook(0.13, "rule"),
    "hair": LineLook(0.2),
    "body": LineLook(0.35, fill="body"),
    "screw": LineLook(0.25, fill="paper"),
    "sleeve": LineLook(0.25, fill="paper"),
    "sheet": LineLook(0.0, "", fill="paper"),
    "level": LineLook(0.3),
    "level-high": LineLook(0.95, "accent"),
    "high": LineLook(0.0, "", fill="wash"),
    "event": LineLook(0.25, dash=(1.6, 0.9)),
    "measure": LineLook(0.2),
    "measure-head": LineLook(0.2, fill="ink"),
    "fault-unsafe": LineLook(0.35, fill="ink"),
    "fault-hidden": LineLook(0.9),
    "fault-stops": LineLook(0.3, fill="wash"),
    "fault-light": LineLook(0.3, dash=(0.9, 0.6)),
    "fault-undecided": LineLook(0.13),
}

TEXTS: dict[str, TextLook] = {
    "tag": TextLook(2.5, 600),
    "function": TextLook(2.5, 400, "soft"),
    "terminal": TextLook(2.5, 400, "soft"),
    "number": TextLook(2.5, 500),
    "line-number": TextLook(2.5, 500, "soft"),
    "reference": TextLook(2.5, 400, "soft"),
    "reference-break": TextLook(2.5, 400, "soft", underlined=True),
    "purpose": TextLook(2.5, 400),
    "mark": TextLook(2.5, 500),
    "volts": TextLook(2.5, 600, "accent"),
    "word": TextLook(2.5, 400, "soft"),
    "title": TextLook(3.5, 600),
    "subtitle": TextLook(2.5, 400, "soft"),
    "note": TextLook(2.5, 400),
    "device-tag": TextLook(5.0, 600),
    "device-name": TextLook(3.5, 600),
    "screw-number": TextLook(3.5, 600),
    "small-screw-number": TextLook(2.5, 600),
    "sleeve-number": TextLook(2.5, 600),
    "far-end": TextLook(2.5, 400, "soft"),
    "level-word": TextLook(2.5, 600),
    "fault-word": TextLook(2.5, 600, "paper"),
}

# What a class on an enclosing group changes. Thickness first, colour repeats it.
STATES: dict[str, dict[str, dict[str, object]]] = {
    "live": {
        "wire": {"width_mm": 0.95, "colour": "accent"},
        "rail": {"width_mm": 0.95, "colour": "accent"},
        "symbol": {"width_mm": 0.95, "colour": "accent"},
        "lead": {"width_mm": 0.95, "colour": "accent"},
        "solid": {"width_mm": 0.95, "colour": "accent", "fill": "accent"},
        "dot": {"fill": "accent", "width_mm": 0.5, "colour": "accent"},
    },
    "partial": {
        "wire": {"width_mm": 0.6, "dash": (1.8, 1.0), "colour": "accent"},
        "rail": {"width_mm": 0.6, "dash": (1.8, 1.0), "colour": "accent"},
        "symbol": {"width_mm": 0.6, "colour": "accent"},
        "lead": {"width_mm": 0.6, "dash": (1.8, 1.0), "colour": "accent"},
    },
    "dead": {"wire": {"width_mm": 0.2}, "rail": {"width_mm": 0.2}, "lead": {"width_mm": 0.2}},
    "zero": {},
    "busy": {
        "symbol": {"width_mm": 0.7, "colour": "accent"},
        "shade": {"width_mm": 0.7, "colour": "accent", "fill": "wash"},
        "word": {"weight": 600, "colour": "accent"},
    },
    "broken": {"symbol": {"dash": (0.6, 0.6)}},
    "chosen": {"wire": {"width_mm": 0.7, "colour": "accent"}, "body": {"fill": "wash"}},
    "faded": {"wire": {"colour": "rule"}},
}


def is_shown(role: str, states: Iterable[str]) -> bool:
    """Whether a group with `role` shows, directly inside a group with `states`: a contact has two forms."""
    return role != ("when-rest" if "moved" in states else "when-moved")


def line_look(name: str, states: Iterable[str] = ()) -> LineLook:
    """The look of a line class inside groups that carry `states`, outermost first. Raises KeyError."""
    look = LINES[name]
    for state in states:
        change = STATES.get(state, {}).get(name)
        if change:
            look = replace(look, **change)  # type: ignore[arg-type]
    return look


def text_look(name: str, states: Iterable[str] = ()) -> TextLook:
    """The look of a text class inside groups that carry `states`. Raises KeyError."""
    look = TEXTS[name]
    for state in states:
        change = STATES.get(state, {}).get(name)
        if change:
            look = replace(look, **change)  # type: ignore[arg-type]
    return look
