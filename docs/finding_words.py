"""The page of what the search for a fault understands and offers, generated from its tables."""

from __future__ import annotations

from panelwright.finding.changes import changes
from panelwright.finding.efforts import effort_of, hazard_factors, kinds_of_tests
from panelwright.finding.meters import meters
from panelwright.finding.naming import phrases
from panelwright.finding.symptoms import STATE_WORDS

HAZARDS = ("nothing live, nothing moves", "before live parts", "something may move, or what protects is bypassed")
KINDS = {
    "motor": "the motor, else the relay",
    "magnet": "a relay or contactor",
    "lamp": "a lamp",
    "sounder": "a sounder",
    "valve": "a solenoid",
    "fuse": "a fuse or breaker",
    "start": "the start button",
    "stop": "the stop button",
    "estop": "the emergency stop",
    "overload": "the overload",
}
SITUATIONS = (
    "at rest", "running", "power off", "S2 held", "S2 pressed and let go", "B1 made", "B1 clear", "F2 tripped",
    "SA1 at AUTO", "K1 pushed in", "F1 renewed", "S2 held, leads off K1.13", "S2 held, test lead K1.9 to K1.5",
    "running, F2 tripped", "press S2; wait 2 s",
)  # fmt: skip


def finding_words_page() -> str:
    """The text of docs/look-up/finding-words.md."""
    words = phrases()["words"]
    lines = ["# What the search for a fault understands", "", "Written by `python3 dev.py docs`; do not edit.", ""]
    lines += ["## What is seen", "", "With any tag, text, colour or word for a device in place of K1, S2, H1, F1, M1:"]
    lines += ["", *(f"- *{phrase['says']}*" for phrase in phrases()["phrase"])]
    lines += ["- *leads on K1 are as drawn*, *leads on K1 are not as drawn*", ""]
    lines += ["Plainly: *K1 is in @ S2 held*, with one of these after *is*:", "", ", ".join(sorted(STATE_WORDS)) + "."]
    lines += ["", f"What is not seen every time: {', '.join(words['sometimes'])}.", ""]
    lines += ["## Words for devices", "", "| word | means |", "| --- | --- |"]
    lines += [f"| {', '.join(words[kind])} | {means} |" for kind, means in KINDS.items()]
    lines += ["", "## Situations", "", ", ".join(f"*{said}*" for said in SITUATIONS) + ". Several with commas."]
    lines += ["", "## Readings", "", "*K1.13 to G1.-: 0 V @ S2 held*: two places (terminals, named points, rails,"]
    lines += [
        "*earth*), the value with V, mV, A, mA, ohm, kohm, Mohm, or *open*, *beeps*, *silent*, *dark*; after @ the"
    ]
    lines += [f"situation; after *with* the meter: {', '.join(meters())}.", "", "## What changed", ""]
    lines += ["| said | makes likelier |", "| --- | --- |"]
    lines += [f"| *{row['says']}* | {_likelier(row)} |" for row in changes()]
    lines += ["", "## Tests that are offered", "", "Figures: common practice, no source.", ""]
    lines += ["| test | minutes | danger | times |", "| --- | --- | --- | --- |"]
    for kind in kinds_of_tests():
        effort = effort_of(kind)
        danger = f"{HAZARDS[effort.hazard]}{f': {effort.danger}' if effort.danger else ''}"
        lines.append(f"| {kind} | {effort.minutes:g} | {danger} | {hazard_factors()[effort.hazard]:g} |")
    return "\n".join(lines) + "\n"


def _likelier(row: dict[str, object]) -> str:
    kinds = row.get("kinds", {})
    assert isinstance(kinds, dict)
    found = [f"{kind} {times:g} times" for kind, times in kinds.items()]
    if "at" in row:
        found.append(f"every cause at that device {row['at']:g} times")
    if row.get("wired"):
        found.append("wiring mistakes count as in a new panel")
    return ", ".join(found) or "nothing"
