"""Named faults: each form does to the panel what its words say."""

from __future__ import annotations

from itertools import combinations

import pytest

from panelwright.behaviour import FORMS, Run, inject
from panelwright.circuit import Fault, Problem
from panelwright.electrics import Opened
from panelwright.wiring import wire

from .small_panels import panel, said, work

TEXT = (
    "devices on door\n  S1  pushbutton  1 NC\n  S2  pushbutton  1 NO\n"
    "  H1  lamp  LED  24 V dc\n  H2  lamp  LED  24 V dc\n"
    "devices on plate\n  F1  fuse  1 A\n  K1  relay  4 CO  coil 24 V dc  base blade-14\n"
    "  T1  on-delay timer  2 s  1 NO  coil 24 V dc\n"
    "rungs from + to -\n  F1  @1\n"
    "rungs from @1 to -\n  S1.nc  @2  ( S2.no | K1.no1 )  @3  K1.coil\n  K1.no2  @5  H1\n  K1.nc  @6  H2\n"
    "  @3  T1.coil\n"
)


def after(fault: Fault, steps: str = "press and release S2") -> Run:
    """The panel with a fault, worked."""
    run = Run(panel(TEXT))
    assert run.put_in(fault) is None
    return work(run, steps)


@pytest.mark.parametrize(
    ("fault", "steps", "tags", "seen"),
    [
        (Fault("open", "K1.coil"), "press S2", "K1 H2", ["out", "lit"]),
        (Fault("open", "H1"), "press S2", "K1 H1", ["in", "dark"]),
        (Fault("stuck open", "K1.no1"), "press and release S2", "K1", ["out"]),
        (Fault("stuck closed", "S2.no"), "wait 1 s", "K1", ["in"]),
        (Fault("stuck closed", "K1.nc"), "press S2", "K1 H1 H2", ["in", "lit", "lit"]),
        (Fault("stuck in", "K1"), "wait 1 s", "K1 H1", ["in", "lit"]),
        (Fault("stuck out", "K1"), "press S2", "K1 H2", ["out", "lit"]),
        (Fault("stuck pressed", "S1"), "press S2", "K1", ["out"]),
        (Fault("stuck released", "S1"), "press and release S2; press S1", "K1", ["in"]),
        (Fault("jams", "K1"), "press S2", "K1", ["out"]),
        (Fault("touches", "@3", "@1"), "wait 1 s", "K1", ["in"]),
        (Fault("touches", "@1", "earth"), "wait 1 s", "F1 H2", ["blown", "dark"]),
        (Fault("touches", "@1", "-"), "wait 1 s", "F1 H2", ["blown", "dark"]),
        (Fault("lost", "-"), "press S2", "K1 H2", ["out", "dark"]),
        (Fault("blown", "F1"), "press S2", "F1 K1", ["blown", "out"]),
        (Fault("lifted", "K1.14"), "press S2", "K1 H2", ["out", "lit"]),
        (Fault("shorted", "K1.coil"), "press S2", "F1 K1", ["blown", "out"]),
        (Fault("reversed", "H1"), "press S2", "H1 K1", ["dark", "in"]),
        (Fault("supply at", "G1", value=12.0), "press S2", "K1 H2", ["out", "dim"]),
        (Fault("weak supply", "G1", value=0.03), "press S2", "K1", ["out"]),
        (Fault("weak supply", "G1", value=0.5), "press S2", "K1", ["in"]),
        (Fault("never closes", "S2.no"), "press S2", "K1", ["out"]),
        (Fault("earthed", "@1"), "wait 1 s", "F1", ["blown"]),
        (Fault("stuck open", "K1.5-9"), "press and release S2", "K1", ["out"]),
        (Fault("time at", "T1", value=0.5), "press S2; wait 1 s", "T1", ["in"]),
        (Fault("exchanged", "S1.nc", "S2.no"), "press and release S2", "K1", ["out"]),
        (Fault("landed on", "H1.X1", "K1.12"), "wait 1 s", "H1", ["dark"]),
        (Fault("resistance", "K1.13", value=1000.0), "press S2", "K1", ["out"]),
        (Fault("leakage", "S2.no", value=10.0), "wait 1 s", "K1", ["in"]),
        (Fault("leakage", "S2.no", value=100_000.0), "wait 1 s", "K1", ["out"]),
        (Fault("hums", "K1"), "press S2", "K1", ["in"]),
        (Fault("assumption broken", "S2"), "press S2", "K1", ["in"]),
    ],
    ids=lambda value: f"{value.form} {value.subject}" if isinstance(value, Fault) else "",
)
def test_fault(fault: Fault, steps: str, tags: str, seen: list[str]) -> None:
    """The fault shows as said."""
    assert said(after(fault, steps), *tags.split()) == seen


def test_a_timer_that_never_times_out() -> None:
    """Its timed contact stays, however long one waits."""
    run = after(Fault("never times out", "T1"), "press S2; wait 1000 s")

    assert run.state.stands["T1"].timed.at == "rest"


def test_time_at() -> None:
    """Set to half a second instead of two."""
    run = after(Fault("time at", "T1", value=0.5), "press S2; wait 1 s")

    assert run.state.stands["T1"].timed.at == "operated"


def test_wire_open() -> None:
    """One wire of a chain: what hangs behind it is cut off, the rest is not."""
    last = next(one for one in wire(panel(TEXT)).wires if "H1.X1" in one.ends)
    run = after(Fault("wire open", *last.ends), "press S2")

    assert said(run, "K1", "H1") == ["in", "dark"]


def test_in_place_of() -> None:
    """The break contact used where the make contact belongs: the lamp shows the opposite."""
    run = after(Fault("in place of", "K1.nc", "K1.no2"), "wait 1 s")

    assert said(run, "K1", "H1") == ["out", "lit"]


def test_a_welded_make_contact_of_a_forcibly_guided_relay_keeps_its_break_contacts_open() -> None:
    """Make and break contacts of such a relay are never closed together. Source: IEC 61810-3, from memory."""
    circuit = panel(
        "devices on plate\n  K1  relay  forcibly-guided  2 NO + 2 NC  coil 24 V dc\n  H1  lamp  LED  24 V dc\n"
        "  H2  lamp  LED  24 V dc\nrungs from + to -\n  K1.no  H1\n  K1.nc  H2\n"
    )
    run = Run(circuit)
    run.put_in(Fault("stuck closed", "K1.no"))

    assert said(run, "K1", "H1", "H2") == ["out", "lit", "dark"]


def test_a_fluttering_contact() -> None:
    """The lamp flickers; the fault ends with its mending."""
    run = after(Fault("flutters", "K1.nc", value=0.02), "wait 1 s")
    flickers = sum(change.subject == "H2" for change in run.trace.changes)

    assert flickers > 40
    assert said(work(run, "mend; wait 1 s"), "H2") == ["lit"]


def test_a_bouncing_contact() -> None:
    """It opens three times more within some milliseconds of closing; an impulse relay may count that."""
    run = after(Fault("bounces", "K1.no2"), "press S2; wait 1 s")
    lights = [change.after for change in run.trace.changes if change.subject == "H1"]

    assert lights == ["full", "none"] * 3 + ["full"]


def test_a_loose_contact_opens_when_a_relay_moves_beside_it() -> None:
    """Every time K1 arrives its place shakes, and the hold-in contact opens long enough to lose K1."""
    run = after(Fault("loose", "K1.no1", value=0.05), "press and release S2")

    assert said(run, "K1") == ["out"]


def test_mending_one_fault_leaves_the_other() -> None:
    """Mend by name."""
    run = after(Fault("open", "H1"), "press S2")
    run.put_in(Fault("open", "H2"))
    run.mend("H1")

    assert [fault.subject for fault in run.faults] == ["H2"]
    assert said(run, "H1") == ["lit"]


def test_a_stuck_relay_that_is_mended_goes_where_its_coil_wants() -> None:
    """Stuck in without current: mended, it drops out."""
    run = after(Fault("stuck in", "K1"), "press S1; wait 1 s; mend; wait 1 s")

    assert said(run, "K1") == ["out"]


def test_a_name_that_may_mean_several_contacts_asks_for_a_label() -> None:
    """K1.no stands for one contact or the other: say which."""
    problem = inject(Run(panel(TEXT)).circuit, Fault("open", "K1.no"))

    assert isinstance(problem, Problem)
    assert "may mean" in problem.message
    assert "label" in problem.mend


@pytest.mark.parametrize("subject", ["K9.coil", "K1.no7", "K1.A1", "@9"])
def test_a_name_that_means_nothing_is_told_with_what_there_is(subject: str) -> None:
    """Never an exception."""
    form = "touches" if subject.startswith("@") else "lifted"
    problem = inject(Run(panel(TEXT)).circuit, Fault(form, subject, "earth"))

    assert isinstance(problem, Problem)
    assert problem.mend


@pytest.mark.parametrize("tag", ["H1", "SA1"])
def test_what_cannot_stick_says_so(tag: str) -> None:
    """A lamp has nothing that moves; a selector sticks where it stands."""
    circuit = panel(
        "devices on door\n  H1  lamp  LED  24 V dc\n  SA1  selector  HAND OFF  starts at OFF\n"
        "rungs from + to -\n  SA1.HAND  H1\n"
    )
    problem = inject(Run(circuit).circuit, Fault("stuck in", tag))

    assert isinstance(problem, Problem)
    assert problem.message == f"{tag} cannot be stuck in"


def test_an_unknown_form_is_a_problem() -> None:
    """Never an exception."""
    assert isinstance(inject(Run(panel(TEXT)).circuit, Fault("sulks", "K1")), Problem)


def test_edits_are_values() -> None:
    """What a fault changes can be looked at without a run."""
    injected = inject(Run(panel(TEXT)).circuit, Fault("open", "K1.coil"))

    assert not isinstance(injected, Problem)
    assert injected.edits == (Opened("K1.coil"),)


def test_every_form_of_the_language_is_known() -> None:
    """The forms that the circuit's faults may have."""
    assert FORMS >= {"open", "shorted", "stuck open", "stuck closed", "stuck in", "stuck out", "stuck pressed"}
    assert FORMS >= {"touches", "lost", "blown", "lifted", "wire open", "reversed", "supply at", "time at"}
    assert FORMS >= {"exchanged", "in place of", "landed on", "resistance", "leakage", "capacitance", "coupled"}
    assert FORMS >= {"never times out", "flutters", "loose", "weak supply", "hums", "jams", "assumption broken"}


def test_a_wire_that_is_not_there_is_told_with_those_that_are() -> None:
    """Two terminals of one net need not have a wire of their own."""
    wiring = wire(panel(TEXT))
    laid = {frozenset(one.ends) for one in wiring.wires}
    pairs = (pair for net in wiring.nets for pair in combinations(net.terminals, 2))
    a, b = next(pair for pair in pairs if frozenset(pair) not in laid)
    problem = Run(wiring).put_in(Fault("wire open", a, b))

    assert problem is not None
    assert problem.message == f"there is no wire from {a} to {b} in this panel"
    assert "take one that is there: wire from" in problem.mend


@pytest.mark.parametrize(
    ("fault", "seen"),
    [
        (Fault("open", "K1.pole1"), "hums"),
        (Fault("stuck open", "K1.poles"), "stopped"),
        (Fault("open", "F2.pole3"), "hums"),
        (Fault("lost", "L2"), "hums"),
        (Fault("open", "M1"), "stopped"),
        (Fault("exchanged", "M1.U", "M1.V"), "running reverse"),
        (Fault("lifted", "M1.W"), "hums"),
        (Fault("blown", "F1"), "stopped"),
    ],
    ids=lambda value: f"{value.form} {value.subject}" if isinstance(value, Fault) else "",
)
def test_fault_in_the_power_circuit(fault: Fault, seen: str) -> None:
    """Poles by number, phases by rail, leads by mark."""
    mains = 'panel "T"\nsupplies\n  L  mains  400 V 50 Hz  rails L1 L2 L3\n  G1  dc supply  24 V  5 A  rails + -\n'
    circuit = panel(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  F1  fuse  3 poles  16 A\n"
        "  K1  contactor  3 poles  coil 24 V dc\n  F2  overload relay  3 poles  2.5 A to 4 A  set 3.4 A\n"
        "devices in field\n  M1  three-phase motor  1.5 kW  400 V  3.4 A\n"
        "power paths from L1 L2 L3\n  F1.poles  K1.poles  F2.poles  M1\nrungs from + to -\n  S1.no  K1.coil\n",
        mains,
    )
    run = Run(circuit)
    assert run.put_in(fault) is None

    assert said(work(run, "press S1"), "M1") == [seen]
