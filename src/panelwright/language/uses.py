"""Which part of a device an item of a rung means."""

from __future__ import annotations

import re
from dataclasses import replace

from panelwright.circuit import Contact, Device, Load, Problem, Through, Use, two_terminal_parts

from .names import Names, nearest

_FORM = re.compile(r"(?:(instant|timed)\.)?(no|nc)([0-9a-z_]*)$")
_PAIR = re.compile(r"([A-Za-z0-9+]+)-([A-Za-z0-9+-]+)$")


def resolved(use: Use, names: Names) -> Use | Through | None:
    """The use with its part looked up; None when it cannot be told (a problem is noted)."""
    device = names.device(use.device, use.span)
    if device is None:
        return None
    names.written.add((use.device, use.part))
    found = _found(use, device)
    if found is None and names.is_known(device):
        names.problems.append(_no_part(use, device))
    return found


def _found(use: Use, device: Device) -> Use | Through | None:
    if not use.part:
        return _lone(use, device)
    if device.kind == "terminal strip" and use.part in device.terminals:
        return Through(device.tag, use.part, use.span)
    form = _FORM.match(use.part)
    if form:
        return _free_contact(use, device, *form.groups())
    if device.mechanism.positions and set(use.part.split("+")) <= set(device.mechanism.positions):
        return replace(use, form="at", positions=frozenset(use.part.split("+")))
    pair = _PAIR.match(use.part)
    if pair and (found := _pinned(use, device, pair.group(1), pair.group(2))):
        return found
    return _named_part(use, device)


def _lone(use: Use, device: Device) -> Use | None:
    if device.grows:
        return None
    parts = [p for p in two_terminal_parts(device) if not isinstance(p, Contact) or p.main]
    contacts = [p for p in device.contacts if not p.main]
    if len(parts) == 1 and not contacts and not device.motors:
        return replace(use, name=parts[0].name, terminals=(parts[0].a, parts[0].b))
    single = [m for m in device.motors if len(m.leads) == 2]
    if len(single) == 1 and not parts and not contacts:
        return replace(use, name=single[0].name, terminals=(single[0].leads[0], single[0].leads[1]))
    return None


def _free_contact(use: Use, device: Device, said: str | None, form: str, label: str) -> Use | None:
    timed = any(c.timing == "timed" for c in device.contacts)
    timing = said or ("timed" if timed else "plain")
    if not any(not c.main for c in device.contacts) and device.mechanism.sort == "fixed":
        return None
    if device.mechanism.positions:  # a selector has no rest: its contacts are called by position
        return None
    return replace(use, form=form, label=label, timing=timing if timed else "plain")


def _pinned(use: Use, device: Device, first: str, second: str) -> Use | None:
    for part in two_terminal_parts(device):
        if {part.a, part.b} == {first, second}:
            form = part.form if isinstance(part, Contact) else ""
            timing = part.timing if isinstance(part, Contact) else "plain"
            return replace(use, form=form, timing=timing, name=part.name, terminals=(first, second))
    for motor in device.motors:
        if first in motor.leads and second in motor.leads:
            return replace(use, name=motor.name, terminals=(first, second))
    return None


def _named_part(use: Use, device: Device) -> Use | None:
    pole = re.match(r"pole(\d+)$", use.part)
    poles = poles_of(device)
    if pole and int(pole.group(1)) <= len(poles):
        part = poles[int(pole.group(1)) - 1]
        return replace(use, name=part.name, terminals=(part.a, part.b))
    for other in two_terminal_parts(device):
        if other.name == use.part and not (isinstance(other, Contact) and other.form == "at"):
            form = other.form if isinstance(other, Contact) else ""
            return replace(use, form=form, name=other.name, terminals=(other.a, other.b))
    return None


def poles_of(device: Device) -> list[Contact | Load]:
    """The parts that carry the wires of a power path side by side: main contacts, fuses, heaters, resistors."""
    return [
        part  # type: ignore[misc]
        for part in two_terminal_parts(device)
        if (isinstance(part, Contact) and part.main)
        or not isinstance(part, Contact | Load)
        or (isinstance(part, Load) and part.sort == "resistor")
    ]


def parts_to_say(device: Device) -> list[str]:
    """What may be written after the dot, for messages."""
    words: list[str] = []
    plain = [c for c in device.contacts if not c.main]
    if device.mechanism.positions:
        words += list(device.mechanism.positions)
    for form in ("no", "nc"):
        if any(c.form == form and c.timing != "instant" for c in plain):
            words.append(form)
        if any(c.form == form and c.timing == "instant" for c in plain):
            words.append(f"instant.{form}")
    words += [load.name for load in device.loads]
    if device.kind == "terminal strip":
        words += list(device.terminals[:3])
    if poles_of(device) and len(poles_of(device)) > 1:
        words.append("pole1")
    return words


def _no_part(use: Use, device: Device) -> Problem:
    words = parts_to_say(device)
    offered = " or ".join(f"{device.tag}.{word}" for word in words[:5]) or f"{device.tag} alone"
    if not use.part:
        return Problem(
            "PW103", f"{device.tag} has several parts; which one is meant?",
            "a forgotten word behind the tag would put the wrong part into the rung.", f"write {offered}.", use.span,
        )  # fmt: skip
    near = nearest(use.part, words)
    mend = f"write {device.tag}.{near}." if near else f"write {offered}."
    if device.mechanism.positions and use.part[:1].isupper():
        return Problem(
            "PW107", f"{device.tag} has no position {use.part}",
            f"its positions are {', '.join(device.mechanism.positions)}.", mend, use.span,
        )  # fmt: skip
    if _PAIR.match(use.part):
        pairs = ", ".join(c.name for c in device.contacts if not c.main) or "none"
        return Problem(
            "PW114", f"{device.tag} has no part between the terminals {use.part}",
            f"its contacts are {pairs}.", f"pin one of these, or leave the choice open: {offered}.", use.span,
        )  # fmt: skip
    return Problem(
        "PW102", f"{device.tag} has no part called {use.part}",
        f"a {device.kind} has {', '.join(words) or 'just its two terminals'}.", mend, use.span,
    )  # fmt: skip
