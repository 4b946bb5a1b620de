"""A panel worked in time: hold-in, dips, memories, selectors, bands of volts, fuses, motors."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from panelwright.behaviour import Paces, Run, UnclearPlace
from panelwright.circuit import Do
from panelwright.language import read
from panelwright.wiring import wire
from tests.panels import well_pump

from .small_panels import moves, panel, said, start, work

VENTILATOR = Path(__file__).parents[2] / "examples" / "circuits" / "c14-two-speed-ventilator.panel"
RELAY = "pulls in 15 ms  drops out 10 ms  travels 3 ms"


def test_start_stop() -> None:
    """The well pump: runs, holds itself in, stops."""
    run = Run(well_pump())
    seen = [said(run, "K1", "H1", "H2")]
    for text in ("press S2", "release S2", "press S1", "release S1"):
        seen.append(said(work(run, text), "K1", "H1", "H2"))

    assert seen == [
        ["out", "dark", "lit"],
        ["in", "lit", "dark"],
        ["in", "lit", "dark"],
        ["out", "dark", "lit"],
        ["out", "dark", "lit"],
    ]


def test_a_change_over_breaks_before_it_makes() -> None:
    """H2 goes dark when K1 leaves, H1 lights when it arrives, 3 ms later: both are dark between."""
    run = work(Run(well_pump()), "press S2")
    changes = [(c.now, c.subject) for c in run.trace.changes if c.subject in ("H1", "H2") and c.now > 0]

    assert [tag for _, tag in changes] == ["H2", "H1"]
    assert changes[1][0] - changes[0][0] == pytest.approx(0.003)


@pytest.mark.parametrize(("dip_ms", "after"), [(2, "in"), (6, "in"), (8, "out"), (300, "out")])
def test_a_dip_shorter_than_the_release_time_goes_unnoticed(dip_ms: int, after: str) -> None:
    """K1 lets go 10 ms after it lost its volts, and its contacts leave 3 ms before."""
    run = work(Run(well_pump()), f"press and release S2; power off for {dip_ms} ms")

    assert said(run, "K1") == [after]


def test_a_diode_across_the_coil_delays_the_release() -> None:
    """With the diode the relay lets go four times later: it rides through a longer dip."""
    text = "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  relay  1 NO  coil 24 V dc  {} " + RELAY
    rung = "\nrungs from + to -\n  ( S1.no | K1.no )  K1.coil\n"
    plain, damped = start(text.format("") + rung), start(text.format("with diode  ") + rung)
    ends = [said(work(run, "press and release S1; power off for 20 ms"), "K1") for run in (plain, damped)]

    assert ends == [["out"], ["in"]]


def test_power_off_at_one_supply_leaves_the_other() -> None:
    """Two supplies; only the one named goes."""
    run = start(
        "  G2  dc supply  24 V  5 A  rails P M  floating\n"
        "devices on door\n  H1  lamp  LED  24 V dc\n  H2  lamp  LED  24 V dc\n"
        "rungs from + to -\n  H1\nrungs from P to M\n  H2\n"
    )
    work(run, "power off at G2")

    assert said(run, "H1", "H2") == ["lit", "dark"]


def test_latching_relay_remembers_through_a_failure() -> None:
    """Set, it stays without current; reset, it stays reset."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  S2  pushbutton  1 NO\n"
        "devices on plate\n  K1  latching relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.set\n  S2.no  K1.reset\n"
    )
    seen = [said(work(run, text), "K1")[0] for text in ("press and release S1", "power off for 1 s", "tap S2")]

    assert seen == ["in", "in", "out"]


def test_a_coil_that_is_fed_still_moves_a_latching_relay() -> None:
    """Both coils fed, the later one wins; when it lets go, the other one, fed all the while, moves it back."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  S2  pushbutton  1 NO\n"
        "devices on plate\n  K1  latching relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.set\n  S2.no  K1.reset\n"
    )
    seen = [said(work(run, text), "K1")[0] for text in ("press S1", "press S2", "release S2", "release S1")]

    assert seen == ["in", "out", "in", "in"]


def test_impulse_relay_changes_over_at_each_pulse() -> None:
    """Every press changes it, letting go does not."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  impulse relay  1 NO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.coil\n"
    )
    seen = [said(work(run, text), "K1")[0] for text in ("press S1", "release S1", "press S1", "release S1")]

    assert seen == ["in", "in", "out", "out"]


def test_alternating_relay_changes_over_when_its_coil_lets_go() -> None:
    """The turn changes at the end of a call, not at its start."""
    run = start(
        "devices in field\n  B1  float switch  1 NO\ndevices on plate\n  K7  alternating relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  B1.no  K7.coil\n"
    )
    seen = [said(work(run, text), "K7")[0] for text in ("make B1", "clear B1", "make B1", "clear B1")]

    assert seen == ["out", "in", "in", "out"]


def test_a_selector_passes_the_positions_between() -> None:
    """From HAND to AUTO the handle goes over OFF and AUX: what stands there is closed for a moment."""
    run = start(
        "devices on door\n  SA1  selector  HAND AUX OFF AUTO  starts at HAND\n"
        "devices on plate\n  K1  relay  2 NO  coil 24 V dc\n"
        "rungs from + to -\n  ( SA1.AUX | K1.no )  K1.coil\n"
    )
    work(run, "turn SA1 to AUTO")

    assert said(run, "SA1", "K1") == ["at AUTO", "in"]
    assert [at for _, at in moves(run, "SA1")] == ["AUX", "OFF", "AUTO"]


def test_a_cam_closed_in_two_neighbouring_positions_stays_closed_between() -> None:
    """HAND+OFF does not open on the way from HAND to OFF."""
    run = start(
        "devices on door\n  SA1  selector  HAND OFF AUTO  starts at HAND\n"
        "devices on plate\n  K1  relay  2 NO  coil 24 V dc\n"
        "rungs from + to -\n  SA1.HAND+OFF  K1.coil\n"
    )
    work(run, "turn SA1 to OFF")

    assert [at for _, at in moves(run, "K1")] == ["operated"]


def test_between_its_bands_a_coil_keeps_doing_what_it_does() -> None:
    """At 12 V of 24 V an out relay stays out and a held-in one stays in (19.2 V and 2.4 V are its bands)."""
    text = "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  relay  1 NO  coil 24 V dc\n"
    rung = "rungs from + to -\n  ( S1.no | K1.no )  K1.coil\n"
    out = work(start(text + rung), "fault G1 at 12 V; press S1")
    held = work(start(text + rung), "press S1; fault G1 at 12 V; wait 1 s")

    assert [said(out, "K1"), said(held, "K1")] == [["out"], ["in"]]
    assert any("12 V" in f for s in held.story for f in s.follows)


def test_a_mechanical_interlock_holds_the_second_contactor_out() -> None:
    """K2 has its volts and cannot move; it pulls in as soon as K1 has come back."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  S2  pushbutton  1 NO\n"
        "devices on plate\n  K1  contactor  3 poles  coil 24 V dc\n  K2  contactor  3 poles  coil 24 V dc\n"
        "  K1 and K2 interlocked mechanically\n"
        "rungs from + to -\n  S1.no  K1.coil\n  S2.no  K2.coil\n"
    )
    both = said(work(run, "press S1; press S2; wait 1 s"), "K1", "K2")

    assert both == ["in", "out"]
    assert said(work(run, "release S1"), "K1", "K2") == ["out", "in"]


def test_the_first_contactor_wins_by_a_hair() -> None:
    """The interlock counts from the moment the other one leaves its rest."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n"
        "devices on plate\n  K1  contactor  coil 24 V dc  pulls in 20 ms  drops out 10 ms\n"
        "  K2  contactor  coil 24 V dc  pulls in 21 ms  drops out 10 ms\n"
        "  K1 and K2 interlocked mechanically\n"
        "rungs from + to -\n  S1.no  @1\n  @1  K1.coil\n  @1  K2.coil\n"
    )

    assert said(work(run, "press S1; wait 1 s"), "K1", "K2") == ["in", "out"]


def test_a_fuse_blows_and_the_circuit_goes_on_without() -> None:
    """Earth fault on the live side: the fuse opens within some milliseconds, what it fed drops out."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  H1  lamp  LED  24 V dc\n"
        "devices on plate\n  F1  fuse  0.5 A\n  K1  relay  2 NO  coil 24 V dc\n"
        "rungs from + to -\n  F1  @1\n  H1\nrungs from @1 to -\n  ( S1.no | K1.no )  K1.coil\n"
    )
    work(run, "press and release S1; fault @1 touches earth")

    assert said(run, "F1", "K1", "H1") == ["blown", "out", "lit"]
    assert run.shorts


def test_a_new_fuse_holds_only_when_the_short_is_gone() -> None:
    """Renewed while the fault is there it blows again at once."""
    run = start(
        "devices on door\n  H1  lamp  LED  24 V dc\ndevices on plate\n  F1  fuse  0.5 A\n"
        "rungs from + to -\n  F1  @1\nrungs from @1 to -\n  H1\n"
    )
    seen = [said(work(run, text), "F1")[0] for text in ("bridge @1 and -", "renew F1", "mend; renew F1; wait 1 s")]

    assert seen == ["blown", "blown", "whole"]


def test_a_breaker_trips_and_can_be_switched_on_again() -> None:
    """After the fault is mended the handle brings it back; a fuse would stay blown."""
    run = start(
        "devices on door\n  H1  lamp  LED  24 V dc\n"
        "devices on plate\n  F1  breaker  1 pole  0.5 A\n"
        "rungs from + to -\n  F1  @1\nrungs from @1 to -\n  H1\n"
    )
    tripped = said(work(run, "fault @1 touches -"), "H1")
    mended = said(work(run, "mend; wait 1 s"), "H1")

    assert [tripped, mended, said(work(run, "switch on F1"), "H1")] == [["dark"], ["dark"], ["lit"]]


def test_a_disconnect_is_closed_at_the_start() -> None:
    """A panel is tried as it is in service; opened, the motor stops."""
    mains = 'panel "T"\nsupplies\n  L  mains  400 V 50 Hz  rails L1 L2 L3\n'
    run = Run(
        panel(
            "devices on plate\n  Q1  disconnect  3 poles  16 A\n"
            "devices in field\n  M1  three-phase motor  1.5 kW  400 V  3.4 A\n"
            "power paths from L1 L2 L3\n  Q1.poles  M1\n",
            mains,
        )
    )

    assert said(run, "Q1", "M1") == ["on", "running forward"]
    assert said(work(run, "switch off Q1"), "Q1", "M1") == ["off", "stopped"]


def test_a_contactor_pushed_in_by_hand() -> None:
    """It stays as long as the hand is there, then its coil decides."""
    run = start(
        "devices on plate\n  K1  contactor  1 NO  coil 24 V dc\n  H1  lamp  LED  24 V dc\n  S1  pushbutton  1 NO\n"
        "rungs from + to -\n  K1.no  H1\n  S1.no  K1.coil\n"
    )
    pushed = said(run.do(Do("push-in", ("K1",))), "K1", "H1")

    assert pushed == ["in", "lit"]
    assert said(run.do(Do("release", ("K1",))), "K1", "H1") == ["out", "dark"]


def test_everything_in_one_step_happens_at_the_same_instant() -> None:
    """Stop and start pressed together: stop wins."""
    assert said(work(Run(well_pump()), "press S1 and S2"), "K1") == ["out"]


def test_a_copy_goes_its_own_way() -> None:
    """What is done in the copy is not seen in the run that it came from."""
    run = Run(well_pump())
    twin = work(run.copy(), "press S2")

    assert [said(run, "K1"), said(twin, "K1")] == [["out"], ["in"]]
    assert len(run.trace.steps) < len(twin.trace.steps)


BY_HAND = ("press S1", "release S1", "press S2", "release S2")
STEPS = st.sampled_from((*BY_HAND, "power off for 5 ms", "power off for 1 s", "wait 3 ms", "wait 1 s"))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(STEPS, max_size=8))
def test_the_same_steps_give_the_same_course(steps: list[str]) -> None:
    """Deterministic to the last figure of every time."""
    one, other = (work(Run(well_pump()), "; ".join(steps) or "wait 1 s") for _ in range(2))

    assert one.trace.changes == other.trace.changes
    assert one.state.stands == other.state.stands


def test_steps_of_different_kinds_at_the_same_instant() -> None:
    """A button tapped while a float makes: the float stays made."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\ndevices in field\n  B1  float switch  1 NO\n"
        "devices on plate\n  K1  relay  1 NO  coil 24 V dc\nrungs from + to -\n  S1.no  B1.no  K1.coil\n"
    )
    run.do(Do("tap", ("S1",), also=(Do("make", ("B1",)),)))

    assert said(run, "S1", "B1") == ["released", "made"]
    assert [at for _, at in moves(run, "K1")] == ["operated", "rest"]


def test_devices_may_be_taken_fast_or_slow() -> None:
    """At the ends of its tolerance of 20 % a relay of 15 ms pulls in after 12 or 18 ms."""
    ends = {}
    for pace in ("nominal", "fast", "slow"):
        run = work(Run(well_pump(), paces=Paces(by_tag={"K1": pace})), "press S2")
        ends[pace] = round(moves(run, "K1")[0][0] - 0.002, 6)

    assert ends == {"nominal": 0.015, "fast": 0.012, "slow": 0.018}


def test_two_lamps_in_series_are_dim() -> None:
    """Each gets half: between what surely lights and what surely does not."""
    run = start(
        "devices on door\n  H1  lamp  LED  24 V dc\n  H2  lamp  LED  24 V dc\nrungs from + to -\n  H1  @1\n  @1  H2\n"
    )

    assert said(run, "H1", "H2") == ["dim", "dim"]


def test_the_smaller_fuse_goes_first() -> None:
    """Two in series: the one downstream opens, the one upstream stays whole."""
    run = start(
        "devices on plate\n  F1  fuse  2 A\n  F2  fuse  0.5 A\n  H1  lamp  LED  24 V dc\n  H2  lamp  LED  24 V dc\n"
        "rungs from + to -\n  F1  @1\nrungs from @1 to -\n  F2  @2\n  H1\nrungs from @2 to -\n  H2\n"
    )
    work(run, "fault @2 touches -")

    assert said(run, "F1", "F2", "H1", "H2") == ["whole", "blown", "lit", "dark"]


def test_what_cannot_be_done_is_said() -> None:
    """An unknown tag or verb is an error of the caller."""
    with pytest.raises(UnclearPlace, match="no device called S9"):
        Run(well_pump()).do(Do("press", ("S9",)))
    with pytest.raises(ValueError, match="nothing can be done that is called juggle"):
        Run(well_pump()).do(Do("juggle", ("S1",)))


@pytest.mark.parametrize("start", ["S2", "S3"])
def test_a_motor_of_two_speeds_runs_at_either(start: str) -> None:
    """Two sets of windings, one contactor each: the motor runs when either has its volts."""
    run = Run(wire(read(VENTILATOR.read_text(encoding="utf-8")).circuit))
    stopped = run.state.word("M1", "running")
    run.do(Do("tap", (start,)))

    assert ("stopped", "running forward") == (stopped, run.state.word("M1", "running"))
