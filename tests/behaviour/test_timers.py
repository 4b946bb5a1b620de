"""Timers against their timing charts.

The charts are the ones by which the trade names the functions (IEC 61812-1 speaks of delay-on, delay-off, interval,
flashing and star-delta functions): from memory, common practice.
"""

from __future__ import annotations

import pytest

from panelwright.behaviour import Run

from .small_panels import moves, said, start, work

EXACT = "pulls in 20 ms  drops out 10 ms  travels 4 ms"
FED = 0.001  # the button's contact has travelled
OPERATES, RETURNS, TRAVELS = 0.020, 0.010, 0.004


def chart(run: Run, what: str = "timed contacts") -> list[tuple[float, str]]:
    """When the contacts of T1 arrived where."""
    return [(pytest.approx(when), at) for when, at in moves(run, "T1", what)]


def cut(run: Run) -> float:
    """Let S1 go; the moment at which the coil lost its volts."""
    now = run.now
    work(run, "release S1")
    return now


def timer(kind: str, contacts: str = "1 NO + 1 NC", more: str = "", rungs: str = "S1.no  T1.coil") -> Run:
    """A timer with exact times, fed by a button."""
    return start(
        "devices on door\n"
        "  S1  pushbutton  1 NO  travels 1 ms\n"
        "devices on plate\n"
        f"  T1  {kind}  {contacts}  coil 24 V dc  {EXACT}  {more}\n"
        f"rungs from + to -\n  {rungs}\n"
    )


def test_on_delay() -> None:
    """Timed contacts operate a set time after the coil gets its volts and return with it."""
    run = work(timer("on-delay timer 2 s"), "press S1; wait 5 s")
    end = cut(run)

    assert chart(run) == [(FED + 2.0 + TRAVELS, "operated"), (end + RETURNS, "rest")]
    assert chart(run, "contacts") == [(FED + OPERATES, "operated"), (end + RETURNS, "rest")]


def test_on_delay_starts_anew_after_every_interruption() -> None:
    """Two pulses of 1.5 s do not add up to 2 s."""
    run = work(timer("on-delay timer 2 s"), "press S1; wait 1.5 s; release S1; wait 1 s; press S1; wait 1.5 s")

    assert moves(run, "T1", "timed contacts") == []


def test_on_delay_does_not_notice_a_gap_shorter_than_its_release_time() -> None:
    """The time goes on through a dip of 5 ms: the relay releases after 10 ms."""
    run = work(timer("on-delay timer 2 s"), "press S1; wait 1 s; power off for 5 ms; wait 1.5 s")

    assert chart(run) == [(FED + 2.0 + TRAVELS, "operated")]


def test_off_delay_without_supply() -> None:
    """Timed contacts operate with the coil and return a set time after it lost its volts."""
    run = work(timer("off-delay timer 2 s"), "press S1; wait 1 s")
    end = cut(run)
    work(run, "wait 5 s")

    assert chart(run) == [(FED + OPERATES, "operated"), (end + 2.0 + TRAVELS, "rest")]


def test_off_delay_without_supply_runs_through_a_failure() -> None:
    """It keeps its time when the supply fails: that is what it is for."""
    run = work(timer("off-delay timer 2 s"), "press S1; wait 1 s; power off; wait 1.9 s")

    assert run.state.stands["T1"].timed.at == "operated"


def test_off_delay_with_supply_returns_when_its_supply_fails() -> None:
    """A timer that needs a supply of its own cannot keep its time without."""
    run = timer("off-delay timer 2 s  with supply", rungs="( S1.no  T1.coil | T1.supply )")
    work(run, "press S1; wait 1 s; release S1; wait 0.5 s; power off; wait 0.2 s")

    assert run.state.stands["T1"].timed.at == "rest"


def test_off_delay_with_supply_times_out_on_its_supply() -> None:
    """With the supply on it returns a set time after the start input opened."""
    run = timer("off-delay timer 2 s  with supply", rungs="( S1.no  T1.coil | T1.supply )")
    work(run, "press S1; wait 1 s")
    end = cut(run)
    work(run, "wait 5 s")

    assert chart(run) == [(FED + OPERATES, "operated"), (end + 2.0 + TRAVELS, "rest")]


def test_off_delay_started_again_runs_anew() -> None:
    """Fed again before its time is up it stays, and times from the next release."""
    run = work(timer("off-delay timer 2 s"), "press S1; wait 1 s; release S1; wait 1 s; press S1; wait 1 s; release S1")
    work(run, "wait 1.5 s")

    assert said(run, "T1") == ["out"]
    assert run.state.stands["T1"].timed.at == "operated"


def test_interval() -> None:
    """Timed contacts operate with the coil and return by themselves after the set time."""
    run = work(timer("interval timer 2 s"), "press S1; wait 5 s; release S1; wait 1 s")

    assert chart(run) == [(FED + OPERATES, "operated"), (FED + 2.0 + TRAVELS, "rest")]


def test_interval_is_cut_short_with_its_coil() -> None:
    """The coil lost, the interval ends."""
    run = work(timer("interval timer 2 s"), "press S1; wait 1 s; release S1; wait 1 s")

    assert [at for _, at in moves(run, "T1", "timed contacts")] == ["operated", "rest"]


def test_flasher_begins_operated() -> None:
    """Operated for the first time, at rest for the other, while the coil is in."""
    run = work(timer("flasher 1 s"), "press S1; wait 4.5 s; release S1; wait 3 s")

    assert [(round(when, 1), at) for when, at in moves(run, "T1", "timed contacts")] == [
        (0.0, "operated"),
        (1.0, "rest"),
        (2.0, "operated"),
        (3.0, "rest"),
        (4.0, "operated"),
        (4.5, "rest"),
    ]


def test_star_delta() -> None:
    """Star closes for the set time; delta follows after the pause in which neither is closed."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO  travels 1 ms\n"
        f"devices on plate\n  T1  star-delta timer  8 s  coil 24 V dc  {EXACT}\n"
        "  K1  relay  1 NO  coil 24 V dc\n  K3  relay  1 NO  coil 24 V dc\n"
        "rungs from + to -\n  S1.no  T1.coil\n  T1.instant.no  K1.coil\n  T1.no  K3.coil\n"
    )
    work(run, "press S1; wait 10 s")
    star_opens = next(c.now for c in run.trace.changes if c.subject == "T1" and c.now > 1 and c.after == "moving")
    delta_closes = moves(run, "T1", "timed contacts")[0][0]

    assert said(run, "K1", "K3") == ["out", "in"]
    assert star_opens == pytest.approx(FED + 8.0)
    assert delta_closes - star_opens == pytest.approx(0.05 + TRAVELS)


def test_instantaneous_contact_follows_the_coil() -> None:
    """On a timer with both, the instantaneous contact does not wait."""
    run = start(
        "devices on door\n  S1  pushbutton  1 NO\n"
        "devices on plate\n  T1  on-delay timer  2 s  1 NO + 1 NO instant  coil 24 V dc\n"
        "  H1  lamp  LED  24 V dc\n  H2  lamp  LED  24 V dc\n"
        "rungs from + to -\n  S1.no  T1.coil\n  T1.instant.no  H1\n  T1.no  H2\n"
    )
    work(run, "press S1")
    at_once = said(run, "H1", "H2")
    work(run, "wait 3 s")

    assert at_once == ["lit", "dark"]
    assert said(run, "H1", "H2") == ["lit", "lit"]
