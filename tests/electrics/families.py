"""Circuits made by rule, for tests and benchmarks: contacts, coils and lamps of invented panels.

`Workshop` puts a circuit together from short words; the families are panels that grow with a number, and `mesh`
is any tangle of contacts and loads.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Heading,
    Item,
    Load,
    Mechanism,
    Parallel,
    Part,
    Rung,
    Series,
    Source,
    Use,
)

COIL_OHMS, LAMP_OHMS = 650.0, 1200.0
Words = str | tuple["Words", ...] | list["Words"]  # "K1.no"; a tuple is in series, a list in parallel


@dataclass
class Workshop:
    """Collects rungs; every use of a contact gets a pole of its own."""

    volts: float = 24.0
    hertz: float = 0.0
    rungs: list[Rung] = field(default_factory=list)
    parts: dict[str, list[Part]] = field(default_factory=dict)

    def rung(self, start: str, words: Words, end: str) -> None:
        """A rung between rails or points ("@4")."""
        item = self.item(words)
        self.rungs.append(Rung(start, end, item if isinstance(item, Series) else Series((item,))))

    def item(self, words: Words) -> Item:
        """Words to a tree of allotted uses."""
        if isinstance(words, str):
            return self.use(*words.split("."))
        items = tuple(self.item(word) for word in words)
        if isinstance(words, tuple):
            return Series(items)
        return Parallel(tuple(item if isinstance(item, Series) else Series((item,)) for item in items))

    def use(self, tag: str, part: str, ohms: str = "") -> Use:
        """A new contact ("no", "nc"), or the one coil or lamp of the device."""
        parts = self.parts.setdefault(tag, [])
        if part in ("no", "nc"):
            pole = 1 + sum(isinstance(p, Contact) for p in parts)
            a, b = (f"{pole}3", f"{pole}4") if part == "no" else (f"{pole}1", f"{pole}2")
            parts.append(Contact(f"{a}-{b}", a, b, part))  # type: ignore[arg-type]
            return Use(tag, part, part, terminals=(a, b), name=f"{a}-{b}")
        rated = {"coil": COIL_OHMS, "lamp": LAMP_OHMS}[part]
        current = "ac" if self.hertz else "dc"
        if not any(isinstance(p, Load) for p in parts):
            load = Load(
                part,
                "A1",
                "A2",
                part,  # type: ignore[arg-type]
                self.volts,
                current,  # type: ignore[arg-type]
                float(ohms or rated),
                rated / 2 if self.hertz and part == "coil" else 0.0,
                self.hertz,
                works_v=0.8 * self.volts,
                rests_v=0.1 * self.volts,
                drives="coil" if part == "coil" else "",
            )
            parts.append(load)
        return Use(tag, part, "", terminals=("A1", "A2"), name=part)

    def circuit(self) -> Circuit:
        """Everything put together, on one supply earthed at "-"."""
        current = "ac" if self.hertz else "dc"
        source = Source(
            "out", ("+", "-"), ("+", "-"), current, self.volts, self.hertz, earthed_at="-", earthing="earthed"
        )
        devices = [Device("G1", "supply", "plate", "", Mechanism("fixed"), (source,), ("+", "-"))]
        for tag, parts in self.parts.items():
            terminals = tuple(t for p in parts if isinstance(p, Contact | Load) for t in (p.a, p.b))
            sort = {"K": "relay", "S": "push", "F": "trip"}.get(tag[0], "fixed")
            devices.append(Device(tag, sort, "plate", "", Mechanism(sort), tuple(parts), terminals))
        return Circuit(Heading("made by rule"), devices=tuple(devices), rungs=tuple(self.rungs), allotted=True)


def reversing(pairs: int) -> Circuit:
    """Pairs of interlocked starters with stop, overload contact on the return and lamps, under one emergency stop."""
    shop = Workshop()
    shop.rung("+", "S0.nc", "@E")
    for n in range(1, pairs + 1):
        for one, other, start in ((f"KF{n}", f"KR{n}", f"SF{n}"), (f"KR{n}", f"KF{n}", f"SR{n}")):
            contacts = (f"S{n}.nc", [f"{start}.no", f"{one}.no"], f"{other}.nc", f"{one}.coil", f"F{n}.nc")
            shop.rung("@E", contacts, "-")
            shop.rung("+", (f"{one}.no", f"H{one}.lamp"), "-")
    return shop.circuit()


def sequence(relays: int) -> Circuit:
    """Each relay starts only while the one before is in."""
    shop = Workshop()
    for n in range(1, relays + 1):
        before = (f"K{n - 1}.no",) if n > 1 else ()
        shop.rung("+", ("S0.nc", *before, [f"S{n}.no", f"K{n}.no"], f"K{n}.coil"), "-")
    return shop.circuit()


def bridged(relays: int, bridges: int, seed: int) -> Circuit:
    """Random series-parallel rungs with bridges inside and between them."""
    rng = random.Random(seed)
    shop = Workshop()

    def contact() -> str:
        if rng.random() < 0.4:
            return f"S{rng.randrange(2 * relays)}.{rng.choice(('no', 'nc'))}"
        return f"K{rng.randrange(relays)}.{rng.choice(('no', 'nc'))}"

    for n in range(relays):
        upper, lower = f"@{n}U", f"@{n}L"
        shop.rung("+", [contact(), (contact(), contact())], upper)
        shop.rung(upper, [contact(), (contact(), contact())], lower)
        shop.rung(lower, f"K{n}.coil", "-")
        if rng.random() < 0.3:
            shop.rung(upper, f"H{n}.lamp", "-")
    points = [f"@{n}{end}" for n in range(relays) for end in "UL"]
    for _ in range(bridges):
        start, end = rng.sample(points, 2)
        shop.rung(start, contact(), end)
    return shop.circuit()


def mesh(points: int, contacts: int, loads: int, seed: int, volts: float = 24.0, hertz: float = 0.0) -> Circuit:
    """Contacts and loads anywhere between a number of points and the two rails: no panel looks like it."""
    rng = random.Random(seed)
    shop = Workshop(volts, hertz)
    places = ["+", "-", *(f"@{n}" for n in range(points))]
    for n in range(contacts):
        start, end = rng.sample(places, 2)
        shop.rung(start, f"S{n}.{rng.choice(('no', 'nc'))}", end)
    for n in range(loads):
        start, end = rng.sample(places, 2)
        shop.rung(start, f"K{n}.coil" if rng.random() < 0.5 else f"H{n}.lamp", end)
    return shop.circuit()


def random_closed(circuit: Circuit, rng: random.Random, share: float = 0.5) -> frozenset[str]:
    """A random set of closed contacts."""
    contacts = [f"{d.tag}.{c.name}" for d in circuit.devices for c in d.contacts]
    return frozenset(contact for contact in contacts if rng.random() < share)
