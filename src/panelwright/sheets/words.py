"""Lines of text of limited width."""

from __future__ import annotations

from .fonts import text_width_mm
from .style import TEXTS


def width_mm(text: str, look: str) -> float:
    """Width of a text in the look of its class."""
    return text_width_mm(text, TEXTS[look].weight, TEXTS[look].cap_mm)


def wrapped(words: str, longest_mm: float, look: str) -> list[str]:
    """Words broken into lines of at most `longest_mm` where a blank allows it."""
    lines: list[str] = []
    for word in words.split():
        if lines and width_mm(f"{lines[-1]} {word}", look) <= longest_mm:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines
