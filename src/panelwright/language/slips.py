"""What is said about a statement that cannot be read: where, what could have come there, and how it is written."""

from __future__ import annotations

import re
from collections.abc import Collection
from difflib import get_close_matches

from panelwright.circuit import Problem, Span

from .habits import habit_at
from .lines import outside_quotes, span_in

WHAT = {
    "rung": "a rung", "path": "a power path", "promise": "a promise", "assumption": "an assumption",
    "steps": "a trial step",
}  # fmt: skip
_EXAMPLES = {  # the first whose word stands in the statement, else the last
    "rung": (("", "S1.nc  ( S2.no | K1.no )  K1.coil"),),
    "path": (("swap", "Q2.poles  swap L1 L3  @M"), ("", "Q1.poles  F2.poles  M1")),
    "promise": (
        ("stays", "K1 stays in until S1 is pressed"), ("lit", "H1 is lit exactly while K1 is in"),
        ("nothing", "nothing starts when power returns"), ("never", "K1 and K2 are never in together"),
        ("waive", 'waive no restart because "it has to pump again after a dip"'),
        ("", "K1 picks up when S2 is pressed unless S1 is pressed"),
    ),
    "assumption": (("makes", "B1 makes before B2 and clears after B2"), ("", "S2 is always let go")),
    "steps": (
        ("fault", "fault K1.coil open"), ("mend", "mend K1"), ("across", "expect 24 V +- 1 V across K1.coil"),
        ("stays", "expect K1 stays in for 5 s"), ("expect", "expect K1 in, H1 lit"), ("turn", "turn SA1 to HAND"),
        ("lift", "lift K1.A1"), ("land", "land K1.A1"), ("bridge", "bridge @3 and @4"), ("renew", "renew F1"),
        ("push", "push in K1"), ("wait", "wait 5 s"), ("hold", "hold S2 for 3 s"), ("power", "power off for 2 s"),
        ("", "press S2; expect K1 in, H1 lit"),
    ),
}  # fmt: skip

# What each terminal of the grammar is called, and the words of it that a slip may be near to. Likeliest first.
_GROUPS: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    ("something to do ({})", ("PRESS", "ACT", "HOLD", "TURN", "SWITCH", "PUSH", "WAIT"),
     ("press", "release", "press and release", "make", "clear", "trip", "reset", "hold", "turn", "switch", "push",
      "wait", "renew", "lift", "land", "bridge")),
    ("a state ({})", ("STATE",), ("in", "out", "lit", "dark", "pressed", "released", "made", "clear", "tripped",
                                  "running", "stopped", "sounding", "silent", "moving", "live", "dead", "blown")),
    ("a verb ({})", ("VERB",), ("picks up", "drops out", "lights", "goes dark", "starts", "stops", "makes", "clears",
                                "trips", "sounds", "falls silent", "comes on", "goes off")),
    ("what is broken ({})", ("FAULT_WORD", "OPEN"), (
        "open", "stuck open", "stuck closed", "stuck in", "stuck out", "shorted", "reversed", "lost", "blown",
        "lifted")),
    ("{}", ("STANDING",), ("race", "buzzing", "short circuit", "restart", "full volts")),
    ("{}", ("EVENT_WORD",), ("race", "buzzing", "short circuit")),
    ("{}", ("POWER_EVENT",), ("returns", "fails")),
    ("{}", ("ON_OFF",), ("on", "off")),
)  # fmt: skip
_WORDS = {
    "STAYS": "stays", "NOT": "not", "NO": "no", "EVERYTHING": "everything", "AT_LEAST": "at least",
    "AT_MOST": "at most", "IN_ORDER": "in order", "PLUS_MINUS": "+-", "_BE": "is", "_AND": "and", "_FOR": "for",
    "_TURNS": "turns to",
    "_IN_PLACE_OF": "in place of",
}  # fmt: skip
_SIGNS = {
    "LPAR": 'a bracket "("', "RPAR": 'the bracket ")"', "_BAR": '"|" and another branch', "COMMA": "a comma",
    "COLON": "a colon", "AMPERSAND": '"&" and another step', "_SEMI": '";"', "RAIL": "a rail",
    "QUANTITY": "a quantity with its unit", "NUMBER": "a number", "POSITION_WORD": "a position",
    "STRING": 'a text in "quotes"', "$END": "the end of the line",
}  # fmt: skip
_NAMES = {"rung": "a part of a device such as S1.nc", "path": "a device such as Q1.poles"}
_LOGIC = re.compile(r"(?<![\w.@])(?:NOT|AND|OR)(?![\w.])")  # would be read as tags
_SHOWN_WORDS = 5
_SHOWN = 7


def not_read(
    offset: int, can_come: Collection[str], plain_words: dict[str, str], start: str, text: str, line: int
) -> Problem:
    """The report of a statement that stops making sense at an offset.

    `can_come`: terminals of the grammar that could have come; `plain_words`: words of those that are one plain word;
    `start`: start symbol; `line`: where the statement starts in the file.
    """
    habit = habit_at(start, outside_quotes(text), offset)
    if habit is not None:
        return Problem("PW020", habit.message, habit.why, habit.mend, span_in(text, line, habit.start, habit.end))
    words = [word for _, names, words in _GROUPS if set(names) & set(can_come) for word in words]
    words += [word for name in can_come if (word := _WORDS.get(name) or plain_words.get(name))]
    offered = _listed(can_come, plain_words, start)
    around = f"{text[:offset].rpartition(';')[2]}{text[offset:].partition(';')[0]}"
    example = next(shown for word, shown in _EXAMPLES[start] if word in around)
    if not text[offset:].strip():
        end = len(text.rstrip())
        return Problem(
            "PW023", f"{WHAT[start]} ends too early", f"after this comes {offered}.",
            f"write it like this: {example}", span_in(text, line, end, end + 1),
        )  # fmt: skip
    begin, end = _word_at(text, offset)
    typed = text[begin:end]
    near = get_close_matches(typed.lower(), words, 1, 0.6)
    return Problem(
        "PW020", f'"{typed}" is not understood here', f"{WHAT[start]} can go on here with {offered}.",
        f"write {near[0]}." if near else f"write it like this: {example}", span_in(text, line, begin, end),
    )  # fmt: skip


def _word_at(text: str, offset: int) -> tuple[int, int]:
    """Where the word at an offset begins and ends; what parts words does not belong to it."""
    while text[offset].isspace():
        offset += 1
    if text[offset] in '();,|&"':
        return offset, offset + 1
    begin, end = offset, offset
    while begin > 0 and text[begin - 1] not in ' \n();,|&"':
        begin -= 1
    while end < len(text) and text[end] not in ' \n();,|&"':
        end += 1
    return begin, end


def _listed(can_come: Collection[str], plain_words: dict[str, str], start: str) -> str:
    """What could have come, in words, the likeliest first, at most some seven kinds of things."""
    left = set(can_come)
    offered: list[str] = []
    for form, names, words in _GROUPS:
        if left & set(names):
            left -= {*names, "RENEW", "LIFT", "LAND", "BRIDGE"} if "PRESS" in names else set(names)
            shown = ", ".join(words[:_SHOWN_WORDS]) + (" ..." if len(words) > _SHOWN_WORDS else "")
            offered.append(form.format(shown))
    plain = {word for name in left if (word := _WORDS.get(name) or plain_words.get(name))} - {"power"}
    offered += [f'"{word}"' for word in sorted(plain)]
    if left & {"TAG", "TAG_PART", "POINT"}:
        offered.append(_NAMES.get(start, "a name such as K1"))
        if "POINT" in left and start in _NAMES:
            offered.append("a point such as @4")
    offered += [words for name, words in _SIGNS.items() if name in left]
    offered = list(dict.fromkeys(offered))[:_SHOWN] or ["something else"]
    return offered[0] if len(offered) == 1 else f"{', '.join(offered[:-1])} or {offered[-1]}"


def misshapen(text: str, line: int) -> Problem | None:
    """What is wrong with the shape of a rung: words of logic in capitals, brackets, empty branches."""
    plain = outside_quotes(text)
    word = _LOGIC.search(plain)
    habit = habit_at("rung", plain, word.start()) if word else None
    if habit is not None:
        return Problem("PW020", habit.message, habit.why, habit.mend, span_in(text, line, habit.start, habit.end))
    opened: list[int] = []
    for found in re.finditer(r"[()]", plain):
        if found.group() == "(":
            opened.append(found.start())
        elif opened:
            opened.pop()
        else:
            return Problem(
                "PW022", "the bracket ) was never opened",
                "what stands side by side has to be in one pair of brackets.",
                "put ( before the first branch, or take ) away.", _at(text, line, found.start()),
            )  # fmt: skip
    if opened:
        where = _at(text, line, opened[-1])
        return Problem(
            "PW021", f"the bracket ( opened at column {where.column} is not closed",
            "the program cannot tell where the branches side by side come together again.",
            "put ) after the last branch; a further line of the same rung has to begin with | or ).", where,
        )  # fmt: skip
    doubled = re.search(r"\|\s*\|", plain)
    if doubled and "\n" not in doubled.group():
        return Problem(
            "PW024", "a branch is empty",
            "between two | stands a branch; an empty one would be a plain wire round the others.",
            "take one | away, or write what stands in the branch.", _at(text, line, doubled.start()),
        )  # fmt: skip
    empty = re.search(r"\(\s*(?=[|)])|\|\s*(?=[|)])", plain)
    if empty:
        return Problem(
            "PW024", "a branch is empty", "an empty branch would be a plain wire round the others.",
            "write what stands in the branch, or take one | away.", _at(text, line, empty.start()),
        )  # fmt: skip
    return None


def _at(text: str, line: int, offset: int) -> Span:
    return span_in(text, line, offset, offset + 1)
