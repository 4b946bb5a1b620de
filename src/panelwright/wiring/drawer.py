"""The contacts of one device, handed out one after the other."""

from __future__ import annotations

from dataclasses import replace

from ..circuit import Contact, Device, Use
from .parts import contacts_for, positions_of, timing_of


class Drawer:
    """Takes contacts out of a device.

    `taken`: names of those in use; `grown`: contacts of blocks added to a device that grows; `imaginary`: contacts
    that the device should have had; `short`: the uses that got those.
    """

    def __init__(self, device: Device) -> None:
        self.device = device
        self.contacts = device.contacts
        self.taken: set[str] = set()
        self.grown: list[Contact] = []
        self.imaginary: list[Contact] = []
        self.short: list[Use] = []
        self._changeovers: dict[int, tuple[Contact, ...]] = {}
        for contact in self.contacts:
            if contact.changeover:
                number = contact.changeover
                self._changeovers[number] = (*self._changeovers.get(number, ()), contact)
        self._begun: set[int] = set()  # change-overs of which a half is taken
        self._fitting: dict[tuple[object, ...], tuple[Contact, ...]] = {}

    def fitting(self, use: Use) -> tuple[Contact, ...]:
        """The contacts that could serve a use, taken or not."""
        key = (use.form, use.timing, use.form == "at" and use.part)
        if key not in self._fitting:
            self._fitting[key] = contacts_for(self.device, use)
        return self._fitting[key]

    def pole_is_free(self, contact: Contact) -> bool:
        """Whether neither the contact nor the other half of its change-over is taken."""
        return contact.changeover not in self._begun if contact.changeover else contact.name not in self.taken

    def half(self, contact: Contact, form: str) -> Contact | None:
        """The half of the same change-over that has `form`."""
        return next((c for c in self._changeovers.get(contact.changeover, ()) if c.form == form), None)

    def free_changeovers(self, use: Use) -> int:
        """How many whole change-overs could serve such a use."""
        return sum(1 for c in self.fitting(use) if c.changeover and self.pole_is_free(c))

    def take(self, contact: Contact | None) -> Contact | None:
        """Mark a contact as used."""
        if contact is not None:
            self.taken.add(contact.name)
            self._begun.add(contact.changeover)
        return contact

    def pair(self, make: Use) -> tuple[Contact | None, Contact | None]:
        """A whole change-over for two uses that share the common."""
        for contact in self.fitting(make):
            if contact.changeover and self.pole_is_free(contact):
                return self.take(contact), self.take(self.half(contact, "nc"))
        raise LookupError(f"{self.device.tag} has no change-over left")  # they were counted before

    def single(self, use: Use, changeover_allowed: bool) -> Contact:
        """A plain contact, else a change-over, else a block added to a device that grows, else an imaginary one."""
        free = [c for c in self.fitting(use) if self.pole_is_free(c)]
        chosen = next((c for c in free if not c.changeover), free[0] if free and changeover_allowed else None)
        if chosen is None:
            chosen = self._grow(use) if self.device.grows else self._imagine(use)
        self.take(chosen)
        return chosen

    def _grow(self, use: Use) -> Contact:
        """Blocks are numbered by their first digit; the second tells the form: 13-14 makes, 21-22 breaks (EN 50013)."""
        marks = {mark for c in (*self.contacts, *self.grown) for mark in (c.a, c.b)}
        first, second = ("1", "2") if use.form == "nc" else ("3", "4")
        block = 1
        while any(mark[:-1] == str(block) for mark in marks):
            block += 1
        contact = self._made(use, f"{block}{first}", f"{block}{second}")
        self.grown.append(contact)
        return contact

    def _imagine(self, use: Use) -> Contact:
        number = 2 * len(self.imaginary)
        contact = self._made(use, f"?{number + 1}", f"?{number + 2}")
        self.imaginary.append(contact)
        self.short.append(use)
        return contact

    def _made(self, use: Use, a: str, b: str) -> Contact:
        positions = positions_of(use) if use.form == "at" else frozenset[str]()
        timing = timing_of(self.contacts, use)
        return Contact(f"{a}-{b}", a, b, use.form, timing=timing, positions=positions)  # type: ignore[arg-type]

    def device_as_used(self) -> Device:
        """The device with what was added to it."""
        more = (*self.grown, *self.imaginary)
        if not more:
            return self.device
        marks = tuple(mark for c in more for mark in (c.a, c.b))
        return replace(self.device, parts=(*self.device.parts, *more), terminals=(*self.device.terminals, *marks))
