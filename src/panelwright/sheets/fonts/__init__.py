"""The one face of all drawings, Barlow Semi Condensed (SIL Open Font License, `OFL.txt`), in three weights.

The page and stand-alone drawings use the woff2 files, print the ttf files; both hold the same outlines.
"""

from __future__ import annotations

import json
from base64 import b64encode
from functools import cache, lru_cache
from pathlib import Path

FACE = "Barlow Semi Condensed"
FILES = {400: "BarlowSemiCondensed-Regular", 500: "BarlowSemiCondensed-Medium", 600: "BarlowSemiCondensed-SemiBold"}
CAPITAL_HEIGHT_EM = 0.7  # sCapHeight 700 of 1000 in all three files
DESCENT_EM = 0.17  # the deepest letter used (g, j, p, q, y, brackets reach a little less)

_FOLDER = Path(__file__).parent


def font_file(weight: int, suffix: str = "ttf") -> Path:
    """Path of the file of one weight (400, 500, 600), "ttf" or "woff2"."""
    return _FOLDER / f"{FILES[weight]}.{suffix}"


@cache
def advances_em(weight: int) -> dict[str, float]:
    """Advance width of every character of one weight, in em; no kerning, as all writers switch it off."""
    table = json.loads((_FOLDER / "widths.json").read_text(encoding="utf-8"))
    return {char: width / 1000 for char, width in table["weights"][str(weight)].items()}


@lru_cache(maxsize=50_000)
def text_width_mm(text: str, weight: int, cap_mm: float) -> float:
    """Width of a line of text whose capitals are `cap_mm` high; a character that the face lacks counts as "0"."""
    advances = advances_em(weight)
    default = advances["0"]
    return sum(advances.get(char, default) for char in text) * cap_mm / CAPITAL_HEIGHT_EM


def missing_characters(text: str) -> set[str]:
    """Characters that the face cannot print."""
    return {char for char in text if char not in advances_em(400)}


_INSTEAD = {"→": "->", "←": "<-", "↔": "<->", "⏚": "earth", "⎓": "dc", "\u2212": "-", "\u2011": "-", "\t": " "}


def printable(text: str) -> str:
    """The text with what the face lacks put in other words, or "?" where there are none; for print."""
    if not missing_characters(text):
        return text
    known = advances_em(400)
    return "".join(char if char in known else _INSTEAD.get(char, "?") for char in text)


def font_face_rules(prefix: str | None = None) -> str:
    """The `@font-face` rules, pointing to `prefix/NAME.woff2`, or with the files inside when `prefix` is None."""
    rules = []
    for weight, name in FILES.items():
        if prefix is None:
            packed = b64encode(font_file(weight, "woff2").read_bytes()).decode("ascii")
            place = f"data:font/woff2;base64,{packed}"
        else:
            place = f"{prefix}/{name}.woff2"
        rules.append(
            f'@font-face{{font-family:"{FACE}";font-weight:{weight};font-style:normal;'
            f'src:url("{place}") format("woff2")}}'
        )
    return "\n".join(rules)
