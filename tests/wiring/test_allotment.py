"""Which contact serves which use: nothing the circuit does may change, and no pole may be wasted."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.circuit import (
    Circuit,
    Contact,
    Device,
    Fault,
    Here,
    Inject,
    Item,
    Mechanism,
    Parallel,
    Rung,
    Series,
    Through,
    Trial,
    Use,
    nets_of,
)
from panelwright.wiring import Free, Shortage, wire
from panelwright.wiring.seats import seats_of
from panelwright.wiring.sharing import share
from panelwright.wiring.wants import Want
from tests.wiring.circuits import BUTTONS, RELAYS, button, circuits, lamp, relay, supply


class Joined:
    """Groups of joined names."""

    def __init__(self) -> None:
        self.groups: dict[str, set[str]] = {}

    def join(self, one: str, other: str) -> None:
        """Put two names into one group."""
        first, second = (self.groups.setdefault(name, {name}) for name in (one, other))
        if first is not second:
            first |= second
            for name in second:
                self.groups[name] = first

    def among(self, names: set[str]) -> set[frozenset[str]]:
        """The groups, with these names only."""
        return {frozenset(self.groups.get(name, {name}) & names) for name in names}


def closed(use: Use, operated: Mapping[str, bool]) -> bool:
    """Whether a contact is closed."""
    return operated[use.device] == (use.form == "no")


def as_written(circuit: Circuit, operated: Mapping[str, bool]) -> Joined:
    """What is joined when the drawing is followed line by line; loads end in their own terminals."""
    joined = Joined()
    count = iter(range(10_000))

    def follow(item: Item, start: str, end: str) -> None:
        if isinstance(item, Use):
            if item.form:
                if closed(item, operated):
                    joined.join(start, end)
                return
            part = next(p for p in circuit.by_tag[item.device].parts if p.name in (item.part, "lamp"))
            joined.join(start, f"{item.device}.{part.a}")
            joined.join(end, f"{item.device}.{part.b}")
        elif isinstance(item, Parallel):
            for branch in item.branches:
                follow(branch, start, end)
        elif isinstance(item, Here | Through):
            name = f"@{item.name}" if isinstance(item, Here) else f"{item.device}.{item.terminal}"
            joined.join(start, name)
            joined.join(start, end)
        elif isinstance(item, Series):
            places = [start, *(f"#{next(count)}" for _ in item.items[1:]), end]
            for n, inner in enumerate(item.items):
                follow(inner, places[n], places[n + 1])

    for name in ("+", "-"):
        joined.join(f"={name}", f"G1.{name}")
    for rung in circuit.rungs:
        follow(rung.body, *(n if n.startswith("@") else f"={n}" for n in (rung.start, rung.end)))
    return joined


def as_allotted(circuit: Circuit, operated: Mapping[str, bool]) -> Joined:
    """What is joined by the wires and the closed contacts of the panel, contacts of all rungs together."""
    joined = Joined()
    for net in nets_of(circuit):
        names = [*net.terminals, *(f"@{p}" for p in net.points), *(f"={r}" for r in net.rails)]
        for name in names:
            joined.join(names[0], name)
    for device in circuit.devices:
        for contact in device.contacts:
            ends = [f"{device.tag}.{mark}" for mark in (contact.a, contact.b)]
            if all(end in joined.groups for end in ends) and operated[device.tag] == (contact.form == "no"):
                joined.join(*ends)
    return joined


@settings(max_examples=120, deadline=None)
@given(circuits())
def test_the_allotted_circuit_does_what_the_written_one_does(circuit: Circuit) -> None:
    """In every position of all relays and buttons the same rails, points and loads are joined."""
    allotted = wire(circuit).circuit
    points = {f"@{p}" for net in nets_of(allotted) for p in net.points}
    loads = {f"{s.use.device}.{m}" for s in seats_of(allotted) if not s.use.form for m in s.use.terminals or ()}
    names = {"=+", "=-", *points, *loads}
    for positions in product((False, True), repeat=len(RELAYS + BUTTONS)):
        operated = dict(zip(RELAYS + BUTTONS, positions, strict=True))

        assert as_written(circuit, operated).among(names) == as_allotted(allotted, operated).among(names)


@settings(max_examples=60, deadline=None)
@given(circuits())
def test_every_use_gets_a_contact_of_its_form_and_none_is_given_twice(circuit: Circuit) -> None:
    """A terminal pair serves one use; never more poles than uses, never fewer than the bound."""
    wiring = wire(circuit)
    uses = [seat.use for seat in seats_of(wiring.circuit) if seat.use.form]
    for use in uses:
        contact = wiring.circuit.elements[use.element][1]

        assert (use.form, {*(use.terminals or ())}) == (contact.form, {contact.a, contact.b})  # type: ignore[union-attr]
    assert len({use.element for use in uses}) == len(uses)
    assert wiring.poles_bound == wiring.poles_used <= len(uses)


@settings(max_examples=60, deadline=None)
@given(circuits())
def test_pinned_contacts_stay(circuit: Circuit) -> None:
    """An allotted circuit, handed in as if it were written by hand, comes back as it is."""
    once = wire(circuit).circuit

    assert once == replace(wire(replace(once, allotted=False)).circuit, devices=once.devices)


NETS = ("a", "b", "c", "d")
wants_drawn = st.lists(
    st.builds(
        Want,
        group=st.sampled_from((("K1", ""), ("K2", ""), ("K3", ""))),
        form=st.sampled_from(("no", "nc")),
        ends=st.tuples(st.sampled_from(NETS), st.sampled_from(NETS)),
        common=st.sampled_from((None, None, None, *NETS)),
    ),
    min_size=1,
    max_size=7,
)


def most_by_trying_all(wants: list[Want], runs: list[tuple[int, ...]], poles: dict[tuple[str, str], int]) -> int:
    """The most pairs over all orders of all runs and all ways to pair."""

    def pairs(ends: dict[int, tuple[str, str]], free: list[int], left: dict[tuple[str, str], int]) -> int:
        if not free:
            return 0
        one, rest = free[0], free[1:]
        best = pairs(ends, rest, left)
        for other in rest:
            first, second = wants[one], wants[other]
            if first.group != second.group or first.form == second.form:
                continue
            if not first.may_have_common_at(ends[one]) & second.may_have_common_at(ends[other]):
                continue
            open_pair = first.common is None and second.common is None
            if (first.common is not None and second.common is not None) or (open_pair and not left[first.group]):
                continue
            less = {**left, first.group: left[first.group] - open_pair}
            best = max(best, 1 + pairs(ends, [i for i in rest if i != other], less))
        return best

    def orders(remaining: list[tuple[int, ...]]) -> Iterator[dict[int, tuple[str, str]]]:
        if not remaining:
            yield {}
            return
        run = remaining[0]
        start, end = wants[run[0]].ends[0], wants[run[-1]].ends[1]
        for order in permutations(run):
            inner = [start, *(f"{run}{n}" for n in range(len(run) - 1)), end]
            mine = {want: (inner[n], inner[n + 1]) for n, want in enumerate(order)}
            for others in orders(remaining[1:]):
                yield {**others, **mine}

    return max(
        pairs({**{i: w.ends for i, w in enumerate(wants)}, **moved}, list(range(len(wants))), poles)
        for moved in orders(runs)
    )


@settings(max_examples=250, deadline=None)
@given(wants_drawn, st.lists(st.integers(2, 3), max_size=2), st.lists(st.integers(0, 2), min_size=3, max_size=3))
def test_sharing_is_as_good_as_trying_everything(wants: list[Want], lengths: list[int], has: list[int]) -> None:
    """The fewest poles, proved by brute force on small panels."""
    runs = []
    free = [i for i, want in enumerate(wants) if want.common is None]
    for length in lengths:
        run, free = tuple(free[:length]), free[length:]
        if len({wants[i].group for i in run}) == length:  # contacts of one device never change places
            runs.append(run)
            for n, i in enumerate(run):  # wires inside a run carry nothing else
                start = wants[i].ends[0] if n == 0 else f"{run}{n - 1}"
                end = wants[i].ends[1] if n == length - 1 else f"{run}{n}"
                wants[i] = replace(wants[i], ends=(start, end))
    poles = {(tag, ""): count for tag, count in zip(RELAYS, has, strict=True)}
    found = share(wants, runs, poles)

    assert most_by_trying_all(wants, runs, poles) == len(found.pairs) == found.most


def panel(*rungs: Series, **changeovers: int) -> Circuit:
    """A panel of relays with change-overs and one lamp at the end of each rung."""
    lamps = [lamp(f"H{n}", "door") for n in range(1, len(rungs) + 1)]
    devices = (supply(), *(relay(tag, n, 0, 0) for tag, n in changeovers.items()), *lamps)
    bodies = [Series((*body.items, Use(f"H{n}", ""))) for n, body in enumerate(rungs, 1)]
    return Circuit(devices=devices, rungs=tuple(Rung("+", "-", body, f"Rung {n}") for n, body in enumerate(bodies, 1)))


def open_contact(text: str) -> Use:
    """ "K1.no1" as the reader hands it over."""
    tag, part = text.split(".")
    return Use(tag, part, part[:2], part[2:])


def row(*texts: str) -> Series:
    """Open contacts in series."""
    return Series(tuple(open_contact(text) for text in texts))


def pairs_of(circuit: Circuit) -> list[str]:
    """Terminals of the contacts in reading order: "K1.11-14"."""
    return [f"{s.use.device}.{'-'.join(s.use.terminals or ())}" for s in seats_of(circuit) if s.use.form]


def test_contacts_in_series_change_places_to_share_a_common() -> None:
    """K2 in front lets its make and break contact share; nothing hangs on the wire between the two contacts."""
    wiring = wire(panel(row("K1.no", "K2.no"), row("K2.nc"), K1=1, K2=1))

    assert ["K2.11-14", "K1.11-14", "K2.11-12"] == pairs_of(wiring.circuit)
    assert (2, 2, ()) == (wiring.poles_used, wiring.poles_bound, wiring.shortages)
    assert (
        "Rung 1: the contacts in series K1.no and K2.no changed places, so that a change-over can be shared; "
        "nothing else depends on their order.",
    ) == wiring.told


def test_a_named_point_keeps_contacts_in_their_order() -> None:
    """What is wired to the point depends on what stands before it."""
    body = Series((open_contact("K1.no"), Here("7"), open_contact("K2.no")))
    wiring = wire(panel(body, row("K2.nc"), K1=1, K2=2))

    assert ["K1.11-14", "K2.11-14", "K2.21-22"] == pairs_of(wiring.circuit)


def test_a_stop_stays_in_front() -> None:
    """Nothing is put before a stop button, even if a pole could be saved."""
    circuit = panel(row("S1.nc", "K2.no"), row("K2.nc"), K2=2)
    wiring = wire(replace(circuit, devices=(*circuit.devices, button("S1", "door"))))

    assert ["S1.13-12", "K2.11-14", "K2.21-22"] == pairs_of(wiring.circuit)


def test_a_fault_at_a_terminal_keeps_the_contact_in_place() -> None:
    """The trial that lifts K2.11 goes on to lift what it lifted before."""
    lifted = Trial("Lead off", (Inject(Fault("lifted", "K2.11")),))
    wiring = wire(replace(panel(row("K1.no", "K2.no"), row("K2.nc"), K1=1, K2=2), trials=(lifted,)))

    assert ["K1.11-14", "K2.11-14", "K2.21-22"] == pairs_of(wiring.circuit)


def test_one_number_on_make_and_break_is_one_changeover() -> None:
    """K1.nc1 and K1.no1 share the common even where others might."""
    wiring = wire(panel(row("K1.nc"), row("K1.nc1"), row("K1.no1"), K1=2))

    assert ["K1.11-12", "K1.21-22", "K1.21-24"] == pairs_of(wiring.circuit)


def test_a_label_used_twice_is_one_contact() -> None:
    """The same terminals in both rungs; their wires become one."""
    wiring = wire(panel(row("K1.no1"), row("K1.no1"), K1=1))

    assert ["K1.11-14", "K1.11-14"] == pairs_of(wiring.circuit)
    assert 1 == wiring.poles_used


def test_a_contact_that_is_not_there_is_imaginary_and_told() -> None:
    """Three make contacts wanted, two there: nothing stops, and the panel is short of one."""
    wiring = wire(panel(row("K1.no"), row("K1.no"), row("K1.no"), K1=2))

    assert ["K1.11-14", "K1.21-24", "K1.?1-?2"] == pairs_of(wiring.circuit)
    assert (Shortage("K1", "NO", 3, 2),) == wiring.shortages


def test_half_a_changeover_is_free_on_its_wire_only() -> None:
    """The break half of the used pole, and all of the other pole."""
    wiring = wire(panel(row("K1.no"), K1=2))

    assert (Free("11-12", "NC", True), Free("21-24", "NO"), Free("21-22", "NC")) == wiring.free["K1"]


def sixty_contacts(seed: int) -> tuple[list[Want], list[tuple[int, ...]]]:
    """A panel of sixty contacts of six relays, two thirds of them in series with others."""
    chance = random.Random(seed)
    wants: list[Want] = []
    runs = []
    while len(wants) < 60:
        devices = chance.sample(range(6), chance.choice((1, 1, 2, 3)))
        inner = [f"i{len(wants)}.{n}" for n in range(len(devices) - 1)]
        ends = [f"n{chance.randrange(8)}", *inner, f"n{chance.randrange(8)}"]
        if inner:
            runs.append(tuple(range(len(wants), len(wants) + len(devices))))
        for n, device in enumerate(devices):
            wants.append(Want((f"K{device}", ""), chance.choice(("no", "nc")), (ends[n], ends[n + 1])))
    return wants, runs


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sixty_contacts_are_proved_minimal(seed: int) -> None:
    """The answer meets its bound, and is better than leaving every contact where it was written."""
    wants, runs = sixty_contacts(seed)
    poles = {(f"K{n}", ""): 20 for n in range(6)}
    found, as_they_stand = share(wants, runs, poles), share(wants, [], poles)

    assert len(as_they_stand.pairs) < len(found.pairs) == found.most


def device(tag: str, *contacts: Contact) -> Device:
    """A relay with these contacts only."""
    marks = tuple(dict.fromkeys(mark for c in contacts for mark in (c.a, c.b)))
    return Device(tag, "relay", "plate", "", Mechanism("relay"), contacts, marks)


def panel_with(*devices: Device, rungs: Sequence[Series]) -> Circuit:
    """A panel of given devices, a lamp at the end of each rung."""
    bare = panel(*rungs)
    return replace(bare, devices=(*bare.devices, *devices))


def test_timed_and_instantaneous_contacts_are_kept_apart() -> None:
    """`T1.no` is timed, `T1.instant.no` moves with the coil."""
    timer = device(
        "T1",
        Contact("13-14", "13", "14", "no", timing="instant"),
        Contact("15-18", "15", "18", "no", timing="timed", changeover=1),
        Contact("15-16", "15", "16", "nc", timing="timed", changeover=1),
    )
    instant = Series((Use("T1", "instant.no", "no", timing="instant"),))
    circuit = panel_with(timer, rungs=[row("T1.no"), instant, row("T1.nc"), row("T1.no")])

    assert ["T1.15-18", "T1.13-14", "T1.15-16", "T1.?1-?2"] == pairs_of(wire(circuit).circuit)


def test_a_plain_block_serves_before_half_a_changeover() -> None:
    """The change-over stays whole for whoever comes later."""
    mixed = device(
        "K1",
        Contact("11-14", "11", "14", "no", changeover=1),
        Contact("11-12", "11", "12", "nc", changeover=1),
        Contact("23-24", "23", "24", "no"),
    )

    assert ["K1.23-24"] == pairs_of(wire(panel_with(mixed, rungs=[row("K1.no")])).circuit)


def test_the_free_half_of_a_pinned_changeover_is_used() -> None:
    """Pinned K1.11-14 has its common on plus; the break contact from plus joins it."""
    pinned = Series((Use("K1", "11-14", terminals=("11", "14")),))
    wiring = wire(panel(row("K1.nc"), pinned, K1=2))

    assert ("11", "12") == seats_of(wiring.circuit)[0].use.terminals
    assert 1 == wiring.poles_used


def test_a_common_pinned_to_the_far_side_is_not_shared_at_the_near_one() -> None:
    """Pinned the other way round, the common is on the lamp's wire."""
    pinned = Series((Use("K1", "14-11", terminals=("14", "11")),))
    wiring = wire(panel(row("K1.nc"), pinned, K1=2))

    assert ("21", "22") == seats_of(wiring.circuit)[0].use.terminals


def test_the_common_faces_the_wire_that_is_shared() -> None:
    """Make and break end on one wire: their common is there, at the end of both."""
    both = Parallel((row("S1.no", "K1.no"), row("S2.no", "K1.nc")))
    bare = panel(Series((both,)), K1=1)
    wiring = wire(replace(bare, devices=(*bare.devices, button("S1", "door"), button("S2", "door"))))

    assert ["S1.13-14", "K1.14-11", "S2.13-14", "K1.12-11"] == pairs_of(wiring.circuit)


def test_main_poles_serve_a_rung_only_where_there_is_nothing_else() -> None:
    """A contactor's `no` is an auxiliary contact; a disconnect without one gives a pole."""
    main = Contact("1-2", "1", "2", "no", main=True)
    contactor, disconnect = device("Q1", main, Contact("13-14", "13", "14", "no")), device("Q2", main)
    circuit = panel_with(contactor, disconnect, rungs=[row("Q1.no"), row("Q2.no"), row("Q1.no")])

    assert ["Q1.13-14", "Q2.1-2", "Q1.?1-?2"] == pairs_of(wire(circuit).circuit)
