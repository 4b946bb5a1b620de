"""Which device is meant by a tag, its text, its colour, or a word of the trade."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any

from ..behaviour.state import shown_loads
from ..circuit import Circuit, Device, Fuse

COLOURS = ("red", "green", "yellow", "amber", "blue", "white", "clear")


@cache
def phrases() -> dict[str, Any]:
    """`phrases.toml`."""
    found: dict[str, Any] = tomllib.loads(files(__package__).joinpath("phrases.toml").read_text(encoding="utf-8"))
    return found


def devices_called(circuit: Circuit, words: str) -> tuple[Device, ...]:
    """The devices that the words mean, () when none fits: by tag, by text, by colour and kind, by kind."""
    said = re.sub(r"^(?:the|its|my|all|both|whole)\s+", "", words.strip().lower())
    pieces = re.split(r"\s+and\s+|,\s*", said)
    if len(pieces) > 1 and all(by_tag(circuit, piece) for piece in pieces):
        return tuple(device for piece in pieces for device in by_tag(circuit, piece))
    for look in (by_tag, by_colour, by_kind, by_text):
        found = look(circuit, said)
        if found:
            return found
    last = said.split()[-1:]  # "relay K1", "contactor 1M"
    return by_tag(circuit, last[0]) if last else ()


def by_tag(circuit: Circuit, said: str) -> tuple[Device, ...]:
    """One device by its tag, whatever the case; a part of it ("K1 coil") names it too."""
    first = re.split(r"[ .]", said)[0]
    return tuple(d for d in circuit.devices if d.tag.lower() in (said, first))


def by_text(circuit: Circuit, said: str) -> tuple[Device, ...]:
    """Devices whose text has all the words, the shortest text first."""
    words = {_stem(word) for word in re.findall(r"[a-z0-9]+", said)} - {"the", "lamp", "light", "button", "contact"}
    found = [
        d for d in circuit.devices if words and words <= {_stem(w) for w in re.findall(r"[a-z0-9]+", d.text.lower())}
    ]
    moving = [d for d in found if d.motors] or [d for d in found if any(load.drives for load in d.loads)] or found
    return tuple(sorted(moving, key=lambda d: len(d.text))[:1])


def _stem(word: str) -> str:
    return re.sub(r"(?:ing|ed|s)$", "", word)


def by_colour(circuit: Circuit, said: str) -> tuple[Device, ...]:
    """ "the green light", "red button"."""
    colour = next((colour for colour in COLOURS if colour in said.split()), "")
    if not colour:
        return ()
    wants_button = "button" in said or "pb" in said.split()
    fits = [d for d in circuit.devices if d.colour == colour and bool(d.contacts) == wants_button]
    return tuple(fits[:1])


def by_kind(circuit: Circuit, said: str) -> tuple[Device, ...]:
    """Devices of the kind that a trade word names; the first of them unless the word is plural."""
    words = phrases()["words"]
    many = said.endswith("s") or said in ("it",)
    for kind, test in KINDS.items():
        if said in words[kind]:
            found = [device for device in circuit.devices if test(device)]
            if kind == "motor" and not found:
                found = [device for device in circuit.devices if KINDS["magnet"](device)][:1]
            if found:
                return tuple(found if many and kind == "lamp" else found[:1])
    return ()


def _has(device: Device, *sorts: str) -> bool:
    return any(load.sort in sorts for load in shown_loads(device)) and not device.sources


KINDS: dict[str, Callable[[Device], bool]] = {
    "motor": lambda d: bool(d.motors),
    "magnet": lambda d: any(load.drives for load in d.loads) and bool(d.contacts),
    "lamp": lambda d: _has(d, "lamp"),
    "sounder": lambda d: _has(d, "sounder"),
    "valve": lambda d: _has(d, "solenoid"),
    "fuse": lambda d: any(isinstance(part, Fuse) for part in d.parts),
    "estop": lambda d: d.mechanism.sort == "latched push",
    "start": lambda d: d.mechanism.sort == "push" and any(c.form == "no" for c in d.contacts)
    and ("start" in d.text.lower() or d.colour == "green"),
    "stop": lambda d: d.mechanism.sort in ("push", "latched push") and any(c.form == "nc" for c in d.contacts)
    and ("stop" in d.text.lower() or d.colour == "red"),
    "overload": lambda d: d.mechanism.sort == "trip",
}  # fmt: skip


def states_of(device: Device) -> tuple[str, str]:
    """The words for "works" and "rests" of a device."""
    if device.motors:
        return "running", "stopped"
    loads = shown_loads(device)
    sort = loads[0].sort if loads else ""
    if any(load.drives for load in device.loads) and device.contacts:
        return "in", "out"
    return {"lamp": ("lit", "dark"), "sounder": ("sounding", "silent")}.get(sort, ("on", "off"))


def works(device: Device) -> bool:
    """Whether it is something that can be seen to work: a motor, a load, a relay."""
    return bool(device.motors) or (bool(device.loads) and not device.sources)
