"""The story of a run, and its chart."""

from __future__ import annotations

from panelwright.behaviour import Run, chart_of
from tests.panels import well_pump

from .small_panels import start, work


def story(run: Run) -> list[str]:
    """The sentences."""
    return [str(sentence) for sentence in run.story]


def test_the_well_pump_tells_itself() -> None:
    """Every coil with the path of closed contacts that feeds it, every loss with what opened it."""
    run = work(Run(well_pump()), "press S2; release S2; press S1; release S1; power off for 1 s")

    assert story(run) == [
        "power on: H2 lights through K1 12-4",
        "S2 pressed: K1 pulls in through S1 and S2; H2 goes dark; K1 9-5 closes and holds it in; "
        "H1 lights through K1 12-8",
        "S2 released: nothing changes",
        "S1 pressed: K1 drops out: S1 opened its path; H1 goes dark; H2 lights through K1 12-4",
        "S1 released: nothing changes",
        "power off: H2 goes dark",
        "power on: H2 lights through K1 12-4",
    ]


def test_a_coil_that_loses_its_supply_says_so() -> None:
    """Not a contact's fault."""
    run = work(Run(well_pump()), "press and release S2; power off")

    assert story(run)[-1] == "power off: H1 goes dark; K1 drops out: G1 is off"


def test_timers_tell_when_they_start_and_when_they_have_run_out() -> None:
    """The moment a time is up begins a sentence of its own."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  H1  lamp  LED  24 V dc\n"
        "devices on plate\n  T1  on-delay timer  5 s  1 NO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  T1.coil\n  T1.no  H1\n"
    )
    work(run, "press S1; wait 6 s; release S1")

    assert story(run)[1:] == [
        "S1 pressed: T1 pulls in through S1 and starts its 5 s",
        "T1 has run out: H1 lights through T1 17-18",
        "S1 released: T1 drops out: S1 opened its path; H1 goes dark",
    ]


def test_buzzing_is_told_once() -> None:
    """Not every round of it."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  K1  relay  1 CO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  K1.nc  K1.coil\n"
    )
    work(run, "press S1; wait 10 s; release S1")

    assert story(run)[1] == (
        "S1 pressed: K1 pulls in through S1 and K1 11-12; K1 drops out: K1 11-12 opened its path; K1 buzzes without end"
    )


def test_a_mechanical_interlock_is_told() -> None:
    """The second contactor has its volts; that it does not move needs a reason."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n  S2  pushbutton  1 NO\n"
        "devices on plate\n  K1  contactor  coil 24 V dc\n  K2  contactor  coil 24 V dc\n"
        "  K1 and K2 interlocked mechanically\n"
        "rungs from + to -\n  S1.no  K1.coil\n  S2.no  K2.coil\n"
    )
    work(run, "press S1; press S2")

    assert story(run)[-1] == "S2 pressed: K2 gets its volts, but K1 holds it out mechanically"


def test_the_chart_has_a_line_for_everything_that_moved() -> None:
    """In the order in which it first did; moving contacts are half way up."""
    chart = chart_of(work(Run(well_pump()), "press S2").trace)
    lines = {line.tag: line.steps for line in chart.lines}

    assert list(lines) == ["H2", "S2", "K1", "H1"]
    assert [(level, word) for _, level, word in lines["K1"]] == [(0.0, ""), (0.5, ""), (1.0, "in")]
    assert [event.letter for event in chart.events] == ["a"]


def test_the_chart_measures_set_times() -> None:
    """From the coil to the timed contact."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\ndevices on plate\n  T1  on-delay timer  5 s  1 NO  coil 24 V dc\n"
        "  H1  lamp  LED  24 V dc\nrungs from + to -\n  S1.no  T1.coil\n  T1.no  H1\n"
    )
    chart = chart_of(work(run, "press S1; wait 6 s").trace)

    assert [(time.tag, time.text) for time in chart.set_times] == [("T1", "5 s")]
