"""What is wired wrong: leads on the wrong terminal, the wrong contact, the wrong place in the rung."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..circuit import Contact, Device, Fault, Link, Load, Parallel, Use, uses_in
from .breaks import Lister
from .kinds import kinds
from .places import COIL_DEVICES, HAND, Places


def leads_landed(at: Places) -> Iterator[Fault]:
    """Every terminal's lead on the terminal beside it."""
    for terminal, net in at.net_at.items():
        for beside in at.next_to(terminal):
            if at.net_at.get(beside) is not net:
                yield Fault("landed on", terminal, beside)


def ends_exchanged(at: Places) -> Iterator[Fault]:
    """The leads of two neighbouring terminals."""
    for one, other in at.neighbours():
        yield Fault("exchanged", one, other)


def blocks_wrong(at: Places) -> Iterator[Fault]:
    """Contact blocks of the other form. A change-over contact is no block of its own."""
    for _, contact, element in at.contacts:
        if contact.form in ("no", "nc") and not contact.changeover and not contact.main:
            yield Fault("fitted as NC" if contact.form == "no" else "fitted as NO", element)


def poles_wrong(at: Places) -> Iterator[Fault]:
    """A free contact of the same device that acts otherwise."""
    for device, contact, element in at.contacts:
        if device.mechanism.sort != "trip":
            other = _acts_otherwise(at, device, contact)
            if other is not None:
                yield Fault("in place of", f"{device.tag}.{other.name}", element)


def overload_contacts(at: Places) -> Iterator[Fault]:
    """The alarm contact of an overload relay for its trip contact."""
    for device, contact, element in at.contacts:
        if device.mechanism.sort == "trip":
            other = _acts_otherwise(at, device, contact)
            if other is not None:
                yield Fault("in place of", f"{device.tag}.{other.name}", element)


def _acts_otherwise(at: Places, device: Device, contact: Contact) -> Contact | None:
    acts = contact.form, contact.timing, contact.positions
    free = (c for c in at.free_contacts(device) if c.main == contact.main)
    return next((c for c in free if (c.form, c.timing, c.positions) != acts), None)


def hold_ins_ahead(at: Places) -> Iterator[Fault]:
    """A hold-in contact fed from ahead of something that stands before it."""
    for items in at.series():
        for index, item in enumerate(items):
            if isinstance(item, Parallel):
                for use in _hold_ins(at, item, at.coils_behind(items, index)):
                    yield from _fed_from_before(use, items[:index])


def _hold_ins(at: Places, group: Parallel, coils: set[str]) -> Iterator[Use]:
    for branch in group.branches:
        first = next(uses_in(branch), None)
        if first is not None and first.terminals and first.device in coils and isinstance(at.part(first), Contact):
            yield first


def _fed_from_before(hold_in: Use, before: tuple[object, ...]) -> Iterator[Fault]:
    for item in before:
        if isinstance(item, Use) and item.terminals and hold_in.terminals:
            terminal, ahead = f"{hold_in.device}.{hold_in.terminals[0]}", f"{item.device}.{item.terminals[0]}"
            yield Fault("fed from", terminal, ahead)


def own_interlocks(at: Places) -> Iterator[Fault]:
    """The relay's own break contact where that of another relay belongs."""
    for items in at.series():
        for index, item in enumerate(items):
            part = at.part(item) if isinstance(item, Use) else None
            if not (isinstance(item, Use) and isinstance(part, Contact) and part.form == "nc"):
                continue
            if at.circuit.by_tag[item.device].mechanism.sort not in COIL_DEVICES:
                continue
            for tag in sorted(at.coils_behind(items, index) - {item.device}):
                own = next((c for c in at.free_contacts(at.circuit.by_tag[tag]) if c.form == "nc"), None)
                if own is not None:
                    yield Fault("in place of", f"{tag}.{own.name}", item.element)


def stops_parallel(at: Places) -> Iterator[Fault]:
    """Two stops that follow one another."""
    for items in at.series():
        for one, other in pairwise(items):
            if _is_stop(at, one) and _is_stop(at, other):
                assert isinstance(one, Use)
                assert isinstance(other, Use)
                yield Fault("in parallel", one.element, other.element)


def _is_stop(at: Places, item: object) -> bool:
    if not isinstance(item, Use):
        return False
    part = at.part(item)
    is_break = isinstance(part, Contact) and part.form == "nc"
    return is_break and at.circuit.by_tag[item.device].mechanism.sort in HAND


def polarity(at: Places) -> Iterator[Fault]:
    """Loads that mind the polarity, diodes, and dc supplies."""
    for device in at.circuit.devices:
        for part in device.parts:
            minds = (isinstance(part, Load) and part.polarised) or type(part).__name__ == "Diode"
            if minds and at.is_wired(device, part.a, part.b):  # type: ignore[union-attr]
                yield Fault("reversed", f"{device.tag}.{part.name}")
    for device, source in at.sources:
        if source.current == "dc":
            yield Fault("exchanged", f"{device.tag}.{source.a}", f"{device.tag}.{source.b}")


def floats_exchanged(at: Places) -> Iterator[Fault]:
    """Two switches of one kind in the plant, each with one contact in use."""
    by_kind: dict[str, list[str]] = {}
    for device in at.devices("field"):
        used = [element for owner, _, element in at.contacts if owner is device]
        if len(used) == 1:
            by_kind.setdefault(device.kind, []).append(used[0])
    for elements in by_kind.values():
        for one, other in pairwise(elements):
            yield Fault("exchanged", one, other)


def links_wrong(at: Places) -> Iterator[Fault]:
    """Transformers with links: half and double the volts."""
    factors = kinds()["links-wrong"].values["of_rated_volts"]
    for device, source in at.sources:
        if any(isinstance(part, Link) and part.name.startswith("link") for part in device.parts):
            for factor in factors:
                yield Fault("supply at", device.tag, value=round(source.volts * factor, 6))


MISTAKES: dict[str, Lister] = {
    "lead-landed": leads_landed,
    "ends-exchanged": ends_exchanged,
    "block-wrong": blocks_wrong,
    "pole-wrong": poles_wrong,
    "overload-contact": overload_contacts,
    "hold-in-ahead": hold_ins_ahead,
    "own-interlock": own_interlocks,
    "stops-parallel": stops_parallel,
    "polarity": polarity,
    "floats-exchanged": floats_exchanged,
    "links-wrong": links_wrong,
}
