"""What never settles, and what depends on who is quicker."""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwright.behaviour import Run, told
from panelwright.circuit import Mechanism

from .small_panels import panel, said, start, work

BUZZER = (
    "devices on door\n  S1  pushbutton  1 NO\n"
    "devices on plate\n  K1  relay  1 CO  coil 24 V dc  pulls in 15 ms  drops out 10 ms  travels 3 ms\n"
    "  T1  on-delay timer  5 s  1 NO  coil 24 V dc\n"
    "rungs from + to -\n  S1.no  @1\n  @1  K1.nc  K1.coil\n  @1  T1.coil\n"
)
JOG = (
    "devices on door\n  S1  pushbutton  1 NC\n  S2  pushbutton  1 NO\n  S3  pushbutton  1 NO + 1 NC  travels 2 ms\n"
    "devices on plate\n  K1  relay  1 NO  coil 24 V dc  pulls in 15 ms  drops out {} ms\n"
    "rungs from + to -\n  S1.nc ( S2.no | S3.no | S3.nc K1.no ) K1.coil\n"
)


def test_a_relay_that_opens_its_own_coil_buzzes() -> None:
    """The oscillator relay of a technology course (Picuino, unit on relays): no state in which it can rest."""
    run = work(start(BUZZER), "press S1")

    assert run.buzz is not None
    assert run.buzz.tags == {"K1"}
    assert said(run, "K1") == ["buzzing"]


def test_its_beat_follows_from_its_times() -> None:
    """Its magnet pulls 12 ms after the coil gets volts and lets go 7 ms after it loses them; either way takes 3 ms."""
    run = work(start(BUZZER), "press S1")

    assert run.buzz is not None
    # coil on at 0; leaves at 12 and opens; its magnet holds on until 12 + 7 = 19, back at 22: on again
    assert run.buzz.period_s == pytest.approx(0.022)


def test_buzzing_ends_with_its_cause() -> None:
    """Let go, it rests."""
    run = work(start(BUZZER), "press S1; release S1")

    assert run.buzz is None
    assert said(run, "K1") == ["out"]


def test_time_goes_by_while_something_buzzes() -> None:
    """A timer beside it runs its time, and a minute takes no minute to compute."""
    run = work(start(BUZZER), "press S1; wait 60 s")

    assert run.state.stands["T1"].timed.at == "operated"
    assert run.buzz is not None
    assert len(run.trace.steps) < 500


def test_a_flasher_of_two_timers_is_no_buzzing() -> None:
    """What goes to and fro by set times is meant to."""
    run = start(
        "devices on plate\n"
        "  T1  on-delay timer  0.5 s  1 NO  coil 24 V dc\n  T2  on-delay timer  0.5 s  1 NC  coil 24 V dc\n"
        "rungs from + to -\n  T2.nc  T1.coil\n  T1.no  T2.coil\n"
    )
    work(run, "wait 10 s")

    assert run.buzzes == []


def test_the_jog_button_that_may_latch() -> None:
    """The break contact of the jog button closes before K1 has let go.

    Source: Basic Motor Control, BCcampus 2020 (CC BY 4.0), chapter 35, Dangerous Jog Circuit.
    """
    run = Run(panel(JOG.format(12)), watch_races=True)
    work(run, "press S3")
    before = list(run.races)
    work(run, "release S3")

    assert before == []
    assert said(run, "K1") == ["in"]
    assert [race.tags for race in run.races] == [("K1",)]
    assert str(run.races[0]) == "usually K1 in; with S3 slow and K1 quick K1 out"


def test_both_courses_of_a_race_are_told() -> None:
    """A race carries the two traces that end differently."""
    race = work(Run(panel(JOG.format(12)), watch_races=True), "press S3; release S3").races[0]

    assert [str(sentence) for sentence in told(race.usual)] == ["S3 released: nothing changes"]
    assert [str(sentence) for sentence in told(race.other)] == ["S3 released: K1 drops out: S3 13-14 opened its path"]


def test_two_contactors_with_contact_interlock_pressed_together() -> None:
    """Who comes first keeps the other out: that is a race when both buttons go down in one instant."""
    run = Run(
        panel(
            "devices on door\n  S2  pushbutton  1 NO\n  S3  pushbutton  1 NO\n"
            "devices on plate\n  K1  contactor  1 NC  coil 24 V dc\n  K2  contactor  1 NC  coil 24 V dc\n"
            "rungs from + to -\n  S2.no  K2.nc  K1.coil\n  S3.no  K1.nc  K2.coil\n"
        ),
        watch_races=True,
    )
    work(run, "press S2 and S3")

    assert [("K1", "K2")] == [race.tags for race in run.races][:1] or run.buzzes


def test_button_interlock_leaves_no_race() -> None:
    """With each button's break contact in the other's rung nothing depends on who is quicker."""
    run = Run(
        panel(
            "devices on door\n  S1  pushbutton  1 NC\n  S2  pushbutton  1 NO + 1 NC\n  S3  pushbutton  1 NO + 1 NC\n"
            "devices on plate\n  K1  contactor  1 NO  coil 24 V dc\n  K2  contactor  1 NO  coil 24 V dc\n"
            "rungs from + to -\n  S1.nc  @1\n"
            "  @1  ( S2.no | K1.no )  S3.nc  K1.coil\n  @1  ( S3.no | K2.no )  S2.nc  K2.coil\n"
        ),
        watch_races=True,
    )
    work(run, "press S2 and S3; release S2 and S3; press and release S2; press and release S3; press S1")

    assert run.races == []


def test_a_dip_about_as_long_as_the_release_time_is_a_race() -> None:
    """A relay of 10 ms plus or minus 20 %, of which 3 ms are travel, may or may not ride through 7 ms."""
    run = Run(
        panel(
            "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n"
            "  K1  relay  1 NO  coil 24 V dc\n  K2  relay  1 NO  coil 24 V dc\n"
            "rungs from + to -\n  ( S1.no | K1.no )  K1.coil\n  K1.no  K2.coil\n"
        ),
        watch_races=True,
    )
    work(run, "press and release S1; power off for 7 ms")

    assert any("K1" in race.tags for race in run.races)


def two_timers(first: str, second: str) -> Run:
    """Each timer's relay keeps the other's out."""
    return Run(
        panel(
            "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n"
            f"  T1  on-delay timer  {first}  1 NO  coil 24 V dc\n  T2  on-delay timer  {second}  1 NO  coil 24 V dc\n"
            "  K1  relay  1 NO + 1 NC  coil 24 V dc\n  K2  relay  1 NO + 1 NC  coil 24 V dc\n"
            "rungs from + to -\n  S1.no  @1\n  @1  T1.coil\n  @1  T2.coil\n"
            "  T1.no  K2.nc  K1.coil\n  T2.no  K1.nc  K2.coil\n"
        ),
        watch_races=True,
    )


def test_two_timers_set_nearly_alike_race() -> None:
    """5 s and 5.2 s, each within 5 %: whichever comes first keeps the other's relay out."""
    run = work(two_timers("5 s", "5.2 s"), "press S1; wait 6 s")

    assert ("K1", "K2") in [race.tags for race in run.races]


def test_two_timers_set_far_apart_do_not_race() -> None:
    """5 s and 7 s stay in their order whatever their tolerance of 5 %."""
    run = work(two_timers("5 s", "7 s"), "press S1; wait 8 s")

    assert run.races == []
    assert said(run, "K1", "K2") == ["in", "out"]


def test_relays_without_times_buzz_too() -> None:
    """Without times everything happens in one instant, again and again, and time still goes by."""
    circuit = panel(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.nc  K1.coil\n"
    )
    devices = tuple(replace(d, mechanism=Mechanism(d.mechanism.sort)) for d in circuit.devices)
    run = work(Run(replace(circuit, devices=devices)), "press S1; wait 10 s")

    assert run.buzz is not None
    assert run.now == pytest.approx(10.0)


def test_many_starters_in_a_row_are_searched_for_races_together() -> None:
    """Starters that share only the rails have nothing to do with one another: few courses are enough for all."""
    rungs = "".join(f"  S{n}.no  K{n}.nc  K{n + 50}.coil\n  S{n}.no  K{n + 50}.nc  K{n}.coil\n" for n in range(1, 13))
    devices = "".join(f"  S{n}  pushbutton  2 NO\n" for n in range(1, 13))
    relays = "".join(f"  K{n}  relay  1 NC  coil 24 V dc\n" for n in (*range(1, 13), *range(51, 63)))
    run = Run(
        panel(f"devices on door\n{devices}devices on plate\n{relays}rungs from + to -\n{rungs}"), watch_races=True
    )
    work(run, "press " + " and ".join(f"S{n}" for n in range(1, 13)))

    assert run.races or run.buzzes
