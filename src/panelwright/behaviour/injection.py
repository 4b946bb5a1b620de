"""A named fault turned into what it changes: the network, a mechanism, a fuse or a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from ..circuit import Circuit, Contact, Device, Fault, Load, Problem, net_of
from ..circuit.devices import Form
from ..electrics import (
    Edit,
    Exchanged,
    InSeries,
    Joined,
    Lifted,
    Moved,
    Opened,
    Shorted,
    SupplyAt,
    SupplyLimited,
    WireOpened,
)
from .places import UnclearPlace, element_of, elements_of, ends_of, parts_of, place_of
from .stands import NO_RETURN
from .times import TIMER_SORTS, Times

FLUTTER_S = 0.02  # a fluttering contact changes this often when nothing is said
JOLT_S = 0.02  # a loose contact opens so long when it is shaken
COUPLED_FARADS = 10e-9  # some 40 m of multicore cable at 0.25 uF/km; trade rule of thumb, from memory
NEVER_S = 1e9
IN, OUT = "operated", "rest"
WEAK_TURNS = 0.5  # of a coil with shorted turns this share still carries current; common practice, no source
WORDINGS = {
    "touches": "{subject} touches {other}",
    "wire open": "wire from {subject} to {other} open",
    "supply at": "{subject} at {amount}",
    "time at": "{subject} at {amount}",
    "exchanged": "{subject} and {other} exchanged",
    "in place of": "{subject} in place of {other}",
    "landed on": "{subject} lead landed on {other}",
    "fed from": "{subject} fed from {other}",
    "in parallel": "{subject} and {other} in parallel",
    "weak supply": "{subject} gives at most {amount}",
    "coupled": "{subject} coupled to {other} by {amount}",
    "assumption broken": "assumption {subject} broken",
}
UNITS = {
    "supply at": "V", "time at": "s", "resistance": "ohm", "leakage": "ohm", "weak supply": "A", "capacitance": "F",
    "coupled": "F",
}  # fmt: skip
PREFIXES = ((1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "u"), (1e-9, "n"), (1e-12, "p"))


@dataclass(frozen=True, slots=True)
class Injected:
    """What one fault changes.

    `edits` of the network; `stuck`: (tag, "operated", "rest", "" for where it is now, or "no return" for one that
    goes in and never back); `blown`: fuse elements; `refitted`: (contact, "no" or "nc" that it is in truth);
    `delays`: (tag, seconds) of timers, `paces`: (tag, seconds that each movement takes) of other devices;
    `flutters`: (contact, seconds between changes); `loose`: (contact, seconds that it opens for when a relay moves in
    its place); `bouncing`: contacts that open a few times more when they close.
    """

    fault: Fault
    edits: tuple[Edit, ...] = ()
    stuck: tuple[tuple[str, str], ...] = ()
    blown: tuple[str, ...] = ()
    delays: tuple[tuple[str, float], ...] = ()
    flutters: tuple[tuple[str, float], ...] = ()
    loose: tuple[tuple[str, float], ...] = ()
    bouncing: tuple[str, ...] = ()
    refitted: tuple[tuple[str, Form], ...] = ()
    paces: tuple[tuple[str, float], ...] = ()

    def with_(self, other: Injected) -> Injected:
        """What both faults change."""
        return Injected(
            self.fault,
            (*self.edits, *other.edits),
            (*self.stuck, *other.stuck),
            (*self.blown, *other.blown),
            (*self.delays, *other.delays),
            (*self.flutters, *other.flutters),
            (*self.loose, *other.loose),
            (*self.bouncing, *other.bouncing),
            (*self.refitted, *other.refitted),
            (*self.paces, *other.paces),
        )

    def times_of(self, tag: str, times: Times) -> Times:
        """The times of a device with this fault present."""
        for timer, seconds in self.delays:
            if timer == tag:
                times = replace(times, delay_s=seconds)
        for device, seconds in self.paces:
            if device == tag:
                times = replace(times, operate_s=seconds, release_s=seconds, travel_s=seconds)
        return times


def inject(circuit: Circuit, fault: Fault) -> Injected | Problem:
    """What a fault changes in an allotted circuit, or why it cannot be put in."""
    make = _FORMS.get(fault.form)
    if make is None:
        message = f"no fault can be put in that reads '{fault.text or fault.form}'"
        mend = "take a form from the table of faults"
        return Problem("fault-unknown", message, "its form is not known", mend, fault.span)
    try:
        return make(circuit, fault)
    except UnclearPlace as unclear:
        return replace(unclear.problem, span=fault.span)


def fault_words(fault: Fault) -> str:
    """The fault as a panel file says it: as written, else put together."""
    if fault.text:
        return fault.text
    amount = _amount(fault.value, UNITS[fault.form]) if fault.value is not None and fault.form in UNITS else ""
    if fault.form == "resistance":
        where = f"wire from {fault.subject} to {fault.other}" if fault.other else fault.subject
        return f"{amount} in {where}"
    if fault.form in ("leakage", "capacitance"):
        where = f"between {fault.subject} and {fault.other}" if fault.other else f"across {fault.subject}"
        return f"{amount} {where}"
    wording = WORDINGS.get(fault.form, "{subject} {form}")
    return wording.format(subject=fault.subject, other=fault.other, form=fault.form, amount=amount)


def _amount(value: float, unit: str) -> str:
    """A quantity as the panel language reads it, without an exponent."""
    if unit == "V" or not value:
        return f"{value:g} {unit}"
    size, prefix = next(((s, p) for s, p in PREFIXES if abs(value) >= s * (1 - 1e-9)), PREFIXES[-1])
    if unit == "s" and size > 1:
        size, prefix = 1.0, ""
    return f"{round(value / size, 6):g} {prefix}{unit}"


def _opened(circuit: Circuit, fault: Fault) -> Injected:
    elements = elements_of(circuit, fault.subject)
    return Injected(fault, tuple(Opened(element) for element in elements))


def _shorted(circuit: Circuit, fault: Fault) -> Injected:
    elements = elements_of(circuit, fault.subject)
    return Injected(fault, tuple(Shorted(element) for element in elements))


def _stuck_closed(circuit: Circuit, fault: Fault) -> Injected:
    edits: list[Edit] = []
    for element in elements_of(circuit, fault.subject):
        edits.append(Shorted(element))
        device, part = circuit.elements[element]
        if isinstance(part, Contact) and part.form == "no" and _is_guided(device):
            # forcibly guided contacts: while a make contact is closed no break contact can close
            edits += [Opened(f"{device.tag}.{other.name}") for other in device.contacts if other.form == "nc"]
    return Injected(fault, tuple(edits))


def _is_guided(device: Device) -> bool:
    return any("guided" in fact.name or "guided" in fact.text for fact in device.facts)


def _stuck(at: str) -> Callable[[Circuit, Fault], Injected]:
    def make(circuit: Circuit, fault: Fault) -> Injected:
        device = parts_of(circuit, fault.subject)[0]
        if device.mechanism.sort == "fixed" or (at and device.mechanism.positions):
            raise UnclearPlace(_cannot_stick(device, fault))
        return Injected(fault, stuck=((device.tag, at),))

    return make


def _cannot_stick(device: Device, fault: Fault) -> Problem:
    if device.mechanism.positions:
        reason, mend = "it stands at one of its positions", f"turn it there and write 'fault {device.tag} jams'"
    else:
        reason, mend = "nothing in it moves", "name a device that moves, or let one of its parts be open or shorted"
    return Problem("fault-place", f"{device.tag} cannot be {fault.form}", reason, mend)


def _touches(circuit: Circuit, fault: Fault) -> Injected:
    ends = place_of(circuit, fault.subject), place_of(circuit, fault.other)
    return Injected(fault, (Joined(*ends, ohms=fault.value or 0.0),))


def _lost(circuit: Circuit, fault: Fault) -> Injected:
    terminals = circuit.rails.get(fault.subject)
    if terminals is None:
        return _opened(circuit, fault)
    return Injected(fault, tuple(Lifted(terminal) for terminal in terminals))


def _blown(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, blown=elements_of(circuit, fault.subject, "fuse"))


def _lifted(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (Lifted(place_of(circuit, fault.subject)),))


def _wire_opened(circuit: Circuit, fault: Fault) -> Injected:
    ends = place_of(circuit, fault.subject), place_of(circuit, fault.other)
    return Injected(fault, (WireOpened(ends, fault.value or 0.0),))


def _reversed(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (Exchanged(*ends_of(circuit, fault.subject)),))


def _supply_at(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (SupplyAt(parts_of(circuit, fault.subject)[0].tag, fault.value or 0.0),))


def _time_at(circuit: Circuit, fault: Fault) -> Injected:
    """A set time of a timer; of any other device how long each of its movements takes."""
    device = parts_of(circuit, fault.subject)[0]
    value = ((device.tag, fault.value or 0.0),)
    return Injected(fault, delays=value) if device.mechanism.sort in TIMER_SORTS else Injected(fault, paces=value)


def _never_times_out(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, delays=((parts_of(circuit, fault.subject)[0].tag, NEVER_S),))


def _exchanged(circuit: Circuit, fault: Fault) -> Injected:
    if _is_terminal(circuit, fault.subject) and _is_terminal(circuit, fault.other):
        return Injected(fault, (Exchanged(fault.subject, fault.other),))
    ours, theirs = ends_of(circuit, fault.subject), ends_of(circuit, fault.other)
    return Injected(fault, tuple(Exchanged(a, b) for a, b in zip(ours, theirs, strict=True) if a != b))


def _in_place_of(circuit: Circuit, fault: Fault) -> Injected:
    """The conductors meant for the second part were landed on the first."""
    landed, meant = ends_of(circuit, fault.subject), ends_of(circuit, fault.other)
    return Injected(fault, tuple(Moved(b, a) for a, b in zip(landed, meant, strict=True) if a != b))


def _landed_on(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (Moved(place_of(circuit, fault.subject), place_of(circuit, fault.other)),))


def _resistance(circuit: Circuit, fault: Fault) -> Injected:
    ohms = fault.value or 0.0
    if fault.other:
        return _wire_opened(circuit, fault)
    if _is_terminal(circuit, fault.subject):
        return Injected(fault, (InSeries(fault.subject, ohms),))
    return Injected(fault, (InSeries(ends_of(circuit, fault.subject)[0], ohms),))


def _bridge(circuit: Circuit, fault: Fault) -> tuple[str, str]:
    if fault.other:
        return place_of(circuit, fault.subject), place_of(circuit, fault.other)
    return ends_of(circuit, fault.subject)


def _shorted_turns(circuit: Circuit, fault: Fault) -> Injected:
    """On dc the coil takes more and still pulls; on ac the shorted turns eat up its flux, and it does not."""
    edits: list[Edit] = []
    for element in elements_of(circuit, fault.subject):
        device, coil = circuit.elements[element]
        if not isinstance(coil, Load):
            raise UnclearPlace(_not_a("coil", fault.subject))
        ends = f"{device.tag}.{coil.a}", f"{device.tag}.{coil.b}"
        if coil.current == "ac":
            edits.append(Opened(element))
        whole = abs(complex(coil.ohms, coil.reactance_ohms)) if coil.current == "ac" else coil.ohms
        edits.append(Joined(*ends, ohms=whole * WEAK_TURNS))
    return Injected(fault, tuple(edits))


def _not_a(what: str, name: str) -> Problem:
    return Problem("fault-place", f"{name} is no {what}", "the fault is about one", f"name a {what}")


def _refitted(form: Form) -> Callable[[Circuit, Fault], Injected]:
    def make(circuit: Circuit, fault: Fault) -> Injected:
        element = element_of(circuit, fault.subject)
        if not isinstance(circuit.elements[element][1], Contact):
            raise UnclearPlace(_not_a("contact", fault.subject))
        return Injected(fault, refitted=((element, form),))

    return make


def _fed_from(circuit: Circuit, fault: Fault) -> Injected:
    """The terminal hangs on another place than its own conductors, which stay joined to one another."""
    terminal = place_of(circuit, fault.subject)
    return Injected(fault, (Lifted(terminal), Joined(terminal, place_of(circuit, fault.other))))


def _in_parallel(circuit: Circuit, fault: Fault) -> Injected:
    """Two parts meant to stand one behind the other stand side by side; what joined them hangs free."""
    one, other = ends_of(circuit, fault.subject), ends_of(circuit, fault.other)
    nets = net_of(circuit)
    shared = [(a, b) for a in one for b in other if nets.get(a) is not None and nets[a] == nets.get(b)]
    if not shared:
        words = f"{fault.subject} and {fault.other} are not joined in series"
        why = "only parts that follow one another can be put side by side by mistake"
        raise UnclearPlace(Problem("fault-place", words, why, "name two parts with a wire between them"))
    near, far = shared[0]
    start, end = (next(t for t in ends if t != mid) for ends, mid in ((one, near), (other, far)))
    return Injected(fault, (Lifted(near), Lifted(far), Joined(near, end), Joined(far, start)))


def _leakage(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (Joined(*_bridge(circuit, fault), ohms=fault.value or 0.0),))


def _capacitance(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, (Joined(*_bridge(circuit, fault), farads=fault.value or COUPLED_FARADS),))


def _flutters(circuit: Circuit, fault: Fault) -> Injected:
    element = element_of(circuit, fault.subject)
    return Injected(fault, flutters=((element, fault.value or FLUTTER_S),))


def _loose(circuit: Circuit, fault: Fault) -> Injected:
    element = element_of(circuit, fault.subject)
    return Injected(fault, loose=((element, fault.value or JOLT_S),))


def _weak_supply(circuit: Circuit, fault: Fault) -> Injected:
    """The value is the most that it gives, in amps."""
    return Injected(fault, (SupplyLimited(parts_of(circuit, fault.subject)[0].tag, fault.value or 0.0),))


def _bounces(circuit: Circuit, fault: Fault) -> Injected:
    return Injected(fault, bouncing=elements_of(circuit, fault.subject))


def _earthed(circuit: Circuit, fault: Fault) -> Injected:
    return _touches(circuit, replace(fault, other="earth"))


def _shows_nothing(circuit: Circuit, fault: Fault) -> Injected:
    """A hum, or an assumption that does not hold: nothing in the wiring changes."""
    return Injected(fault)


def _is_terminal(circuit: Circuit, name: str) -> bool:
    tag, _, mark = name.partition(".")
    device = circuit.by_tag.get(tag)
    return device is not None and mark in device.terminals


_FORMS: dict[str, Callable[[Circuit, Fault], Injected]] = {
    "open": _opened,
    "stuck open": _opened,
    "shorted": _shorted,
    "stuck closed": _stuck_closed,
    "stuck in": _stuck(IN),
    "stuck pressed": _stuck(IN),
    "stuck out": _stuck(OUT),
    "stuck made": _stuck(IN),
    "stuck clear": _stuck(OUT),
    "stuck tripped": _stuck(IN),
    "stuck reset": _stuck(OUT),
    "stuck released": _stuck(OUT),
    "jams": _stuck(""),
    "spring broken": _stuck(NO_RETURN),
    "with shorted turns": _shorted_turns,
    "fitted as NO": _refitted("no"),
    "fitted as NC": _refitted("nc"),
    "fed from": _fed_from,
    "in parallel": _in_parallel,
    "touches": _touches,
    "lost": _lost,
    "blown": _blown,
    "lifted": _lifted,
    "wire open": _wire_opened,
    "reversed": _reversed,
    "supply at": _supply_at,
    "weak supply": _weak_supply,
    "time at": _time_at,
    "never times out": _never_times_out,
    "exchanged": _exchanged,
    "in place of": _in_place_of,
    "landed on": _landed_on,
    "resistance": _resistance,
    "leakage": _leakage,
    "capacitance": _capacitance,
    "coupled": _capacitance,
    "flutters": _flutters,
    "loose": _loose,
    "bounces": _bounces,
    "never closes": _opened,
    "earthed": _earthed,
    "hums": _shows_nothing,
    "assumption broken": _shows_nothing,
}
FORMS = frozenset(_FORMS)
