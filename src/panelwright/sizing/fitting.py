"""Whether a part of a stock list can take the place of a device, and if not, why: rating by rating."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from ..catalog.shelf import plain, shelf
from ..circuit import Device, Fact, Load
from .answers import amount
from .contacts import QUESTION as RATING
from .contacts import ContactLoad, code_capacity, rated_of, typical_of
from .stock import StockPart

EQUAL = ("colour", "base", "ratio", "volts", "range", "primary", "lamp rating", "ohms", "farads")
AT_LEAST = ("va", "poles")  # more will do
FUSES = ("fuse", "breaker", "motor breaker")
WIDE = ("disconnect", "contactor", "lighting contactor", "dc supply")  # more amperes will do


def misfits(device: Device, loads: Mapping[str, tuple[ContactLoad, float, bool]], part: StockPart) -> tuple[str, ...]:
    """Why a stock part cannot take the place of a device; empty when it can.

    `loads`: by contact element, what it makes and breaks, at how many volts, and whether that is dc.
    """
    item = part.device
    if item is None:
        return ("is no device",)
    if item.kind != device.kind:
        return (f"is {_a(item.kind)}",)
    return tuple(_misfits(device, loads, item))


def _misfits(device: Device, loads: Mapping[str, tuple[ContactLoad, float, bool]], item: Device) -> Iterator[str]:
    wanted, has = _facts(device), _facts(item)
    yield from _contacts(device, item)
    yield from _coils(device, item)
    for name in EQUAL:
        if name in wanted and not _equal(wanted[name], has.get(name)):
            yield _differs(name, wanted[name], has.get(name))
    for name in AT_LEAST:
        if name in wanted and not _at_least(wanted[name], has.get(name)):
            yield _differs(name, wanted[name], has.get(name))
    yield from _amps(device, wanted, has)
    yield from _settings(wanted, has)
    yield from _words(device, item)
    yield from _ratings(device, loads, item)
    if "short-circuit rating" in wanted and not _at_least(
        wanted["short-circuit rating"], has.get("short-circuit rating")
    ):
        yield _differs("short-circuit rating", wanted["short-circuit rating"], has.get("short-circuit rating"))


def _facts(device: Device) -> dict[str, Fact]:
    return {fact.name: fact for fact in device.facts}


def _a(kind: str) -> str:
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def _differs(name: str, wanted: Fact, has: Fact | None) -> str:
    says = shelf().facts[name].says if name in shelf().facts else name
    if has is None:
        return f"does not say its {says}, {wanted.text} is asked"
    led = any(has.text.startswith(lead) for lead in shelf().facts[name].lead) if name in shelf().facts else False
    return f"{has.text} and not {wanted.text}" if led else f"{says} {has.text} and not {wanted.text}"


def _equal(wanted: Fact, has: Fact | None) -> bool:
    if has is None:
        return False
    if wanted.quantity is None or has.quantity is None:
        return plain(wanted.text) == plain(has.text)
    pairs = [(wanted.quantity, has.quantity), (wanted.other, has.other)]
    same = all(a is None or (b is not None and abs(a.value - b.value) <= 1e-6 * abs(a.value) and a.unit == b.unit)
               for a, b in pairs)  # fmt: skip
    return same and _current(wanted.text) in ("", _current(has.text))


def _current(text: str) -> str:
    """ "ac", "dc" or "" as a rating says it."""
    words = text.lower().split()
    return "ac" if "ac" in words or "hz" in words else "dc" if "dc" in words else ""


def _at_least(wanted: Fact, has: Fact | None) -> bool:
    if has is None:
        return False
    if wanted.quantity is None or has.quantity is None:
        return int(has.text.split()[0]) >= int(wanted.text.split()[0])
    return has.quantity.value >= wanted.quantity.value * (1 - 1e-9)


def _contacts(device: Device, item: Device) -> Iterator[str]:
    """Every contact has to be there under the same numbers, for the wire list names them."""
    if device.grows:
        if sorted(device.mechanism.positions) != sorted(item.mechanism.positions):
            yield f"positions {' '.join(item.mechanism.positions)} and not {' '.join(device.mechanism.positions)}"
        return
    has = {contact.name: contact for contact in item.contacts}
    lacking = [c for c in device.contacts if c.name not in has or has[c.name].form != c.form]
    if lacking and _forms(device) - _forms(item):
        missing = " + ".join(f"{number} {form}" for form, number in (_forms(device) - _forms(item)).items())
        yield f"lacks {missing}"
    elif lacking:
        yield f"its contacts are numbered otherwise: no {', '.join(contact.name for contact in lacking)}"


def _forms(device: Device) -> Counter[str]:
    return Counter(f"{'pole' if contact.main else contact.form.upper()}" for contact in device.contacts)


def _coils(device: Device, item: Device) -> Iterator[str]:
    for load in device.loads:
        if load.sort != "coil" or not load.drives:
            continue
        same = next((one for one in item.loads if one.name == load.name), None)
        if same is None:
            yield f"has no {load.name} coil"
        elif not _same_coil(load, same):
            yield f"coil {_coil(same)} and not {_coil(load)}"


def _same_coil(wanted: Load, has: Load) -> bool:
    current = has.current in ("either", wanted.current)
    hertz = not wanted.hertz or not has.hertz or abs(wanted.hertz - has.hertz) < 0.5
    return current and hertz and abs(wanted.rated_v - has.rated_v) <= 0.01 * wanted.rated_v


def _coil(load: Load) -> str:
    return f"{load.rated_v:g} V {f'{load.hertz:g} Hz' if load.hertz else load.current}"


def _amps(device: Device, wanted: Mapping[str, Fact], has: Mapping[str, Fact]) -> Iterator[str]:
    """Fuses and breakers have the very rating; switches, contactors and supplies at least it."""
    if "amps" not in wanted or device.motors:
        return
    if (device.kind in FUSES and not _equal(wanted["amps"], has.get("amps"))) or (
        device.kind in WIDE and not _at_least(wanted["amps"], has.get("amps"))
    ):
        yield _differs("amps", wanted["amps"], has.get("amps"))


def _settings(wanted: Mapping[str, Fact], has: Mapping[str, Fact]) -> Iterator[str]:
    """A time that is set has to be within reach; one that the part does not say is taken to be adjustable."""
    delay, reach = wanted.get("delay"), has.get("delay")
    if delay and reach and delay.quantity and reach.quantity and reach.quantity.value < delay.quantity.value:
        yield f"reaches {reach.text}, {delay.text} is to be set"


def _words(device: Device, item: Device) -> Iterator[str]:
    """Words that stand alone ("LED", "forcibly-guided", "size 1")."""
    words = shelf().words
    skipped = ("wired-from-behind", "off at the start")
    has = {fact.name for fact in item.facts if fact.name in words}
    for fact in device.facts:
        if fact.name in words and fact.name not in skipped and fact.name not in has:
            yield f"is not {fact.name}"
    if any(fact.name == "suppressor" for fact in device.facts) and not any(f.name == "suppressor" for f in item.facts):
        said = next(fact.text for fact in device.facts if fact.name == "suppressor")
        yield f"is without {said.removeprefix('with ')}"


def _ratings(device: Device, loads: Mapping[str, tuple[ContactLoad, float, bool]], item: Device) -> Iterator[str]:
    """Its contacts bear what the circuit asks of them."""
    said = next((fact.text for fact in item.facts if fact.name == RATING), "")
    typical = typical_of(item)
    for element, (load, volts, is_dc) in loads.items():
        if element.partition(".")[0] != device.tag:
            continue
        found = rated_of(said, volts, is_dc) if said else None
        if not said and typical is not None:
            found = code_capacity(typical.dc_code if is_dc else typical.ac_code, volts)
        if found is None or not found.bears(load.make_a, load.break_a):
            name = found.name if found else said or "nothing said"
            asked = f"make {amount(load.make_a, 'A', 3)}, break {amount(load.break_a, 'A', 3)}"
            yield f"contacts {name} do not {asked} at {volts:g} V {'dc' if is_dc else 'ac'}"
            return
