"""Allotting real contacts to the uses in the rungs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..circuit import Circuit, Device, Inject, Use
from .drawer import Drawer
from .leftover import free_in, poles_in_use, shortages_of
from .parts import timing_of
from .plan import Free, Shortage
from .seats import runs_in
from .sharing import share
from .uses import Wanted, WrittenUses, with_part
from .wants import Pair, Sharing, Want, takes_a_pole

STOPPING = {"push", "latched push", "trip"}  # mechanisms whose break contacts stop something


@dataclass(frozen=True)
class Allotment:
    """The allotted circuit and what was found on the way; the fields are those of `Wiring`."""

    circuit: Circuit
    free: Mapping[str, tuple[Free, ...]]
    shortages: tuple[Shortage, ...]
    told: tuple[str, ...]
    poles_used: int
    poles_bound: int


def allot(circuit: Circuit) -> Allotment:
    """Give every use its terminals and its name, with as few poles as can be."""
    written = WrittenUses(circuit)
    drawers = {tag: Drawer(device) for tag, device in circuit.by_tag.items()}
    for wanted in written.wanted:
        if wanted.pinned:
            drawers[wanted.use.device].take(wanted.contact)
    wants = [_want(wanted, written, drawers.get(wanted.use.device)) for wanted in written.wanted]
    labelled = _same_label(written.wanted, wants)
    given = [pair for make, rest in labelled if (pair := _on_one_wire(make, rest, wants)) is not None]
    runs = _runs(written, {i for pair in given for i in (pair.make, pair.rest)})
    poles = {
        want.group: drawers[want.group[0]].free_changeovers(wanted.use)
        for wanted, want in zip(written.wanted, wants, strict=True)
        if want.shares and not wanted.pinned
    }
    sharing = share(wants, runs, poles, given)
    _hand_out(written.wanted, wants, sharing, poles, drawers)
    told = (*_tell_labels(labelled, sharing, wants), *_tell_moves(written, runs, sharing), *_tell_strangers(written))
    used = poles_in_use(written.wanted)
    return Allotment(
        _allotted(written, runs, sharing, drawers),
        free_in(written.circuit, drawers),
        shortages_of(written.wanted, drawers),
        told,
        used,
        used - (sharing.most - len(sharing.pairs)),
    )


def _want(wanted: Wanted, written: WrittenUses, drawer: Drawer | None) -> Want:
    """What sharing has to know of a wanted contact."""
    seat = wanted.seats[0]
    use, ends, contact = written.provisional[seat], written.ends(seat), wanted.contact
    if drawer is None:
        return Want((use.device, ""), use.form, ends, shares=False)
    if contact is not None:
        at_start = use.terminals is not None and use.terminals[0] == contact.a
        common = (ends[0] if at_start else ends[1]) if contact.changeover else ""
        return Want((use.device, contact.timing), contact.form, ends, common, bool(common))
    shares = any(c.changeover for c in drawer.fitting(use))
    return Want((use.device, timing_of(drawer.contacts, use)), use.form, ends, shares=shares)


def _same_label(wanted: Sequence[Wanted], wants: Sequence[Want]) -> list[tuple[int, int]]:
    """`K7.no1` and `K7.nc1`: one number on make and break means one change-over."""
    labelled = {
        (want.group, want.form, one.use.label): number
        for number, (one, want) in enumerate(zip(wanted, wants, strict=True))
        if one.use.label and not one.pinned and want.shares
    }
    return [
        (make, labelled[group, "nc", label])
        for (group, form, label), make in labelled.items()
        if form == "no" and (group, "nc", label) in labelled
    ]


def _on_one_wire(make: int, rest: int, wants: Sequence[Want]) -> Pair | None:
    common = [net for net in wants[make].ends if net in wants[rest].ends]
    return Pair(make, rest, common[0]) if common else None


def _runs(written: WrittenUses, settled: set[int]) -> list[tuple[int, ...]]:
    """Contacts in series that may change places, as indices into `wanted`.

    A stop or a trip stays where it was written: people look for it there (common practice, no source). So does a
    contact of a device of which a fault names a terminal: what the fault breaks would otherwise change.
    """
    devices = written.circuit.by_tag
    named = _devices_with_named_terminals(written.circuit)
    number_at = {
        wanted.seats[0]: number
        for number, wanted in enumerate(written.wanted)
        if len(wanted.seats) == 1
        and number not in settled
        and not wanted.pinned
        and wanted.use.device not in named
        and not _stops(devices.get(wanted.use.device), wanted.use)
    }
    runs = runs_in(written.seats, written.provisional, number_at, written.nets)
    return [tuple(number_at[seat] for seat in run) for run in runs]


def _devices_with_named_terminals(circuit: Circuit) -> set[str]:
    faults = [step.fault for trial in circuit.trials for step in trial.steps if isinstance(step, Inject)]
    faults += [fault for promise in circuit.promises for fault in promise.faults]
    ends = [end.partition(".") for fault in faults for end in (fault.subject, fault.other)]
    return {tag for tag, _, mark in ends if tag in circuit.by_tag and mark in circuit.by_tag[tag].terminals}


def _stops(device: Device | None, use: Use) -> bool:
    return device is not None and use.form == "nc" and device.mechanism.sort in STOPPING


def _hand_out(
    wanted: Sequence[Wanted],
    wants: Sequence[Want],
    sharing: Sharing,
    poles: Mapping[tuple[str, str], int],
    drawers: Mapping[str, Drawer],
) -> None:
    """Contacts in reading order; change-overs meant for pairs are kept back from single uses."""
    pair_of = {i: pair for pair in sharing.pairs for i in (pair.make, pair.rest)}
    spare = dict(poles)
    for pair in sharing.pairs:
        if takes_a_pole(pair, wants):
            spare[wants[pair.make].group] -= 1
    for number, one in enumerate(wanted):
        drawer = drawers.get(one.use.device)
        if one.contact is not None or drawer is None:
            continue
        if number in pair_of:
            _hand_out_pair(wanted[pair_of[number].make], wanted[pair_of[number].rest], drawer)
            continue
        group = wants[number].group
        one.contact = drawer.single(one.use, spare.get(group, 0) > 0)
        spare[group] = spare.get(group, 0) - (one.contact.changeover > 0)


def _hand_out_pair(make: Wanted, rest: Wanted, drawer: Drawer) -> None:
    if make.contact is not None:
        rest.contact = drawer.take(drawer.half(make.contact, "nc"))
    elif rest.contact is not None:
        make.contact = drawer.take(drawer.half(rest.contact, "no"))
    else:
        make.contact, rest.contact = drawer.pair(make.use)


def _allotted(
    written: WrittenUses, runs: Sequence[tuple[int, ...]], sharing: Sharing, drawers: Mapping[str, Drawer]
) -> Circuit:
    """The circuit with every contact in its seat, its common towards the wire it shares, else towards the start."""
    uses = dict(written.settled)
    common = {i: pair.net for pair in sharing.pairs for i in (pair.make, pair.rest)}
    seat_for = _new_seats(written, runs, sharing)
    for number, wanted in enumerate(written.wanted):
        if wanted.pinned:
            continue
        for seat in wanted.seats:
            use, contact = written.seats[seat].use, wanted.contact
            seat = seat_for.get(number, seat)
            if contact is None:
                uses[seat] = with_part(use, "?1-?2", ("?1", "?2"))
            elif common.get(number, written.ends(seat)[0]) == written.ends(seat)[0]:
                uses[seat] = with_part(use, contact.name, (contact.a, contact.b))
            else:
                uses[seat] = with_part(use, contact.name, (contact.b, contact.a))
    devices: list[Device] = [drawer.device_as_used() for drawer in drawers.values()]
    return written.with_uses(uses, devices, allotted=True)


def _new_seats(written: WrittenUses, runs: Sequence[tuple[int, ...]], sharing: Sharing) -> dict[int, int]:
    """Wanted contact to the seat it takes, for those in series that may change places."""
    return {
        number: written.wanted[was].seats[0]
        for run, order in zip(runs, sharing.order, strict=True)
        for was, number in zip(run, order, strict=True)
    }


def _tell_labels(labelled: Sequence[tuple[int, int]], sharing: Sharing, wants: Sequence[Want]) -> list[str]:
    paired = {(pair.make, pair.rest) for pair in sharing.pairs}
    return [
        f"{wants[make].group[0]}: a make and a break contact carry the same number, but no wire is common to both, "
        "so they cannot be one change-over; each has a contact of its own."
        for make, rest in labelled
        if (make, rest) not in paired
    ]


def _tell_moves(written: WrittenUses, runs: Sequence[tuple[int, ...]], sharing: Sharing) -> list[str]:
    told = []
    for run, order in zip(runs, sharing.order, strict=True):
        if run != order:
            names = " and ".join(_as_written(written.wanted[number].use) for number in run)
            told.append(
                f"Rung {written.seats[written.wanted[run[0]].seats[0]].rung}: the contacts in series {names} changed "
                "places, so that a change-over can be shared; nothing else depends on their order."
            )
    return told


def _tell_strangers(written: WrittenUses) -> list[str]:
    return [
        f"{wanted.use.device} is not declared: {_as_written(wanted.use)} has no terminals."
        for wanted in written.wanted
        if wanted.contact is None
    ]


def _as_written(use: Use) -> str:
    return f"{use.device}.{use.part}" if use.part else use.device
