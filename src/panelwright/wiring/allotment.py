"""Allotting real contacts to the uses in the rungs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast

from ..circuit import Circuit, Contact, Device, Net, PathUse, Series, Use, net_of
from .drawer import Drawer
from .parts import contacts_for, positions_of, said_part, timing_of, with_uses
from .paths import paths_filled
from .plan import Free, Shortage
from .seats import runs_in, seats_of
from .sharing import share
from .wants import Pair, Sharing, Want

FORMS = {"no": "NO", "nc": "NC"}


@dataclass(slots=True)
class _Wanted:
    """One contact of the panel: an open use, or a pinned one, with its seats (several where a label stands twice)."""

    use: Use
    seats: list[int] = field(default_factory=list)
    contact: Contact | None = None
    common_first: bool = True

    @property
    def pinned(self) -> bool:
        return self.use.terminals is not None


@dataclass(frozen=True)
class Allotment:
    """The allotted circuit and what was found on the way."""

    circuit: Circuit
    free: Mapping[str, tuple[Free, ...]]
    shortages: tuple[Shortage, ...]
    told: tuple[str, ...]
    poles_used: int
    poles_bound: int


def allot(circuit: Circuit) -> Allotment:
    """Give every use its terminals and its name. Never raises for a circuit the reader can make."""
    return _Allotting(circuit).done()


class _Allotting:
    """The steps from written uses to allotted ones; one object lives for one circuit."""

    def __init__(self, circuit: Circuit) -> None:
        self.written = replace(circuit, power_paths=paths_filled(circuit))
        self.devices = circuit.by_tag
        self.seats = seats_of(circuit)
        self.told: list[str] = []
        self.settled: dict[int, Use] = {}  # seats whose use needs no choice
        self.wanted: list[_Wanted] = []
        self._sort_uses()
        self.nets = self._provisional_nets()
        self.drawers = {tag: Drawer(device) for tag, device in self.devices.items()}

    def _sort_uses(self) -> None:
        """Tell uses that name their part from contacts left open."""
        known: dict[tuple[object, ...], _Wanted] = {}
        for index, seat in enumerate(self.seats):
            use = seat.use
            device = self.devices.get(use.device)
            said = said_part(device, use) if device else None
            if device is not None and said is not None:
                use = replace(use, name=said[0], terminals=said[1])
                self.settled[index] = use
                part = next((p for p in device.contacts if p.name == use.name), None)
                if part is None:
                    continue
                key: tuple[object, ...] = (use.device, use.name)
            else:
                key = (use.device, use.form, use.timing, use.label) if use.label else (index,)
                part = None
            wanted = known.get(key)
            if wanted is None:
                wanted = known[key] = _Wanted(use, contact=part)
                self.wanted.append(wanted)
            wanted.seats.append(index)

    def _provisional_nets(self) -> dict[str, Net]:
        """Nets with made-up terminals at the contacts that are still open: what shares a wire, whoever is chosen."""
        uses = dict(self.settled)
        for number, wanted in enumerate(self.wanted):
            if not wanted.pinned:
                for seat in wanted.seats:
                    use = self.seats[seat].use
                    uses[seat] = replace(use, terminals=(f"~{number}a", f"~{number}b"), name=f"~{number}")
        self.provisional = uses
        return net_of(self._with(uses, self.devices))

    def _with(self, uses: Mapping[int, Use], devices: Mapping[str, Device], **changes: Any) -> Circuit:
        stream = iter([uses[i] for i in range(len(self.seats))])
        rungs = tuple(replace(r, body=cast(Series, with_uses(r.body, stream))) for r in self.written.rungs)
        return replace(self.written, rungs=rungs, devices=tuple(devices.values()), **changes)

    def done(self) -> Allotment:
        wants = [self._want(w) for w in self.wanted]
        self._mark_pinned()
        given = self._pairs_by_label(wants)
        settled = {i for pair in given for i in (pair.make, pair.rest)}
        seat_of = {w.seats[0]: n for n, w in enumerate(self.wanted) if len(w.seats) == 1}
        movable = {s: n not in settled and not self.wanted[n].pinned for s, n in seat_of.items()}
        seats = [replace(s, use=self.provisional[i]) for i, s in enumerate(self.seats)]
        runs = [tuple(seat_of[s] for s in run) for run in runs_in(seats, movable, self.nets)]
        poles = self._free_changeovers(wants)
        sharing = share(wants, runs, poles, given)
        self._hand_out(wants, sharing, poles)
        return self._allotment(wants, runs, sharing)

    def _want(self, wanted: _Wanted) -> Want:
        seat = wanted.seats[0]
        use = self.provisional[seat]
        device = self.devices.get(use.device)
        ends = self._ends(seat)
        if device is None:
            return Want((use.device, ""), use.form, ends, shares=False)
        group = (use.device, timing_of(device, use))
        contact = wanted.contact
        if contact is not None:
            at_start = (use.terminals or ("", ""))[0] == contact.a
            common = ends[0 if at_start else 1] if contact.changeover else ""
            return Want((use.device, _group_timing(device, contact)), contact.form, ends, common, bool(common))
        return Want(group, use.form, ends, shares=any(c.changeover for c in contacts_for(device, use)))

    def _ends(self, seat: int) -> tuple[str, str]:
        use = self.provisional[seat]
        start, end = (self.nets[f"{use.device}.{mark}"].id for mark in use.terminals or ())
        return start, end

    def _mark_pinned(self) -> None:
        for wanted in self.wanted:
            if wanted.contact is not None:
                self.drawers[wanted.use.device].taken.add(wanted.contact.name)

    def _pairs_by_label(self, wants: Sequence[Want]) -> list[Pair]:
        """`K7.nc1` and `K7.no1`: the same number on make and break means one change-over."""
        labelled = {
            (want.group, w.use.form, w.use.label): n
            for n, (w, want) in enumerate(zip(self.wanted, wants, strict=True))
            if w.use.label and not w.pinned and want.shares
        }
        pairs = []
        for (group, form, label), make in labelled.items():
            rest = labelled.get((group, "nc", label))
            if form != "no" or rest is None:
                continue
            common = [n for n in wants[make].ends if n in wants[rest].ends]
            if common:
                pairs.append(Pair(make, rest, common[0]))
            else:
                tag = group[0]
                self.told.append(
                    f"{tag}.no{label} and {tag}.nc{label} have no wire in common, so they cannot be one change-over; "
                    "they were given separate contacts."
                )
        return pairs

    def _free_changeovers(self, wants: Sequence[Want]) -> dict[tuple[str, str], int]:
        uses: dict[tuple[str, str], list[Use]] = {}
        for wanted, want in zip(self.wanted, wants, strict=True):
            if want.shares and not wanted.pinned:
                uses.setdefault(want.group, []).append(wanted.use)
        return {group: self.drawers[group[0]].free_changeovers(some) for group, some in uses.items()}

    def _hand_out(self, wants: Sequence[Want], sharing: Sharing, poles: Mapping[tuple[str, str], int]) -> None:
        """Contacts in reading order; change-overs meant for pairs are kept back from single uses."""
        partner = {i: pair for pair in sharing.pairs for i in (pair.make, pair.rest)}
        spare = dict(poles)
        for pair in sharing.pairs:
            if not self.wanted[pair.make].pinned and not self.wanted[pair.rest].pinned:
                spare[wants[pair.make].group] -= 1
        for number, wanted in enumerate(self.wanted):
            found = partner.get(number)
            if found is not None:
                self._hand_out_pair(found)
            elif wanted.contact is None and wanted.use.device in self.drawers:
                drawer = self.drawers[wanted.use.device]
                group = wants[number].group
                drawer.spare = spare.get(group, 0)
                wanted.contact = drawer.single(wanted.use)
                spare[group] = drawer.spare

    def _hand_out_pair(self, pair: Pair) -> None:
        make, rest = self.wanted[pair.make], self.wanted[pair.rest]
        drawer = self.drawers[make.use.device]
        if make.contact is None and rest.contact is None:
            make.contact, rest.contact = drawer.pair(make.use, rest.use)
        elif make.contact is None and rest.contact is not None:
            make.contact = drawer.half(rest.contact, "no")
        elif rest.contact is None and make.contact is not None:
            rest.contact = drawer.half(make.contact, "nc")
        for wanted in (make, rest):
            if wanted.contact is not None:
                drawer.taken.add(wanted.contact.name)

    def _allotment(self, wants: Sequence[Want], runs: Sequence[tuple[int, ...]], sharing: Sharing) -> Allotment:
        uses = dict(self.settled)
        common = {i: pair.net for pair in sharing.pairs for i in (pair.make, pair.rest)}
        moved = self._moved(runs, sharing)
        for number, wanted in enumerate(self.wanted):
            if wanted.pinned:
                continue
            for seat in wanted.seats:
                uses[moved.get(seat, seat)] = self._allotted(wanted, seat, moved.get(seat, seat), common.get(number))
        devices = {tag: drawer.device_as_used() for tag, drawer in self.drawers.items()}
        return Allotment(
            self._with(uses, devices, allotted=True),
            self._free(),
            self._shortages(),
            tuple(self.told),
            self._poles_used(),
            self._poles_used() - (sharing.most - len(sharing.pairs)),
        )

    def _moved(self, runs: Sequence[tuple[int, ...]], sharing: Sharing) -> dict[int, int]:
        """Seat as written to seat taken, for contacts in series that changed places."""
        moved: dict[int, int] = {}
        for written, taken in zip(runs, sharing.order, strict=True):
            seats = [self.wanted[n].seats[0] for n in written]
            for seat, number in zip(seats, taken, strict=True):
                moved[self.wanted[number].seats[0]] = seat
            if written != taken:
                names = " and ".join(_as_written(self.wanted[n].use) for n in sorted(taken))
                self.told.append(
                    f"Rung {self.seats[seats[0]].rung}: the contacts in series {names} changed places, "
                    "so that a change-over can be shared; nothing else depends on their order."
                )
        return moved

    def _allotted(self, wanted: _Wanted, written: int, seat: int, common: str | None) -> Use:
        """The use with its contact, the common towards the wire it shares, else towards the start of the rung."""
        contact = wanted.contact
        use = self.seats[written].use
        if contact is None:
            self.told.append(f"{use.device} is not declared, so {_as_written(use)} stays without terminals of its own.")
            return replace(use, terminals=("?1", "?2"), name="?1-?2")
        start_first = common is None or self._ends(seat)[0] == common
        ends = (contact.a, contact.b) if start_first else (contact.b, contact.a)
        return replace(use, terminals=ends, name=contact.name)

    def _shortages(self) -> tuple[Shortage, ...]:
        found = []
        for tag, drawer in self.drawers.items():
            forms = {(u.form, u.timing, _form_name(u)): u for u in reversed(drawer.short)}
            for (form, timing, name), use in reversed(forms.items()):
                alike = [
                    w
                    for w in self.wanted
                    if w.use.device == tag and _form_name(w.use) == name and w.use.timing == timing
                ]
                missing = sum(u.form == form and _form_name(u) == name and u.timing == timing for u in drawer.short)
                found.append(Shortage(tag, name, len(alike), len(alike) - missing, use.span))
        return tuple(found)

    def _free(self) -> dict[str, tuple[Free, ...]]:
        """What is left over, per device that has contacts; poles for the load current only while on no power path."""
        on_paths = {
            (item.device, name)
            for path in self.written.power_paths
            for item in path.items
            if isinstance(item, PathUse)
            for name in item.names
        }
        free: dict[str, tuple[Free, ...]] = {}
        for tag, drawer in self.drawers.items():
            left = tuple(
                Free(c.name, FORMS.get(c.form, "+".join(sorted(c.positions))), not drawer.pole_is_free(c))
                for c in drawer.device.contacts
                if c.name not in drawer.taken and (tag, c.name) not in on_paths
            )
            if left:
                free[tag] = left
        return free

    def _poles_used(self) -> int:
        poles = set()
        for wanted in self.wanted:
            contact = wanted.contact
            if contact is not None:
                poles.add((wanted.use.device, contact.changeover or contact.name))
        return len(poles)


def _form_name(use: Use) -> str:
    return FORMS.get(use.form) or "+".join(sorted(positions_of(use)))


def _as_written(use: Use) -> str:
    return f"{use.device}.{use.part}"


def _group_timing(device: Device, contact: Contact) -> str:
    return timing_of(device, Use(device.tag, "", contact.form, timing=contact.timing))
