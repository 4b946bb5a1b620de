"""Habits from elsewhere: what people write whose hands know another way, and how it is written here.

They are looked for only in a statement that could not be read, at the place where it stopped making sense.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

_TAG = r"-?[0-9]*[A-Z][A-Za-z0-9_]*"
_ITEM = rf"@?{_TAG}(?:\.[A-Za-z0-9+_-]+)*"
_PART = r"(?:no|nc|coil|set|reset|supply|out|poles|primary|instant)[0-9]*"
_STATE = r"in|out|lit|dark|pressed|released|made|clear|tripped|running|stopped|sounding|silent|live|dead|blown"
_SMALL = frozenset(
    "and or is are not in out lit dark pressed released made clear tripped reset running stopped picks drops lights "  # noqa: SIM905
    "stays while when unless until only exactly never always after before nothing everything press release tap hold "
    "turn make trip switch power wait expect fault mend within for from to across star swap open closed stuck".split()
)


@dataclass(frozen=True, slots=True)
class Habit:
    """One habit found in a statement: its three sentences, and where it stands in the text (offsets from 0)."""

    message: str
    why: str
    mend: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of habits.toml; the patterns with their words filled in."""

    starts: tuple[str, ...]
    pattern: re.Pattern[str]
    message: str
    why: str
    mend: str


@cache
def _rows() -> tuple[_Row, ...]:
    table = tomllib.loads(files(__package__).joinpath("habits.toml").read_text(encoding="utf-8"))
    rows = []
    for row in table["habit"]:
        pattern = row["pattern"]
        for name, words in (("{ITEM}", _ITEM), ("{TAG}", _TAG), ("{PART}", _PART), ("{STATE}", _STATE)):
            pattern = pattern.replace(name, words)
        message = row.get("message", r'"\1" is not understood here')
        rows.append(_Row(tuple(row["starts"].split()), re.compile(pattern), message, row["why"], row["mend"]))
    return tuple(rows)


_CAPITAL = re.compile(r"(?<![\w.@-])([A-Z][a-z]+|[A-Z]{2,})(?![\w.])")
_LOOSE_BAR = re.compile(rf"({_ITEM})\s*(\||or\b)\s*({_ITEM})")
_MADE_UP_STEP = re.compile(r"\bpress\s+and\s+([a-z]+)")
_SMALL_TAG = re.compile(r"(?<![\w.@])([a-z]{1,3}[0-9]+)((?:\.[A-Za-z]\w*)?)(?![\w.])")


def habit_at(start: str, plain: str, offset: int) -> Habit | None:
    """The habit at an offset of a statement (its texts in quotes blanked), if one is known."""
    for special in (_two_words, _capitals, _small_tag, _bars, _mixed, _full_stop):
        if (habit := special(start, plain, offset)) is not None:
            return habit
    for row in _rows():
        if "*" not in row.starts and start not in row.starts:
            continue
        for match in row.pattern.finditer(plain):
            if match.start() <= offset <= match.end():
                message, why, mend = (match.expand(one) for one in (row.message, row.why, row.mend))
                return Habit(message, why, mend, match.start(1), match.end(1))
    return None


def _two_words(start: str, plain: str, offset: int) -> Habit | None:
    """`press` alone is a whole step, so the parser stumbles over `and`, not over the misspelt word behind it."""
    match = _MADE_UP_STEP.search(plain) if start == "steps" else None
    if match is None or match.group(1) in _SMALL or offset > match.start(1):
        return None
    return Habit(
        f'"{match.group(1)}" is not understood here', "the step is called press and release, or tap.", "write release.",
        match.start(1), match.end(1),
    )  # fmt: skip


def _capitals(start: str, plain: str, offset: int) -> Habit | None:
    """A word of the language in capitals reads as a tag, and the parser stumbles over what comes behind it."""
    for match in _CAPITAL.finditer(plain):
        small = match.group(1).lower()
        if small in _SMALL and match.start() <= offset and not (start == "rung" and small in ("and", "or", "not")):
            return Habit(
                f'"{match.group(1)}" is not understood here', "words of the language are small; capitals are for tags.",
                f"write {small}.", match.start(1), match.end(1),
            )  # fmt: skip
    return None


def _small_tag(start: str, plain: str, offset: int) -> Habit | None:
    for match in _SMALL_TAG.finditer(plain):
        if match.start() <= offset <= match.end() and not re.fullmatch(_PART, match.group()):
            return Habit(
                f'"{match.group()}" is not understood here',
                "tags are written with capitals, words of the language small.",
                f"write {match.group(1).upper()}{match.group(2)}.", match.start(), match.end(),
            )  # fmt: skip
    return None


def _bars(start: str, plain: str, offset: int) -> Habit | None:
    """`or` and `|` outside of brackets: the program cannot tell how far the branches go."""
    match = _LOOSE_BAR.search(plain) if start == "rung" else None
    inside = plain.count("(", 0, offset) > plain.count(")", 0, offset)
    if match is None or inside or not match.start() <= offset <= match.end(2):
        return None
    return Habit(
        f'"{match.group(2)}" stands outside of brackets', "without them nobody can tell how far the branches go.",
        f"write ( {match.group(1)} | {match.group(3)} ), or whatever belongs to the branches.",
        match.start(2), match.end(2),
    )  # fmt: skip


def _mixed(start: str, plain: str, offset: int) -> Habit | None:
    """`and` and `or` in one condition."""
    match = re.match(r"\s*(and|or)\b", plain[offset:]) if start in ("promise", "assumption") else None
    if match is None or not re.search(rf"\b{'or' if match.group(1) == 'and' else 'and'}\b", plain[:offset]):
        return None
    return Habit(
        '"and" and "or" stand in one condition', "without brackets it could be read in two ways.",
        "put ( and ) round what belongs together: ( S1 is pressed and K1 is in ) or S2 is pressed.",
        offset + match.start(1), offset + match.end(1),
    )  # fmt: skip


def _full_stop(start: str, plain: str, offset: int) -> Habit | None:
    stop = len(plain.rstrip().rstrip('"_ ').rstrip()) - 1
    if start in ("rung", "path") or stop < 0 or plain[stop] != "." or offset > stop + 1 or offset < stop - 12:
        return None
    return Habit("a full stop stands at the end", "a statement ends with its line.", "take it away.", stop, stop + 1)
