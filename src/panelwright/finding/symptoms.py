"""Symptoms in the words of the trade, turned into what was seen in which situation."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from ..circuit import Device, Is
from .book import Book
from .evidence import AS_DRAWN, NOT_AS_DRAWN, Differs, Evidence, Leads, Seen, Unclear, shows
from .naming import devices_called, phrases, states_of, works
from .situations import DEAD, REST, Situation, UnclearSituation, situation_called

STATE_WORDS = {
    "in": "in", "pulled in": "in", "energised": "in", "energized": "in", "picked up": "in", "out": "out",
    "dropped out": "out", "de-energised": "out", "de-energized": "out", "lit": "lit", "dark": "dark", "dim": "dim",
    "running": "running", "stopped": "stopped", "running backwards": "running reverse",
    "running in reverse": "running reverse", "running reverse": "running reverse", "running forward": "running forward",
    "running forwards": "running forward", "partly on": "partly on", "hardly sounding": "hardly sounding",
    "between in and out": "between in and out", "moving": "moving", "humming": "hums", "hums": "hums",
    "buzzing": "buzzing", "chattering": "buzzing", "quiet": "not buzzing", "sounding": "sounding", "silent": "silent",
    "on": "on", "off": "off", "blown": "blown", "whole": "whole", "tripped": "tripped", "reset": "reset",
}  # fmt: skip
PLAIN = re.compile(
    r"(?:the )?(?P<thing>.+?) (?:is|are|stays|was) (?P<word>"
    + "|".join(sorted(STATE_WORDS, key=len, reverse=True))
    + r")"
    r"(?: (?P<link>when|while|with|after|at|@|if|in|,) ?(?P<at>.+))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Understood:
    """A symptom as it was understood: `evidence`, and `said` in plain words for the user to confirm."""

    evidence: tuple[Evidence, ...]
    said: str


def read_symptom(book: Book, text: str) -> Understood:
    """What a sentence says was seen. Raises Unclear with what would be understood."""
    plain, sometimes = _without_sometimes(" ".join(text.lower().rstrip(".!?").split()))
    found = (
        tuple(_special(book, text, plain))
        or tuple(_plain(book, text, plain, sometimes))
        or tuple(_phrase(book, text, plain, sometimes))
    )
    if not found:
        parts = re.split(r",? (?:but|and|yet) ", plain)
        if len(parts) > 1:
            each = [read_symptom(book, f"sometimes {part}" if sometimes else part) for part in parts]
            return Understood(tuple(p for one in each for p in one.evidence), "; ".join(one.said for one in each))
        raise Unclear(_help(book, plain))
    return Understood(found, "; ".join(told(piece) for piece in found))


WHOLE_WORDS = ("partly on", "hardly sounding", "between in and out", "not buzzing")


def state_called(word: str) -> tuple[str, str]:
    """State and value of a trial from one word ("running reverse")."""
    if word == "chattering":
        return "buzzing", ""
    if word in WHOLE_WORDS:
        return word, ""
    state, _, value = word.partition(" ")
    return state, value


def told(piece: Evidence) -> str:
    """One piece in plain words."""
    if isinstance(piece, Seen):
        state = f"{piece.state.state} {piece.state.value}".strip()
        often = " at times" if piece.sometimes else ""
        return f"{piece.state.subject} is {state}{often} ({piece.situation.name})"
    return piece.words


def _without_sometimes(text: str) -> tuple[str, bool]:
    for word in sorted(phrases()["words"]["sometimes"], key=len, reverse=True):
        if re.search(rf"\b{word}\b", text):
            return " ".join(re.sub(rf"\b{word}\b,?", "", text).split()), True
    return text, False


LEADS = re.compile(
    r"(?:all |every )?(?:the )?(?:leads?|wires?) (?:on|at|of) (?P<thing>.+?) (?:is|are) "
    r"(?P<wrong>not )?(?:as drawn|right|ok)"
    r"|(?:a|one) (?:lead|wire) (?:on|at|of) (?P<odd>.+?) is (?:wrong|loose|off|not as drawn)"
)
NOT_ALL = re.compile(r"not all of (?P<states>.+?) @ ?(?P<at>.+)")


def _special(book: Book, text: str, plain: str) -> Iterator[Evidence]:
    """ "leads on K1 are as drawn", "not all of K1 is in and H1 is lit @ running"."""
    match = LEADS.fullmatch(plain)
    if match:
        right = not (match["wrong"] or match["odd"])
        for device in devices_called(book.circuit, match["thing"] or match["odd"]):
            yield Leads(device.tag, right, DEAD, f"leads on {device.tag} are {AS_DRAWN if right else NOT_AS_DRAWN}")
        return
    match = NOT_ALL.fullmatch(plain)
    if match:
        situation = situation_called(book.network, match["at"])
        each = [_plain(book, text, f"{part} @ {situation.name}", False) for part in match["states"].split(" and ")]
        states = tuple(piece.state for pieces in each for piece in pieces if isinstance(piece, Seen))
        if states:
            yield Differs(states, situation, text)


def _plain(book: Book, text: str, plain: str, sometimes: bool) -> Iterator[Evidence]:
    """ "K1 is in while S2 is held"."""
    for separator in ("@", ",", ""):
        head, _, tail = plain.partition(separator) if separator else (plain, "", "")
        match = PLAIN.fullmatch(head.strip())
        if match and (not separator or tail):
            at = tail or match["at"] or ""
            devices = devices_called(book.circuit, match["thing"])
            if not devices or not at:
                continue
            try:
                situation = situation_called(book.network, at)
            except UnclearSituation:
                continue
            word = STATE_WORDS[match["word"].lower()]
            for device in devices:
                yield Seen(Is(device.tag, *state_called(word)), situation, text, sometimes)
            return


def _phrase(book: Book, text: str, plain: str, sometimes: bool) -> Iterator[Evidence]:
    for phrase in phrases()["phrase"]:
        for pattern in phrase["like"]:
            match = re.fullmatch(pattern, plain)
            if match is None:
                continue
            named = {key: value for key, value in match.groupdict().items() if value}
            meant = _meant(book, phrase, named)
            if meant is not None:
                yield from _pieces(book, phrase, meant, named, text, sometimes)
                return


def _meant(book: Book, phrase: dict[str, object], named: dict[str, str]) -> dict[str, tuple[Device, ...]] | None:
    """Devices for every name of the phrase; None when one of them is unknown."""
    found: dict[str, tuple[Device, ...]] = {}
    for key, words in named.items():
        if key == "when":
            continue
        devices = devices_called(book.circuit, words)
        if not devices:
            return None
        found[key] = devices
    for row in phrase["seen"]:  # type: ignore[attr-defined]
        if row["of"] not in found:
            fallback = "fuse" if row["of"] == "fuse" else "motor"
            devices = devices_called(book.circuit, fallback)
            if not devices:
                return None
            found[row["of"]] = devices
    return found


def _pieces(book: Book, phrase: dict[str, object], meant: dict[str, tuple[Device, ...]], named: dict[str, str],
            text: str, sometimes: bool) -> Iterator[Evidence]:  # fmt: skip
    button = meant.get("button", (None,))[0]
    for row in phrase["seen"]:  # type: ignore[attr-defined]
        for device in meant[row["of"]]:
            if not works(device) and row["state"] in ("ON", "OFF", "buzzing", "dim"):
                continue
            on, off = states_of(device)
            hums = bool(device.motors) and row["state"] == "buzzing"  # a motor has no contacts to chatter
            state = "hums" if hums else {"ON": on, "OFF": off}.get(row["state"], row["state"])
            situation = _situation(book, row["at"], device, button, named.get("when", ""))
            yield Seen(Is(device.tag, state, row.get("value", "")), situation, text, sometimes)


def _situation(book: Book, at: str, device: Device, button: Device | None, when: str) -> Situation:
    if at == "REST":
        return REST
    if at == "BUTTON" and button is not None:
        return _button_held(book, button)
    if at == "RESTS":
        return next((s for s in book.situations if not _works(book, s, device)), REST)
    if when and at == "WORKS":
        return _when(book, when, device)
    held = _held(book, device, button)
    if at in ("HELD", "BUTTON"):
        return held
    if at == "LETGO":
        return _let_go(book, held)
    if at in ("STOP", "AFTERSTOP"):
        stop = _stop(book, device, button)
        return _let_go(book, stop) if at == "AFTERSTOP" else stop
    return _working(book, device)


def _works(book: Book, situation: Situation, device: Device) -> bool:
    return shows(book.sound(situation), Is(device.tag, states_of(device)[0]))


def _working(book: Book, device: Device) -> Situation:
    """Where the sound panel has it working, by the shortest way."""
    ways = sorted(book.situations, key=lambda s: len(s.steps))
    return next((s for s in ways if _works(book, s, device)), book.situations[-1])


def _held(book: Book, device: Device, button: Device | None) -> Situation:
    if button is not None and _is_start(button):
        return _button_held(book, button)
    ways = [s for s in book.situations if s.steps and s.steps[-1].verb == "press" and _works(book, s, device)]
    return min(ways, key=lambda s: len(s.steps), default=_working(book, device))


def _is_start(button: Device) -> bool:
    return any(contact.form == "no" for contact in button.contacts)


def _button_held(book: Book, button: Device) -> Situation:
    """The first usual situation that ends with this button pressed, from running when it stops something."""
    return situation_called(book.network, f"{button.tag} {'held' if button.mechanism.sort == 'push' else 'pressed'}")


def _let_go(book: Book, held: Situation) -> Situation:
    *before, last = held.steps or (None,)
    if last is None or last.verb != "press":
        return held
    name = f"{' '.join(last.targets)} pressed and let go"
    return Situation(held.name.replace("held", "pressed and let go") if "held" in held.name else name,
                     (*before, type(last)("tap", last.targets)))  # fmt: skip


def _stop(book: Book, device: Device, button: Device | None) -> Situation:
    """The first way of stopping it that works in the sound panel."""
    free = [s for s in book.situations if not any(step.verb == "press" for step in s.steps) and _works(book, s, device)]
    working = min(free, key=lambda s: len(s.steps), default=_working(book, device))
    ways = [s for s in book.situations if len(s.steps) > len(working.steps) and not _works(book, s, device)
            and s.steps[: len(working.steps)] == working.steps]  # fmt: skip
    if button is not None:
        ways = [s for s in ways if button.tag in s.steps[-1].targets] or ways
    pressing = [s for s in ways if s.steps[-1].verb in ("press", "clear", "turn")]
    return next(iter(pressing or ways), REST)


def _when(book: Book, when: str, device: Device) -> Situation:
    """ "in AUTO", "when S2 is pressed", "when the start button is pressed"."""
    words = re.sub(r"^(?:i |you |we )?(?:press|push|hold)\s+", "", when)
    words = re.sub(r"\s+(?:is|are)\s+", " ", words)
    match = re.fullmatch(
        r"(?P<thing>.+?)(?: (?P<word>pressed|pushed|held|made|closed|tripped|released|let go))?", words
    )
    devices = devices_called(book.circuit, match["thing"]) if match else ()
    if devices and match:
        word = {"pushed": "held", None: "held", "pressed": "held"}.get(match["word"], match["word"])
        sort = devices[0].mechanism.sort
        word = (
            {"field": "made", "trip": "tripped", "latched push": "pressed"}.get(sort, word) if word == "held" else word
        )
        return situation_called(book.network, f"{devices[0].tag} {word}")
    position = [s for s in book.situations if any(step.value.lower() == words for step in s.steps)]
    found = next((s for s in position if _works(book, s, device)), None) or next(iter(position), None)
    return found or situation_called(book.network, when)


def _help(book: Book, plain: str) -> str:
    known = [phrase["says"] for phrase in phrases()["phrase"]]
    words = re.findall(r"[a-z]+\d+|\w+", plain)
    tags = [tag for tag in book.circuit.by_tag if tag.lower() in words]
    unknown = [w for w in words if re.fullmatch(r"[a-z]+\d+", w) and w not in {t.lower() for t in book.circuit.by_tag}]
    if unknown:
        near = get_close_matches(unknown[0].upper(), list(book.circuit.by_tag), 1, 0.4)
        return f"there is no device called {unknown[0].upper()} here" + (f"; did you mean {near[0]}?" if near else "")
    hint = f"{tags[0] if tags else 'K1'} is in @ S2 held"
    return f"'{plain}' is not understood. Say it like one of: {'; '.join(known)}; or plainly: {hint}"
