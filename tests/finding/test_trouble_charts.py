"""Cases of published trouble charts, exam items and common practice: the true cause has to come first.

Each row names where it is from. Only the fact is taken (symptom and cause), never wording. `new`: after wiring work.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest

from panelwright import api
from panelwright.circuit import Circuit
from panelwright.finding import Search

PRACTICE = "common practice, no source"
EXAM = "marine licence exam items on motor controllers, coastguardexams.com, electrical chief 180, 182, 232"
HOLD_IN = "case on three-wire control, industrialmonitordirect.com, hold-in contact wiring fix"
CHATTER = "learnelectricalmaintenance.com, what causes a contactor to chatter"
NAVY = "training manual 14259, constructionmanuals.tpub.com: volts across a closed path mean an open"
COMMON = "bluecollarguru.disciplemedia.com/posts/2322: 24 V to ground and a dead coil, common broken"
EARTHED_START = "voltage-disturbance.com, incorrect motor control circuit wiring"
CAPACITY = "franklinaid.com 1998/03: cable capacitance holds a contactor in"
PUMP, CONVEYOR, FAN, LIFT = (
    "orchard/well-pump",
    "orchard/grader-conveyor",
    "orchard/cold-store-fan",
    "orchard/lift-station",
)
EARTHED = "circuits/c25-start-on-earthed-side"


@dataclass(frozen=True)
class Case:
    """What is said and read, and a piece of the words (or the id) of the true cause."""

    file: str
    seen: tuple[str, ...]
    readings: tuple[str, ...]
    cause: str
    source: str
    new: bool = False


CASES = [
    Case(
        PUMP,
        ("K1 runs only while S2 is held",),
        ("K1.9 to K1.5: 24 V @ S2 pressed and let go",),
        "contact-open:K1.9-5",
        EXAM,
    ),
    Case(PUMP, ("the pump drops out when the start button is released",), (), "contact-open:K1.9-5", HOLD_IN),
    Case(
        PUMP, ("K1 does not hold in",), ("K1.9 to G1.-: 0 V @ S2 pressed and let go",), "wire-open:K1.9", HOLD_IN, True
    ),
    Case(PUMP, ("K1 will not seal in",), ("K1.9 to S1.12: open @ power off",), "wire-open:K1.9", HOLD_IN, True),
    Case(PUMP, ("K1 does not pull in",), ("K1.13 to K1.14: 24 V @ S2 held",), "coil-open:K1", NAVY),
    Case(
        PUMP,
        ("K1 does not pull in",),
        ("K1.13 to K1.14: 24 V @ S2 held", "K1.13 to K1.14: 640 ohm @ power off"),
        "stuck-out:K1",
        PRACTICE,
    ),
    Case(
        PUMP,
        ("K1 does not pull in",),
        ("K1.13 to K1.14: 24 V @ S2 held", "K1.13 to K1.14: open @ power off"),
        "coil-open:K1",
        NAVY,
    ),
    Case(PUMP, ("K1 does not pull in",), ("S1.11 to S1.12: 24 V @ S2 held",), "contact-open:S1", NAVY),
    Case(PUMP, ("K1 does not pull in",), ("S2.13 to S2.14: 24 V @ S2 held",), "contact-open:S2", NAVY),
    Case(
        PUMP,
        ("K1 does not pull in",),
        ("K1.13 to G1.+: 0 V @ S2 held", "K1.14 to G1.-: 24 V @ S2 held"),
        "wire-open:G1.-:K1.14",
        COMMON,
    ),
    Case(PUMP, ("K1 will not stop",), ("S1.11 to S1.12: 0 V @ running, S1 held",), "contact-welded:S1", EXAM),
    Case(PUMP, ("K1 will not stop",), ("K1.13 to K1.14: 0 V @ running, S1 held",), "stuck-in:K1", EXAM),
    Case(PUMP, ("the pump starts by itself",), (), "K1", PRACTICE),
    Case(PUMP, ("H1 does not light",), ("H1.X1 to H1.X2: 24 V @ running",), "lamp-out:H1", PRACTICE),
    Case(PUMP, ("H2 is dark at rest",), ("H2.X1 to H2.X2: 24 V @ at rest",), "lamp-out:H2", PRACTICE),
    Case(
        PUMP,
        ("both lights are dark", "K1 is in @ S2 held"),
        ("K1.12 to G1.-: 0 V @ at rest",),
        "wire-open:G1.+:K1.12",
        PRACTICE,
    ),
    Case(
        PUMP,
        ("both lights are dark", "K1 is out @ S2 held"),
        ("G1.+ to G1.-: 0 V @ at rest",),
        "supply-lost:G1",
        PRACTICE,
    ),
    Case(PUMP, ("K1 chatters",), ("G1.+ to G1.-: 16.8 V @ S2 held",), "supply-low:G1", CHATTER),
    Case(
        PUMP,
        ("K1 chatters",),
        ("G1.+ to G1.-: 24 V @ S2 held", "K1.13 to K1.14: 16 V @ S2 held"),
        "joint:K1.13",
        CHATTER,
    ),
    Case(PUMP, ("K1 does not pull in",), ("S1.11 to S1.12: open @ power off",), "S1", PRACTICE),
    Case(
        PUMP,
        ("H1 is dark @ running", "K1 is in @ running"),
        ("K1.12 to K1.8: 24 V @ running",),
        "contact-open:K1.12-8",
        NAVY,
    ),
    Case(PUMP, ("H2 is lit @ running", "H1 is lit @ running"), (), "contact-welded:K1.12-4", PRACTICE),
    Case(
        CONVEYOR,
        ("the conveyor runs only while start is held",),
        ("1M.2 to 1M.3: 120 V @ 2PB pressed and let go",),
        "contact-open:1M.2-3",
        EXAM,
    ),
    Case(CONVEYOR, ("1M does not pull in",), ("3FU.1 to 3FU.2: 120 V @ 2PB held",), "fuse-blown:3FU", PRACTICE),
    Case(CONVEYOR, ("1M does not pull in",), ("1OL.95 to 1OL.96: 120 V @ 2PB held",), "overload-trips:1OL", EXAM),
    Case(
        CONVEYOR,
        ("1M does not pull in",),
        ("1M.A1 to 1M.A2: 120 V @ 2PB held", "1M.A1 to 1M.A2: open @ power off"),
        "coil-open:1M",
        NAVY,
    ),
    Case(CONVEYOR, ("the conveyor will not stop",), ("1M.A1 to 1M.A2: 0 V @ running, 1PB held",), "stuck-in:1M", EXAM),
    Case(
        CONVEYOR,
        ("3FU blows when 2PB is pressed",),
        ("1M.A1 to 1M.A2: 0 ohm @ power off",),
        "coil-shorted:1M",
        PRACTICE,
    ),
    Case(
        CONVEYOR,
        ("3FU blows when 2PB is pressed",),
        ("1M.A1 to earth: 0 ohm @ power off", "1M.A1 to 1M.A2: 495 ohm @ power off"),
        "3",
        PRACTICE,
    ),
    Case(
        CONVEYOR,
        ("the motor hums and does not turn",),
        ("2FU.5 to 2FU.6: 416 V @ 2PB held",),
        "fuse-blown:2FU.pole3",
        PRACTICE,
    ),
    Case(
        CONVEYOR,
        ("1M chatters",),
        ("T1.X1 to T1.X2: 84 V @ 2PB held", "T1.H1 to T1.H4: 480 V @ 2PB held"),
        "supply-low:T1",
        CHATTER,
    ),
    Case(CONVEYOR, ("1M chatters",), ("1M.A1 to 1M.A2: 120 V @ 2PB held",), "hums:1M", CHATTER),
    Case(
        CONVEYOR,
        ("1M does not pull in",),
        ("1DS.L2 to 1DS.L3: 480 V @ 2PB held", "1DS.T2 to 1DS.T3: 0 V @ 2PB held"),
        "own-switched-off:1DS",
        PRACTICE,
    ),
    Case(
        CONVEYOR,
        ("1M is out @ 2PB held", "1LT is dark @ 2PB held"),
        ("T1.X1 to T1.X2: 0 V @ at rest", "T1.H1 to T1.H4: 480 V @ at rest"),
        "T1",
        PRACTICE,
    ),
    Case(
        FAN,
        ("the fan does not run in AUTO", "the fan runs in HAND"),
        ("B1.13 to B1.14: 230 V @ B2 made, SA1 at AUTO, B1 made",),
        "B1",
        PRACTICE,
    ),
    Case(FAN, ("K1 does not pull in",), ("F2.95 to F2.96: 230 V @ running",), "overload-trips:F2", EXAM),
    Case(FAN, ("K1 does not pull in",), ("F4.1 to F4.2: 230 V @ running",), "fuse-blown:F4", PRACTICE),
    Case(LIFT, ("Q1 does not pull in",), ("F1.95 to F1.96: 24 V @ SA1 at HAND",), "overload-trips:F1", EXAM),
    Case(
        LIFT,
        ("Q1 does not pull in",),
        ("Q1.A1 to Q1.A2: 24 V @ SA1 at HAND", "Q1.A1 to Q1.A2: open @ power off"),
        "coil-open:Q1",
        NAVY,
    ),
    Case(LIFT, ("K1 does not pull in",), ("B1.13 to B1.14: 24 V @ B1 made, B2 made",), "B1", PRACTICE),
    Case(
        PUMP,
        ("K1 does not pull in",),
        ("K1.13 to K1.14: 24 V @ S2 held", "K1.13 to K1.14: open @ power off, leads off K1.13"),
        "coil-open:K1",
        NAVY,
    ),
    Case(
        PUMP,
        ("K1 does not hold in", "K1 is in @ S2 pressed and let go, test lead K1.9 to K1.5"),
        ("K1.9 to G1.-: 24 V @ S2 pressed and let go",),
        "contact-open:K1.9-5",
        HOLD_IN,
    ),
    Case(
        CONVEYOR,
        ("the motor hums and does not turn",),
        ("2FU.2 to 1M.L1: 0 A @ 2PB held", "2FU.1 to 2FU.2: 416 V @ 2PB held"),
        "fuse-blown:2FU.pole1",
        PRACTICE,
    ),
    Case(
        LIFT,
        ("Q1 does not pull in", "F13 is tripped @ SA1 at HAND"),
        ("G1.+ to G1.-: 0 V @ SA1 at HAND", "F13.1 to F13.3: 400 V @ SA1 at HAND"),
        "F13",
        PRACTICE,
    ),
    Case(
        EARTHED, ("the conveyor starts by itself",), ("K1.A2 to earth: 0 ohm @ power off",), "earthed:@3", EARTHED_START
    ),
    Case(EARTHED, ("the conveyor does not start",), ("F2.95 to F2.96: 120 V @ S2 held",), "overload-trips:F2", EXAM),
]


@cache
def circuit_in(file: str) -> Circuit:
    """A ready circuit, read once."""
    return api.read_file(api.ready_circuits() / f"{file}.panel").circuit


@cache
def place_of(case: Case) -> tuple[int, Search]:
    """Which group the true cause is in, counted from 1; 99 for none."""
    search = api.find(circuit_in(case.file), case.seen, case.readings, new=case.new)
    for number, group in enumerate(search.groups, 1):
        if any(case.cause in f"{one.cause.id} {one.cause.words}" for one in group.members):
            return number, search
    return 99, search


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.file.split('/')[1]}-{case.cause}".replace(" ", "-"))
def test_the_true_cause_is_never_worse_than_third(case: Case) -> None:
    """Sources stand beside the cases."""
    number, search = place_of(case)

    assert number <= 3, [one.cause.words for one in search.ranking.best[:5]]


def test_nine_in_ten_come_first() -> None:
    """Of at least forty."""
    first = sum(place_of(case)[0] == 1 for case in CASES)

    assert len(CASES) >= 40
    assert all(case.source for case in CASES)
    assert first >= 0.9 * len(CASES)
