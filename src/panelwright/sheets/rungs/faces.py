"""Which symbol and which words a part gets in a rung."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from ...circuit import Contact, Device, Diode, Fuse, Load, Motor, Part
from ..symbols import Standard, Symbol, contact_symbol, operator_names, part_symbol, symbol_names

_FIELD_WORDS = (
    ("float", "float"), ("level", "float"), ("pressure", "pressure"), ("flow", "flow"),
    ("temperature", "temperature"), ("thermostat", "temperature"), ("speed", "speed"), ("plugging", "speed"),
    ("proximity", "proximity"), ("photo", "light"), ("light", "light"), ("limit", "limit"), ("foot", "foot"),
    ("key", "key"), ("emergency", "emergency-stop"),
)  # fmt: skip
_OPERATORS = {
    "push": "push", "latched push": "push", "selector": "selector", "spring selector": "selector",
    "trip": "overload", "switch": "hand", "field": "remote",
}  # fmt: skip
_TIMED = {
    "on-delay": "on-delay", "star-delta": "on-delay", "off-delay": "off-delay",
    "off-delay without supply": "off-delay",
}  # fmt: skip
_LOADS = {"sounder": "horn", "primary": "transformer"}
_LETTERS = {
    "red": "R", "green": "G", "amber": "A", "orange": "A", "yellow": "Y", "blue": "B", "white": "W", "clear": "C",
}  # fmt: skip
OPERATED = frozenset({"relay", "latching", "impulse", "alternating", "interval", "flasher", *_TIMED})


def follows_a_coil(device: Device) -> bool:
    """Whether the contacts of a device are moved by a coil, so that its contacts refer to it."""
    return device.mechanism.sort in OPERATED


def is_load(part: Part) -> bool:
    """Whether a part stands in the column of coils and lamps."""
    return isinstance(part, Load) and part.sort not in ("capacitor",)


def symbol_of(device: Device, part: Part, standard: Standard, *, live: bool = False) -> Symbol:
    """The symbol of a part of a device. `live`: breakers are drawn closed, as they are in service, not off."""
    if isinstance(part, Contact):
        return _contact(device, part, standard)
    if isinstance(part, Load):
        name = _load_name(device, part)
        return _marked(name, letter_of(device, part)) if standard == "NA" else part_symbol(name, standard)
    if isinstance(part, Diode):
        return part_symbol("diode", standard)
    if isinstance(part, Motor):
        return part_symbol("motor-1", standard)
    if isinstance(part, Fuse):
        if not part.resettable:
            return part_symbol("fuse", standard)
        return _closed_breaker(standard) if live else part_symbol("breaker-pole", standard)
    return part_symbol("heater" if device.mechanism.sort == "trip" else "terminal", standard)


@lru_cache(maxsize=1000)
def _marked(name: str, letter: str) -> Symbol:
    return part_symbol(name, "NA").marked(letter)


@lru_cache(maxsize=2)
def _closed_breaker(standard: Standard) -> Symbol:
    pole = part_symbol("breaker-pole", standard)
    return replace(pole, rest=pole.moved, moved=pole.rest)


def _contact(device: Device, contact: Contact, standard: Standard) -> Symbol:
    sort = device.mechanism.sort
    if contact.main and contact.form == "no" and sort in ("relay", "latching"):
        return part_symbol("contactor-pole", standard)
    if contact.main and contact.form == "no" and sort == "switch":
        return part_symbol("breaker-pole" if "breaker" in device.kind else "disconnect-pole", standard)
    return contact_symbol(form_of(device, contact), operator_of(device, contact), standard)


def form_of(device: Device, contact: Contact) -> str:
    """ "make" or "break"; a selector contact by whether it is closed where the handle starts."""
    if contact.form == "at":
        return "break" if device.mechanism.start in contact.positions else "make"
    return "make" if contact.form == "no" else "break"


def operator_of(device: Device, contact: Contact) -> str:
    """What works a contact, as a name of the symbol files; "" for a plain relay contact."""
    sort = device.mechanism.sort
    if follows_a_coil(device):
        return _TIMED.get(sort, "") if contact.timing == "timed" else ""
    if device.symbol in operator_names():
        return device.symbol
    words = f"{device.symbol} {device.kind}".lower()
    for word, operator in _FIELD_WORDS:
        if word in words and sort != "trip":
            return operator
    return _OPERATORS.get(sort, "")


def _load_name(device: Device, load: Load) -> str:
    sort = device.mechanism.sort
    if load.sort == "coil":
        if load.drives in ("set", "reset"):
            return f"{load.drives}-coil"
        if load.drives == "pulse":
            return "impulse-coil"
        if sort in ("interval", "flasher"):
            return f"{sort}-coil"
        return f"{_TIMED[sort]}-coil" if sort in _TIMED else "coil"
    name = device.symbol if load.sort != "lamp" else "lamp"
    if name in symbol_names("IEC"):
        return name
    name = _LOADS.get(load.sort, load.sort)
    return name if name in symbol_names("IEC") else "load"


def tag_inside(device: Device, part: Part, standard: Standard) -> bool:
    """Whether a coil carries its tag in its circle, so that it need not stand above."""
    if standard != "NA" or not isinstance(part, Load) or part.drives != "coil":
        return False
    return letter_of(device, part) == device.tag


def letter_of(device: Device, load: Load) -> str:
    """The letter inside a North American symbol: the colour of a lamp, the sort or tag of a coil."""
    if load.sort == "lamp":
        return _LETTERS.get(device.colour, "")
    if load.sort == "coil":
        if len(device.tag) <= 3:
            return device.tag
        if "contactor" in device.kind or "starter" in device.kind:
            return "M"
        return "TR" if device.mechanism.sort in _TIMED else "CR"
    return ""


def words_of(device: Device, part: Part) -> str:
    """The words beside a tag: position of a selector, rating or set time, and what the device is for.

    Contacts that a coil moves have none; their coil says it.
    """
    if isinstance(part, Contact):
        if follows_a_coil(device):
            return ""
        place = "+".join(p for p in device.mechanism.positions if p in part.positions) if part.form == "at" else ""
        return ", ".join(word for word in (place, device.text) if word)
    if isinstance(part, Load):
        return said_fact(device, "delay") if part.drives == "coil" else ""
    return ", ".join(word for word in (rating_of(device), device.text) if word)


def rating_of(device: Device) -> str:
    """What stands beside a device on drawings of the load current: "16 A", "set 7.2 A", "3 kW"."""
    if device.motors:
        return said_fact(device, "watts")
    if device.mechanism.sort == "trip":
        return said_fact(device, "set") or said_fact(device, "range")
    if device.sources:
        return said_fact(device, "ratio") or said_fact(device, "volts")
    return said_fact(device, "amps") or said_fact(device, "ohms")


def said_fact(device: Device, name: str) -> str:
    """A fact as the file says it; "" when it does not."""
    return next((fact.text for fact in device.facts if fact.name == name), "")
