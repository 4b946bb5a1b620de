"""The contacts of one device, handed out one after the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from ..circuit import Contact, Device, Use
from .parts import contacts_for, positions_of


@dataclass(slots=True)
class Drawer:
    """Takes contacts out of a device. `taken`: names; `grown`: contacts added; `short`: uses that found none."""

    device: Device
    taken: set[str] = field(default_factory=set)
    grown: list[Contact] = field(default_factory=list)
    imaginary: list[Contact] = field(default_factory=list)
    short: list[Use] = field(default_factory=list)
    spare: int = 0  # change-overs that single uses may take, the rest being kept for pairs

    def pole_is_free(self, contact: Contact) -> bool:
        """Whether neither the contact nor the other half of its change-over is taken."""
        return not any(half.name in self.taken for half in self.halves(contact))

    def halves(self, contact: Contact) -> tuple[Contact, ...]:
        """The contact, and the other half when it is one of a change-over."""
        if not contact.changeover:
            return (contact,)
        return tuple(c for c in self.device.contacts if c.changeover == contact.changeover)

    def half(self, contact: Contact, form: str) -> Contact | None:
        """The half of the same change-over that has `form`."""
        return next((c for c in self.halves(contact) if c.form == form), None)

    def free_changeovers(self, uses: Sequence[Use]) -> int:
        """How many change-overs are wholly free."""
        numbers = {c.changeover for u in uses for c in contacts_for(self.device, u) if self.pole_is_free(c)}
        return len(numbers - {0})

    def pair(self, make: Use, rest: Use) -> tuple[Contact, Contact]:
        """A whole change-over for two uses that share the common."""
        for contact in contacts_for(self.device, make):
            other = self.half(contact, "nc")
            if contact.changeover and other is not None and self.pole_is_free(contact):
                self.taken |= {contact.name, other.name}
                return contact, other
        raise LookupError(f"{self.device.tag} has no change-over left")  # the caller counted them

    def single(self, use: Use) -> Contact:
        """A plain contact, else a change-over, else a block added to a device that grows, else an imaginary one."""
        fitting = [c for c in contacts_for(self.device, use) if self.pole_is_free(c)]
        plain = [c for c in fitting if not c.changeover]
        if not plain and self.spare > 0 and fitting:
            self.spare -= 1
            plain = fitting
        contact = plain[0] if plain else self._grow(use) if self.device.grows else self._imagine(use)
        self.taken.add(contact.name)
        return contact

    def _grow(self, use: Use) -> Contact:
        marks = {m for c in (*self.device.contacts, *self.grown) for m in (c.a, c.b)}
        first, second = ("1", "2") if use.form == "nc" else ("3", "4")
        block = 1
        while any(mark[:-1] == str(block) for mark in marks):
            block += 1
        contact = _contact(use, f"{block}{first}", f"{block}{second}")
        self.grown.append(contact)
        return contact

    def _imagine(self, use: Use) -> Contact:
        number = 2 * len(self.imaginary)
        contact = _contact(use, f"?{number + 1}", f"?{number + 2}")
        self.imaginary.append(contact)
        self.short.append(use)
        return contact

    def device_as_used(self) -> Device:
        """The device with what was added to it."""
        more = (*self.grown, *self.imaginary)
        if not more:
            return self.device
        marks = tuple(m for c in more for m in (c.a, c.b))
        return replace(self.device, parts=(*self.device.parts, *more), terminals=(*self.device.terminals, *marks))


def _contact(use: Use, a: str, b: str) -> Contact:
    positions = positions_of(use) if use.form == "at" else frozenset[str]()
    timing = use.timing if use.timing in ("timed", "instant") else "plain"
    return Contact(f"{a}-{b}", a, b, use.form, timing=timing, positions=positions)  # type: ignore[arg-type]
